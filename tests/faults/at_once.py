"""A night in a process of its own that is held in the middle of its pull."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.faults.home import SECRET_PATH, Home
from tests.support.feeds import Exchange

PATIENCE = 60.0
"""Seconds for what takes one, on a machine that others keep busy."""


class Held:
    """A night that has the lock and waits for an answer of the feed; `waits`: one behind it."""

    def __init__(self, home: Home, *, waits: bool = False) -> None:
        self._go = threading.Event()
        self._asked = threading.Event()
        good = home.feed_answer()

        def slow(exchange: Exchange) -> None:
            self._asked.set()
            self._go.wait(PATIENCE)
            good(exchange)

        if not waits:
            home.web[SECRET_PATH] = slow
        words = ["nightly", "--household", str(home.folder), "--now", home.now.isoformat()]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "weeksync", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
        )
        if waits:
            _wait_until_idle(self._process.pid)
        else:
            assert self._asked.wait(PATIENCE), "it did not come to its pull"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._go.set()
        if self._process.poll() is None:
            self._process.kill()
        self._process.communicate()

    def finish(self) -> tuple[int, str]:
        """Let it go on; its exit status and what it said."""
        self._go.set()
        said, _ = self._process.communicate(timeout=PATIENCE)
        return self._process.returncode, said.decode()


def _wait_until_idle(process: int) -> None:
    """Until it uses next to no time: it waits for the lock then, if it is not just held up itself.

    Whatever it does, the runs must end well; this only makes it likely that they meet.
    """
    end, before, calm = time.monotonic() + PATIENCE, -1, 0
    while calm < 3 and time.monotonic() < end:
        time.sleep(0.1)
        words = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
        used = int(words[11]) + int(words[12])  # utime and stime, proc(5)
        calm = calm + 1 if used - before <= 1 else 0
        before = used
