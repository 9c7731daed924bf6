"""Calendars that are being tried out: asked in the background, kept for a while, written nowhere.

Whoever fills in the page waits for a server; marks of the others must not. So the question is put
in a thread of its own, and the page that follows waits for the answer outside of every lock. The
password stays in here until the calendar is taken in or half an hour is over; no page has it.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import field

from weeksync.errors import WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.workflow.context import Context
from weeksync.workflow.probe import Probed, in_words, probe

KEPT_SECONDS = 30 * 60.0
MOST = 20
"""More at a time nobody tries; the oldest goes."""


@dataclass(slots=True)
class Looking:
    """One address that was typed, and what it gave: `probed` or `failed`, once `ready` is set."""

    address: str
    user: str
    secret: str = field(repr=False)
    until: float = 0.0
    ready: threading.Event = field(default_factory=threading.Event)
    probed: Probed | None = None
    failed: Message | None = None


class Pocket:
    """What is being tried out, by a token that only its page knows."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._lock = threading.Lock()
        self._kept: dict[str, Looking] = {}

    def ask(self, context: Context, address: str, user: str, secret: str) -> str:
        """Begin to ask; the token."""
        token = secrets.token_urlsafe(18)
        one = Looking(address, user, secret, self._now() + KEPT_SECONDS)
        with self._lock:
            self._drop_old()
            self._kept[token] = one
        threading.Thread(target=_ask, args=(context, one), daemon=True, name="probe").start()
        return token

    def get(self, token: str) -> Looking | None:
        """What that token stands for; None where it is over or never was."""
        with self._lock:
            self._drop_old()
            return self._kept.get(token)

    def done(self, token: str) -> None:
        """It has been taken in: nothing of it is kept here any more."""
        with self._lock:
            self._kept.pop(token, None)

    def _drop_old(self) -> None:
        now = self._now()
        for token in [token for token, one in self._kept.items() if one.until < now]:
            del self._kept[token]
        while len(self._kept) >= MOST:
            del self._kept[next(iter(self._kept))]


def _ask(context: Context, one: Looking) -> None:
    try:
        one.probed = probe(context, one.address, one.user, one.secret)
    except WeeksyncError as error:
        one.failed = in_words(error, one.address, one.user)
    except Exception as error:
        one.failed = message(
            "it could not be read: {kind}, a fault of weeksync", kind=type(error).__name__
        )
    finally:
        one.ready.set()


POCKET = Pocket()
"""The one of this process."""
