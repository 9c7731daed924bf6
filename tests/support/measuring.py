"""Runs one command and prints what it used, as JSON: a small process that measures.

    python -m tests.support.measuring COMMAND …

On Linux the peak memory of a process that is started counts from that of the one that starts
it, so a test run of hundreds of megabytes cannot measure by itself.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Used:
    """What a command used, with its children: CPU seconds, peak megabytes; how it ended."""

    cpu: float
    peak_mb: float
    status: int
    said: str


def measured(command: list[str]) -> Used:
    """Run the command from a small process and say what it used."""
    answer = subprocess.run(
        [sys.executable, "-m", "tests.support.measuring", *command],
        stdout=subprocess.PIPE,
        check=True,
    )
    found: dict[str, Any] = json.loads(answer.stdout)
    return Used(**found)


def _run(command: list[str]) -> dict[str, Any]:
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=said
        )
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        text = said.read(100_000).decode(errors="replace")
    return {
        "cpu": used.ru_utime + used.ru_stime,
        "peak_mb": used.ru_maxrss / 1024,
        "status": process.returncode,
        "said": text,
    }


if __name__ == "__main__":
    print(json.dumps(_run(sys.argv[1:])))
