"""Locks between processes: an advisory lock on a file (`flock`), which ends with its process.

Every night takes one. A library for it takes longer to import than all a night reads of the
household's files, and what it has besides (Windows, file systems without `flock`, on which SQLite
cannot work either) is of no use here.
"""

from __future__ import annotations

import fcntl
import os
import time
from pathlib import Path

_PAUSE = 0.05
"""Seconds between two tries."""


class Lock:
    """A lock that is held, until `release`.

    `file` is made where there is none (mode 0600), and stays. TimeoutError where another still
    holds it after `wait` seconds, another OSError where the file cannot be had. `weeksync.lean`
    takes the same lock.
    """

    def __init__(self, file: Path, wait: float) -> None:
        last = time.monotonic() + wait
        while (number := _taken(file)) is None:
            left = last - time.monotonic()
            if left <= 0:
                raise TimeoutError(str(file))
            time.sleep(min(_PAUSE, left))
        self._number: int | None = number

    def release(self) -> None:
        """Let the next one in; a second call does nothing."""
        if self._number is not None:
            os.close(self._number)
            self._number = None


def _taken(file: Path) -> int | None:
    """The descriptor of the file with its lock, None where it is not to be had now."""
    number = os.open(file, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.samestat(os.fstat(number), os.stat(file)):
            return number
    except (BlockingIOError, FileNotFoundError):  # another has it; it was taken away meanwhile
        pass
    except BaseException:
        os.close(number)
        raise
    os.close(number)
    return None
