"""An oracle in a process of its own that stays up and answers one JSON line a question.

An oracle may hang, leak or die of a question; it is then ended and started anew for the next,
and that question counts as refused.
"""

from __future__ import annotations

import json
import os
import selectors
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

Item = tuple[str, str, bool, str]
"""(start, end, cancelled, title): `2027-03-28T01:30:00Z` in UTC, or `2027-03-28` for a day."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What an oracle says: `items` in order, or why it does not answer."""

    items: tuple[Item, ...] = ()
    refused: str = ""


STARTING = 3.0
"""Seconds more for the first question: the program is starting."""
WAIT = 40
"""The longest wait is so many deadlines: one that sleeps uses no time."""


class Process:
    """A program that answers; started at the first question, ended with `close`.

    The deadline is in seconds that the program itself computes, so that a busy machine makes no
    oracle silent.
    """

    def __init__(self, command: Sequence[str], deadline: float) -> None:
        self._command, self._deadline = tuple(command), deadline
        self._running: subprocess.Popen[bytes] | None = None
        self._heard = bytearray()
        self._allowed = deadline

    def ask(self, question: dict[str, Any]) -> Answer:
        """The answer to one question, within the deadline of so many seconds."""
        running = self._start()
        assert running.stdin is not None
        try:
            running.stdin.write(json.dumps(question).encode() + b"\n")
            running.stdin.flush()
            line = self._line(running)
        except BrokenPipeError:
            line = b""
        if not line:
            self.close()
            return Answer(refused="no answer within the deadline, or the process died")
        reply = json.loads(line)
        if "refused" in reply:
            return Answer(refused=reply["refused"])
        return Answer(
            tuple(sorted((str(a), str(b), bool(c), str(d)) for a, b, c, d in reply["found"]))
        )

    def close(self) -> None:
        """End the process, if it runs."""
        if self._running is not None:
            self._running.kill()
            self._running.communicate()
            self._running = None
            self._heard.clear()

    def _start(self) -> subprocess.Popen[bytes]:
        if self._running is None:
            self._running = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
            )
            self._allowed = STARTING + self._deadline
        return self._running

    def _line(self, running: subprocess.Popen[bytes]) -> bytes:
        """The next line it prints; empty at the deadline, and where it ends."""
        assert running.stdout is not None
        allowed = self._allowed + computed(running.pid)
        self._allowed = self._deadline
        until = time.monotonic() + WAIT * self._deadline
        with selectors.DefaultSelector() as waiting:
            waiting.register(running.stdout, selectors.EVENT_READ)
            while b"\n" not in self._heard:
                if not waiting.select(self._deadline / 4):
                    if computed(running.pid) > allowed or time.monotonic() > until:
                        return b""
                    continue
                piece = running.stdout.read1(65536)  # type: ignore[attr-defined]
                if not piece:
                    return b""
                self._heard += piece
        line, _, rest = bytes(self._heard).partition(b"\n")
        self._heard[:] = rest
        return line


def computed(pid: int) -> float:
    """The seconds a process has computed (proc(5): utime and stime of /proc/PID/stat)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
