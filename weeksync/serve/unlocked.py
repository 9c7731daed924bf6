"""Who has unlocked their own pages, on which device, and until when.

Kept in memory only: a restart locks. Each unlocking has a new secret, bound to the device's token
and to the PIN that opened it; it ends when it has not been used for the set time.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from weeksync.lazy import dataclass
from weeksync.serve.kept import digest, new_token

MOST = 100
"""Unlockings at the same time; the one longest unused goes."""


@dataclass(slots=True)
class _One:
    person: str
    token: str
    salt: str
    used: float


class Unlocked:
    """All unlockings of a running serve; `seconds` of idleness end one."""

    def __init__(self, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._seconds = seconds
        self._clock = clock
        self._all: dict[str, _One] = {}
        self._lock = threading.Lock()

    def add(self, person: str, token: str, salt: str) -> str:
        """The secret for the cookie; `token` is the digest of the device's, "" for none."""
        secret = new_token()
        with self._lock:
            self._prune()
            while len(self._all) >= MOST:
                del self._all[min(self._all, key=lambda one: self._all[one].used)]
            self._all[digest(secret)] = _One(person, token, salt, self._clock())
        return secret

    def person(
        self, secret: str, token: str, salt_of: Callable[[str], str], *, use: bool
    ) -> str | None:
        """Who unlocked with that secret on that device; with `use`, the time begins anew."""
        with self._lock:
            self._prune()
            key = digest(secret)
            found = self._all.get(key)
            if found is None or found.token != token:
                return None
            if salt_of(found.person) != found.salt:
                del self._all[key]
                return None
            if use:
                found.used = self._clock()
            return found.person

    def lock(self, secret: str) -> None:
        """End that unlocking."""
        with self._lock:
            self._all.pop(digest(secret), None)

    def _prune(self) -> None:
        latest = self._clock() - self._seconds
        for key in [key for key, one in self._all.items() if one.used <= latest]:
            del self._all[key]
