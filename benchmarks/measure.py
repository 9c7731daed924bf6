"""One command measured as a process of its own: CPU and wall time, peak memory."""

from __future__ import annotations

import os
import subprocess
import tempfile
import time
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


class StageFailed(Exception):
    """A measured command did not end as it should; its time would mean nothing."""


@dataclass(frozen=True, slots=True)
class Measured:
    """CPU seconds (user and system), wall seconds, and peak resident memory in megabytes."""

    cpu: float
    wall: float
    peak_mb: float


def measure(
    command: Sequence[str], *, env: Mapping[str, str] | None = None, fine: Container[int] = (0,)
) -> Measured:
    """Run the command, wait for it and read what it used (`getrusage`, with its children).

    `env` is added to the environment; `fine` are the exit statuses after which a time means
    something.

    The measuring process must stay small: on Linux the peak memory of a process that is started
    counts from that of the one that starts it.
    """
    with tempfile.TemporaryFile() as said:
        began = time.perf_counter()
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            env={**os.environ, **(env or {})},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=said,
        )
        _, status, used = os.wait4(process.pid, 0)
        wall = time.perf_counter() - began
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode not in fine:
            said.seek(0)
            raise StageFailed(
                f"{' '.join(command)} ended with {process.returncode}:\n"
                + said.read()[-4000:].decode(errors="replace")
            )
    return Measured(used.ru_utime + used.ru_stime, wall, used.ru_maxrss / 1024)
