"""Commands that are killed, or find the disk full, at a step of our choice.

`Worker` is a process with all of weeksync loaded and `steps.c` before the C library; each command
runs in a child of it, so that it costs no more than what it does.
"""

from __future__ import annotations

import ctypes
import io
import json
import math
import os
import subprocess
import sys
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from enum import IntEnum
from itertools import count
from pathlib import Path
from types import TracebackType
from typing import Any, Self

SOURCE = Path(__file__).with_name("steps.c")
ROOT = Path(__file__).parents[2]


class How(IntEnum):
    """What happens at the step, as `steps.c` has it."""

    COUNT = 0
    BEFORE = 1
    WITHIN = 2
    FULL = 3


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit status (below 0: the signal), its words, its steps."""

    status: int
    said: str
    steps: int


def built(folder: Path) -> Path:
    """`steps.c` as a library in the folder."""
    library = folder / "steps.so"
    command = ["cc", "-shared", "-fPIC", "-O1", "-o", str(library), str(SOURCE), "-ldl"]
    try:
        subprocess.run(command, check=True)
    except FileNotFoundError as error:
        raise AssertionError("there is no cc; apt-get install --yes gcc libc6-dev") from error
    return library


class Worker:
    """A process whose children run commands; leaving it ends it."""

    def __init__(self, folder: Path) -> None:
        environment = {**os.environ, "LD_PRELOAD": str(built(folder)), "LC_ALL": "C.UTF-8"}
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.dying"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=environment,
            cwd=ROOT,
            text=True,
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._process.communicate(timeout=60)

    def run(
        self,
        words: Sequence[str],
        below: Path,
        how: How = How.COUNT,
        nth: int = 0,
        *,
        first: Sequence[str] = (),
    ) -> Ended:
        """Run `words`, with the fault at the `nth` step below a folder; unharmed `first` before."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        asked = {"first": list(first), "words": list(words), "below": str(below)}
        self._process.stdin.write(json.dumps({**asked, "how": int(how), "nth": nth}) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        assert line, "the worker has ended"
        return Ended(**json.loads(line))


def _serve() -> None:
    import weeksync.cli.runs as runs
    import weeksync.workflow  # noqa: F401 - loaded here, once for all children

    # As if the household had been quiet long before each run: else no note of a night is left.
    runs.STARTED = math.inf  # type: ignore[attr-defined]
    answers = os.dup(1)
    os.dup2(2, 1)
    for line in sys.stdin:
        ended = _in_a_child(json.loads(line))
        os.write(answers, (json.dumps(ended) + "\n").encode())


def _in_a_child(asked: dict[str, Any]) -> dict[str, Any]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _run(asked, writing)
    os.close(writing)
    with open(reading, "rb") as file:
        told = file.read()
    _, status = os.waitpid(child, 0)
    said, steps = json.loads(told) if told else ("", 0)
    return {"status": os.waitstatus_to_exitcode(status), "said": said, "steps": steps}


def _run(asked: dict[str, Any], writing: int) -> None:
    """In the child: the command, and on the pipe what it said and the steps it took."""
    import weeksync.household.ids as ids
    from weeksync.cli import main

    numbers = count()
    ids.suffix = lambda: f"x{next(numbers):03}"  # else no two runs would write the same
    steps = ctypes.CDLL(None)
    steps.faults_counted.restype = ctypes.c_long
    status, text = 99, io.StringIO()
    try:
        with redirect_stdout(text), redirect_stderr(text):
            if asked["first"]:
                main(asked["first"])
            steps.faults_arm(asked["below"].encode(), asked["how"], ctypes.c_long(asked["nth"]))
            status = main(asked["words"])
    except BaseException as error:
        text.write(f"Traceback: {error!r}")
    finally:
        counted = steps.faults_counted()
        steps.faults_arm(b"", 0, ctypes.c_long(0))
        os.write(writing, json.dumps([text.getvalue(), counted]).encode())
        os._exit(status)


if __name__ == "__main__":
    _serve()
