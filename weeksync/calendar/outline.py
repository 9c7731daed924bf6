"""A cheap look at a component: its UID and the days it can touch at most.

A scan of its text and no more: what cannot meet the window is never read any further. The
bounds are generous; where a text is odd there is no bound.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256

from weeksync.calendar.text import ComponentText

_LINE = re.compile(
    r"\n(UID|DTSTART|DTEND|DUE|DURATION|RRULE|RDATE|RECURRENCE-ID)([ \t;:][^\n]*)", re.IGNORECASE
)
_DAY = re.compile(r"(?<!\d)(\d{4})-?(\d\d)-?(\d\d)(?!\d)", re.ASCII)
_UNTIL = re.compile(r"UNTIL=(\d{4})-?(\d\d)-?(\d\d)", re.ASCII)
_SIMPLE = re.compile(
    r"(?:FREQ=(?:DAILY|WEEKLY)|COUNT=\d{1,7}|INTERVAL=\d{1,7}|WKST=\w\w|;)+"
    r"(?:BYDAY=(?:\w\w,?)+)?(?:;WKST=\w\w)?;?",
    re.ASCII,
)
_NUMBER = re.compile(r"(COUNT|INTERVAL)=(\d+)", re.ASCII)
_LONG = re.compile(r"(\d{1,7})([WDHMS])", re.ASCII)
_UNIT_DAYS = {"W": 7.0, "D": 1.0, "H": 1 / 24, "M": 1 / 1440, "S": 1 / 86_400}

MARGIN = timedelta(days=2)
"""Two zones can be 26 hours apart, so dates of the same moment differ by up to two."""


@dataclass(frozen=True, slots=True)
class Outline:
    """`uid` (one made from the text where it has none) and the first and last day, or None."""

    uid: str
    first: date | None
    last: date | None

    def misses(self, start: date, end: date) -> bool:
        """Whether it surely does not touch the days [start, end)."""
        return (self.last is not None and self.last < start) or (
            self.first is not None and self.first >= end
        )


def outline(component: ComponentText) -> Outline:
    """The outline of a component."""
    values: dict[str, list[str]] = {}
    for name, rest in _LINE.findall(component.body):
        values.setdefault(name.upper(), []).append(rest)
    uid = values["UID"][0].partition(":")[2].strip() if "UID" in values else ""
    if not uid:
        uid = "no-uid-" + sha256(component.body.encode()).hexdigest()[:16]
    try:
        first, last = _bounds(component.kind, values)
    except (ValueError, OverflowError):
        first = last = None
    return Outline(uid, first, last)


def joined(outlines: list[Outline]) -> tuple[date | None, date | None]:
    """The first and last day of several outlines of one UID."""
    firsts, lasts = [one.first for one in outlines], [one.last for one in outlines]
    first = None if None in firsts else min(day for day in firsts if day is not None)
    last = None if None in lasts else max(day for day in lasts if day is not None)
    return first, last


def _bounds(kind: str, values: dict[str, list[str]]) -> tuple[date | None, date | None]:
    days = {name: _days(texts) for name, texts in values.items() if name != "UID"}
    starts = days.get("DTSTART", [])
    if (
        kind == "VTODO"
        or not starts
        or any("RANGE" in t.upper() for t in values.get("RECURRENCE-ID", ()))
    ):
        return None, None
    named = [
        day for name in ("DTSTART", "DTEND", "RDATE", "RECURRENCE-ID") for day in days.get(name, [])
    ]
    span = _span(starts, days.get("DTEND", []), values.get("DURATION", []))
    first = min(named) - MARGIN
    last: date | None = max(named)
    for rule in values.get("RRULE", ()):
        until = _rule_end(rule.upper(), max(starts))
        last = max(last, until) if last is not None and until is not None else None
    return first, last + span + MARGIN if last is not None else None


def _days(texts: list[str]) -> list[date]:
    return [
        date(int(found[0]), int(found[1]), int(found[2]))
        for text in texts
        for found in _DAY.findall(text)
    ]


def _span(starts: list[date], ends: list[date], durations: list[str]) -> timedelta:
    from_ends = max(ends) - min(starts) if ends else timedelta(0)
    days = max((_duration_days(text.upper()) for text in durations), default=0.0)
    return max(from_ends, timedelta(days=int(days) + 1))


def _duration_days(text: str) -> float:
    return sum(int(number) * _UNIT_DAYS[unit] for number, unit in _LONG.findall(text))


def _rule_end(rule: str, start: date) -> date | None:
    """The last day a rule can reach, or None where that cannot be told cheaply."""
    if found := _UNTIL.search(rule):
        return date(int(found[1]), int(found[2]), int(found[3]))
    numbers = dict(_NUMBER.findall(rule))
    if "COUNT" not in numbers or not _SIMPLE.fullmatch(rule.lstrip(" :")):
        return None
    # A simple weekly rule gives something in every period, and so does a daily one.
    periods = int(numbers["COUNT"]) * int(numbers.get("INTERVAL", 1))
    return start + timedelta(days=periods * 7 + 7)
