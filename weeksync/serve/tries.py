"""Wrong one-time codes, counted: who guesses must wait."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable

WINDOW_SECONDS = 600
MOST_OF_ONE, MOST_OF_ALL = 10, 100
"""Wrong codes within the window, from one address and altogether. With 40 bits and at most 20
codes waiting, 100 guesses find one with a chance of 2 in a thousand million."""


class Tries:
    """Counts wrong tries in memory; a restart forgets them, codes are gone after ten minutes."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._wrong: deque[tuple[float, str]] = deque()

    def wait(self, who: str) -> int:
        """Seconds that this address has to wait before its code is looked at, 0 for none."""
        now = self._clock()
        while self._wrong and self._wrong[0][0] <= now - WINDOW_SECONDS:
            self._wrong.popleft()
        own = [at for at, one in self._wrong if one == who]
        first = None
        if len(own) >= MOST_OF_ONE:
            first = own[-MOST_OF_ONE]
        elif len(self._wrong) >= MOST_OF_ALL:
            first = self._wrong[-MOST_OF_ALL][0]
        return 0 if first is None else max(1, int(first + WINDOW_SECONDS - now) + 1)

    def wrong(self, who: str) -> None:
        """Count one."""
        self._wrong.append((self._clock(), who))
