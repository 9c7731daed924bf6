"""Reads the compact notation in which RFC 5545 section 3.8.5.3 prints its examples.

`(1997 9:00 AM EDT) September 2,4,6...28,30;October 2` → local times with their zone
abbreviation; `...` inside a list goes on in the last step, at the end it leaves the set open.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_DAY_HEAD = re.compile(r"\((\d{4})(?: 9:00 AM)? (E[SD]T)\)\s*(.*)")
_TIME_HEAD = re.compile(r"\((\w+) (\d+), (\d{4}) (E[SD]T)\)\s*(.*)")
_MONTH = re.compile(rf"({'|'.join(MONTHS)})\s*([\d,.\s-]*)")


@dataclass
class Printed:
    """What an example prints: (local time, EDT or EST) in order; `open` where it goes on."""

    times: list[tuple[datetime, str]] = field(default_factory=list)
    open: bool = False


def parse(lines: Iterable[str]) -> Printed:
    """The printed answer of an example."""
    lines = list(lines)
    return _times(lines) if _TIME_HEAD.match(lines[0]) else _days(lines)


def _days(lines: list[str]) -> Printed:
    printed = Printed()
    year, zone = 0, ""
    for text in lines:
        if text.startswith(("Note:", "components are")):
            continue
        if head := _DAY_HEAD.match(text):
            year, zone, text = int(head[1]), head[2], head[3]
        printed.open = text.rstrip().endswith("...")
        for month, days in _MONTH.findall(text):
            for day in numbers(days):
                moment = datetime(year, MONTHS.index(month) + 1, day, 9)
                printed.times.append((moment, zone))
    return printed


def numbers(text: str) -> Iterator[int]:
    """`2-4,10` and `2,4,6...12` written out; an ellipsis at the end gives nothing."""
    found: list[int] = []
    for piece in re.split(r"[,\s]+", text.replace("...", ",...,")):
        if piece == "...":
            found.append(-1)
        elif "-" in piece:
            low, high = map(int, piece.split("-"))
            found += range(low, high + 1)
        elif piece:
            found.append(int(piece))
    yield from filled(found)


def filled(found: list[int]) -> Iterator[int]:
    """The numbers with each -1 between two others replaced by the missing steps."""
    for at, number in enumerate(found):
        if number != -1:
            yield number
        elif 2 <= at < len(found) - 1:
            step = found[at - 1] - found[at - 2]
            yield from range(found[at - 1] + step, found[at + 1], step)


def _times(lines: list[str]) -> Printed:
    printed = Printed(open=lines[-1].strip() == "...")
    day, zone = datetime(1997, 1, 1), ""
    minutes: list[int] = []

    def close() -> None:
        for minute in filled(minutes):
            printed.times.append((day.replace(hour=minute // 60, minute=minute % 60), zone))
        minutes.clear()

    for text in lines:
        if head := _TIME_HEAD.match(text):
            close()
            day = datetime(int(head[3]), MONTHS.index(head[1]) + 1, int(head[2]))
            zone, text = head[4], head[5]
        for piece in re.findall(r"\.\.\.|\d+:\d\d", text):
            hour, _, minute = piece.partition(":")
            minutes.append(-1 if piece == "..." else int(hour) * 60 + int(minute))
    close()
    return printed
