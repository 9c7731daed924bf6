"""A command in a process of its own on a real terminal, with a person at the keyboard."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from types import TracebackType
from typing import Self

_PATIENCE = 60.0
"""Seconds for an answer, on a machine that others keep busy, too."""


class Keyboard:
    """One run of `weeksync`; leaving it ends the process, if it has not ended yet."""

    def __init__(self, *words: str, folder: Path, now: str, **environment: str) -> None:
        self._ours, theirs = pty.openpty()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "weeksync", *words, "--household", str(folder), "--now", now],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
            preexec_fn=_take_terminal,
            env={**os.environ, "TERM": "xterm", "COLUMNS": "100", "LC_ALL": "C.UTF-8"}
            | environment,
        )
        os.close(theirs)
        self.seen = ""
        """Everything written so far."""
        self._read = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait()
        if self._ours >= 0:
            os.close(self._ours)

    def until(self, text: str) -> str:
        """Waits for a text that was not waited for yet; gives what was written up to it."""
        ends = time.monotonic() + _PATIENCE
        while (at := self.seen.find(text, self._read)) < 0:
            if time.monotonic() > ends or not self._more(ends - time.monotonic()):
                raise AssertionError(f"{text!r} did not come; there was:\n{self.seen}")
        found = self.seen[self._read : at + len(text)]
        self._read = at + len(text)
        return found

    def types(self, text: str, *, after: str = "> ") -> str:
        """Types a line once `after` was written; gives what was written up to that."""
        found = self.until(after)
        os.write(self._ours, f"{text}\n".encode())
        return found

    def interrupts(self, *, after: str = "> ") -> None:
        """Control and C."""
        self.until(after)
        os.write(self._ours, b"\x03")

    def ends_input(self, *, after: str = "> ") -> None:
        """Control and D at the beginning of a line."""
        self.until(after)
        os.write(self._ours, b"\x04")

    def kills(self, *, after: str = "> ") -> None:
        """As a power cut, for the process."""
        self.until(after)
        self._process.send_signal(signal.SIGKILL)

    def closes(self, *, after: str = "> ") -> None:
        """The window is closed: the process is told that its terminal is gone."""
        self.until(after)
        os.close(self._ours)
        self._ours = -1

    def end(self) -> int:
        """Waits for the end; the exit status (negative: the signal that ended it)."""
        ends = time.monotonic() + _PATIENCE
        while self._ours >= 0 and self._more(ends - time.monotonic()):
            pass
        return self._process.wait(_PATIENCE)

    def _more(self, patience: float) -> bool:
        ready, _, _ = select.select([self._ours], [], [], max(patience, 0))
        try:
            part = os.read(self._ours, 65536) if ready else b""
        except OSError:  # Linux says so when the last writer has closed the terminal
            part = b""
        self.seen += re.sub("\r\n", "\n", part.decode("utf-8", "replace"))
        return bool(part)


def _take_terminal() -> None:
    """Makes the terminal the process's own, so that Ctrl-C and closing it reach the process."""
    import fcntl
    import termios

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
