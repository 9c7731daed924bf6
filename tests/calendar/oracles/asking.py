"""The oracles and how each is asked; a missing one is an error that names what to install."""

from __future__ import annotations

import ctypes.util
import shutil
import sys
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Self

from tests.calendar.oracles.process import Answer, Process
from tests.calendar.oracles.question import Question

HERE = Path(__file__).parent
PACKAGES = HERE.parents[1] / "node_modules"
DEADLINE = 0.8
"""Seconds of computing for one question: forty times what the usual one takes."""

COMMANDS = {
    "ical.js": ("node", str(HERE / "icaljs.mjs")),
    "libical": (sys.executable, "-P", str(HERE / "libical_process.py")),
    "RIE": (sys.executable, "-P", str(HERE / "rie_process.py")),
    "dateutil": (sys.executable, "-P", str(HERE / "dateutil_process.py")),
}


class OracleMissing(Exception):
    """An oracle is not installed; the text says by which command it is."""


def require() -> None:
    """Raise OracleMissing unless all oracles are here. Tests never pass by for want of one."""
    if shutil.which("node") is None:
        raise OracleMissing("node is missing: apt-get install --yes nodejs npm")
    if not (PACKAGES / "ical.js").is_dir():
        raise OracleMissing("ical.js is missing: npm ci --prefix tests")
    if ctypes.util.find_library("ical") is None:
        raise OracleMissing("libical is missing: apt-get install --yes libical3")


class Oracles(AbstractContextManager["Oracles"]):
    """All oracles, each in its process while the context lasts."""

    def __init__(self) -> None:
        require()
        self._processes = {name: Process(line, DEADLINE) for name, line in COMMANDS.items()}

    def ask(self, name: str, question: Question) -> Answer:
        """What the oracle of that name finds in the question's window."""
        answer = self._processes[name].ask(question.asked())
        return answer if answer.refused else Answer(question.touched(answer.items))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for one in self._processes.values():
            one.close()
