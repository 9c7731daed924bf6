"""What a desk run keeps of what failed: one text for each kind of failure."""

from __future__ import annotations

import re
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from tests.calendar.fuzz.target import one_input

_VALUES = re.compile(r"'[^']*'|\d+")


def failure(data: bytes, most: int | None = None) -> str:
    """What is wrong with the answers for these bytes, "" where nothing is."""
    try:
        one_input(data, most)
    except AssertionError as error:
        return str(error)
    return ""


def kind(why: str) -> str:
    """A failure without its values: what was asked and the beginning of what was said."""
    return _VALUES.sub("", why)[:60]


def fails_alike(why: str) -> Callable[[bytes], bool]:
    """A test for texts that fail in the same kind of way."""
    return lambda data: kind(failure(data)) == kind(why)


class Finds:
    """Judges texts and writes the smallest of each kind of failure into a folder."""

    def __init__(self, folder: Path, relations: int) -> None:
        self._folder, self._relations = folder / "failed", relations
        self._sizes: dict[str, int] = {}

    def judge(self, data: bytes) -> None:
        """Ask a few relations of these bytes; what fails is written down, and the run goes on."""
        why = failure(data, self._relations)
        known = kind(why)
        if why and len(data) < self._sizes.get(known, 1 << 30):
            self._sizes[known] = len(data)
            name = sha256(known.encode()).hexdigest()[:12]
            (self._folder / f"{name}.ics").write_bytes(data)
            (self._folder / f"{name}.txt").write_text(why, "utf-8", "backslashreplace")
