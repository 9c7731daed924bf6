"""The household that measured nights run in: cleared, changed by one event, compared."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import time
from dataclasses import dataclass
from pathlib import Path

SETTLED = 3.5
"""Seconds after which a night trusts the times of files (`SETTLED` of `workflow/quiet.py`)."""
MADE = ("state", "output")
TREES = ("site", "own")


@dataclass(frozen=True, slots=True)
class NightHome:
    """A household folder with a corpus."""

    folder: Path

    @property
    def calendars(self) -> list[Path]:
        """Its calendar files."""
        return sorted((self.folder / "calendars").glob("*.ics"))

    def size(self) -> int:
        """Their bytes."""
        return sum(path.stat().st_size for path in self.calendars)

    def clear(self) -> None:
        """Take away what earlier nights made, and let the files settle."""
        for made in MADE:
            shutil.rmtree(self.folder / made, ignore_errors=True)
        settle()

    def twin(self, folder: Path) -> NightHome:
        """The same files in a new folder, in which no night has run yet."""
        shutil.rmtree(folder, ignore_errors=True)
        top = str(self.folder)
        shutil.copytree(self.folder, folder, ignore=lambda at, _: MADE if str(at) == top else ())
        settle()
        return NightHome(folder)

    def set_window(self, back: int, ahead: int) -> None:
        """How many weeks have pages."""
        place = self.folder / "config.toml"
        text = place.read_text("utf-8")
        text = re.sub(r"(?m)^weeks_back = \d+$", f"weeks_back = {back}", text)
        place.write_text(re.sub(r"(?m)^weeks_ahead = \d+$", f"weeks_ahead = {ahead}", text))

    def keep_calendars(self, number: int) -> None:
        """Only the first so many of its calendars."""
        place = self.folder / "config.toml"
        head, *sources = place.read_text("utf-8").split("[[calendars]]")
        place.write_text("[[calendars]]".join([head, *sources[:number]]), encoding="utf-8")


def settle() -> None:
    """Wait until what has just been written is old enough to be trusted."""
    time.sleep(SETTLED)


def change_one_event(calendar: Path, title: str) -> bytes:
    """Give a single event of April 2027, or else of that year, another title; the bytes of before.

    ValueError where the calendar has none.
    """
    before = calendar.read_bytes()
    for month in (b"202704", b"2027"):
        start = re.search(
            rb"\r\nDTSTART[^:\r\n]*:%b\d+T[^\r]*\r\nDTEND[^\r]*\r\nSUMMARY:" % month, before
        )
        if start is not None:
            rest = before[start.end() :].split(b"\r\n", 1)[1]
            calendar.write_bytes(before[: start.end()] + title.encode() + b"\r\n" + rest)
            return before
    raise ValueError(f"{calendar.name} has no event in 2027")


def differences(one: Path, other: Path) -> list[str]:
    """The pages that two output folders do not share byte for byte, by path.

    AssertionError where there is nothing to compare: that would always be the same.
    """
    here, there = _digests(one), _digests(other)
    if not here or not there:
        raise AssertionError(f"no pages in {one if not here else other}")
    return sorted(name for name in here.keys() | there.keys() if here.get(name) != there.get(name))


def _digests(output: Path) -> dict[str, str]:
    found = {}
    for tree in TREES:
        top = (output / tree).resolve()
        for at, _, names in os.walk(top):
            for name in names:
                path = Path(at) / name
                told = hashlib.sha256(path.read_bytes()).hexdigest()
                found[f"{tree}/{path.relative_to(top).as_posix()}"] = told
    return found
