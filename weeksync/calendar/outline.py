"""A cheap look at a component: its UID and the days it can touch at most.

A scan of its text and no more: what cannot meet the window is never read any further. The
bounds are generous; where a text is odd there is no bound.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta
from functools import lru_cache
from hashlib import sha256
from typing import NamedTuple

from weeksync.calendar.encoding import decoded
from weeksync.calendar.text import LONGEST_NAME, ComponentText

_LINE = re.compile(
    rb"\n(UID|DTSTART|DTEND|DUE|DURATION|RRULE|RDATE|RECURRENCE-ID)([ \t;:][^\n]*)", re.IGNORECASE
)
_DAY = re.compile(rb"(?<!\d)(\d{4})-?(\d\d)-?(\d\d)(?!\d)")
_FINE = re.compile(rb"SECONDLY|MINUTELY|HOURLY|BYHOUR|BYMINUTE|BYSECOND", re.IGNORECASE)
_UNTIL = re.compile(rb"[;:][ \t]*UNTIL=(\d{4})-?(\d\d)-?(\d\d)")
_SIMPLE = re.compile(
    rb"(?:FREQ=(?:DAILY|WEEKLY)|COUNT=\d{1,7}|INTERVAL=\d{1,7}|WKST=\w\w|;)+"
    rb"(?:BYDAY=(?:\w\w,?)+)?(?:;WKST=\w\w)?;?"
)
_MONTHLY = re.compile(
    rb"(?:FREQ=MONTHLY|COUNT=\d{1,7}|INTERVAL=\d{1,7}|WKST=\w\w|;)+"
    rb"(BYMONTHDAY=(?:0?[1-9]|1\d|2[0-8]))?(?:;(?:COUNT=\d{1,7}|INTERVAL=\d{1,7}|WKST=\w\w))*;?"
)
"""Once in every month, whichever it is: the 29th is not."""
_SHORTEST_MONTH, _LONGEST_MONTH = 28, 31
_NUMBER = re.compile(rb"(COUNT|INTERVAL)=(\d+)")
_LONG = re.compile(rb"(\d{1,7})([WDHMS])")
_UNIT_DAYS = {b"W": 7.0, b"D": 1.0, b"H": 1 / 24, b"M": 1 / 1440, b"S": 1 / 86_400}
_PERIOD = re.compile(rb"/[ \t]*\+?P([^,;/]{0,200})", re.IGNORECASE)
"""The length of a period that says how long it takes (RFC 5545, section 3.3.9)."""
_LONGEST_RULE = 2_000
"""Bytes of a rule that are looked at here: of a longer one no end can be told cheaply."""
_UNFINISHED = (b",", b";", b"=", b":")

MARGIN = timedelta(days=2)
"""Two zones can be 26 hours apart, so dates of the same moment differ by up to two."""
_AFTER = MARGIN + timedelta(days=1)  # what lasts less than a day may end in the next one


class Outline(NamedTuple):
    """`uid` (one made from the text where it has none) and the first and last day, or None.

    `fine` where a rule may give several times a day.
    """

    uid: str
    first: date | None
    last: date | None
    fine: bool = False

    def misses(self, start: date, end: date) -> bool:
        """Whether it surely does not touch the days [start, end)."""
        return (self.last is not None and self.last < start) or (
            self.first is not None and self.first >= end
        )


Values = dict[bytes, list[bytes]]


def outline(component: ComponentText) -> Outline:
    """The outline of a component, worked out once."""
    if component.outline is None:
        component.outline = _outline(component)
    return component.outline


def _outline(component: ComponentText) -> Outline:
    raw = component.raw
    lines = _LINE.findall(raw)
    try:
        if (plain := _plain(component.kind, dict(lines), len(lines))) is not None:
            return plain
        first, last = _bounds(component.kind, _values(lines))
    except (ValueError, OverflowError):
        first = last = None
    found = next((rest for name, rest in lines if name.upper() == b"UID"), b"")
    uid = _uid(found.partition(b":")[2].strip())
    fine = any(name.upper() == b"RRULE" and _FINE.search(rest) for name, rest in lines)
    return Outline(uid or "no-uid-" + sha256(raw).hexdigest()[:16], first, last, fine)


def _plain(kind: str, values: dict[bytes, bytes], lines: int) -> Outline | None:
    """The outline of an event that has a UID and happens once, as nearly all do, or None."""
    if kind == "VTODO" or len(values) != lines:
        return None
    uid, start, end, length = map(values.pop, _OF_PLAIN, _NONE)
    if values or not 1 < len(uid) <= LONGEST_NAME or uid[:1] != b":":
        return None
    first = last = _around(start.rpartition(b":")[2])
    if end:
        last = _around(end.rpartition(b":")[2])
    name = _uid(uid[1:])
    if first is None or last is None or not name or (length and not _SHORT.fullmatch(length)):
        return None
    # What ends before it starts is shown where it starts.
    return Outline(name, first[0], max(first[1], last[1]))


_OF_PLAIN = (b"UID", b"DTSTART", b"DTEND", b"DURATION")
_NONE = (b"", b"", b"", b"")
_SHORT = re.compile(rb":PT(?:(?:1?\d|2[0-3])H(?:[0-5]?\dM)?|\d{1,3}M)")
"""Durations of less than a day."""
_TIME = re.compile(rb"(\d{8})(?:T\d{6}Z?)?")


def _around(value: bytes) -> tuple[date, date] | None:
    """The first and last day that a time can lie on, None where it is not plainly written."""
    found = _TIME.fullmatch(value)
    return _around_day(found[1]) if found else None


@lru_cache(maxsize=10_000)
def _around_day(digits: bytes) -> tuple[date, date]:
    day = date(int(digits[:4]), int(digits[4:6]), int(digits[6:]))
    return day - MARGIN, day + _AFTER


def _values(lines: Iterable[tuple[bytes, bytes]]) -> Values:
    values: Values = {}
    for name, rest in lines:
        values.setdefault(name.upper(), []).append(rest)
    return values


def _uid(raw: bytes) -> str:
    """The UID; one too long to be kept whole stays the same by its beginning and a digest."""
    if len(raw) <= LONGEST_NAME:
        return decoded(raw).strip()
    return f"{decoded(raw[:100])}-{sha256(raw).hexdigest()[:16]}"


def earliest(one: date | None, other: date | None) -> date | None:
    """The earlier of two first days; None, no bound at all, where one has none."""
    return None if one is None or other is None else min(one, other)


def latest(one: date | None, other: date | None) -> date | None:
    """The later of two last days; None, no bound at all, where one has none."""
    return None if one is None or other is None else max(one, other)


def _bounds(kind: str, values: Values) -> tuple[date | None, date | None]:
    starts = values.get(b"DTSTART")
    if kind == "VTODO" or starts is None or _is_odd(values):
        return None, None
    begins = _days(starts)
    if not begins:
        return None, None
    ends = _days(values.get(b"DTEND", ()))
    named = [*begins, *ends]
    for name in (b"RDATE", b"RECURRENCE-ID"):
        if name in values:
            named += _days(values[name])
    periods = [one for text in values.get(b"RDATE", ()) for one in _PERIOD.findall(text)]
    span = _span(begins, ends, [*values.get(b"DURATION", ()), *periods])
    first = min(named) - MARGIN
    last: date | None = max(named)
    one_start = len(starts) == 1  # of several one counts, and the rule goes by that
    for rule in values.get(b"RRULE", ()):
        short = len(rule) <= _LONGEST_RULE
        until = _rule_end(rule.upper(), max(begins)) if short and one_start else None
        last = max(last, until) if last is not None and until is not None else None
    return first, last + span + MARGIN if last is not None else None


def _is_odd(values: Values) -> bool:
    """Whether more is to be looked at than these lines say: a range, a list that goes on."""
    if b"RECURRENCE-ID" in values and any(
        b"RANGE" in text.upper() for text in values[b"RECURRENCE-ID"]
    ):
        return True
    return any(
        text.rstrip().endswith(_UNFINISHED)
        for name in (b"DTSTART", b"DTEND", b"DURATION", b"RRULE", b"RDATE")
        for text in values.get(name, ())
    )


def _days(texts: Iterable[bytes]) -> list[date]:
    return [
        date(int(year), int(month), int(day))
        for text in texts
        for year, month, day in _DAY.findall(text)
    ]


def _span(starts: list[date], ends: list[date], durations: Iterable[bytes]) -> timedelta:
    from_ends = max(ends) - min(starts) if ends else timedelta(0)
    days = max((_duration_days(text[:200].upper()) for text in durations), default=0.0)
    return max(from_ends, timedelta(days=int(days) + 1))


def _duration_days(text: bytes) -> float:
    return sum(int(number) * _UNIT_DAYS[unit] for number, unit in _LONG.findall(text))


def _rule_end(rule: bytes, start: date) -> date | None:
    """The last day a rule can reach, or None where that cannot be told cheaply."""
    if rule.count(b"UNTIL") > 1:  # whichever is meant
        return None
    if found := _UNTIL.search(rule):
        return date(int(found[1]), int(found[2]), int(found[3]))
    numbers = dict(_NUMBER.findall(rule))
    if b"COUNT" not in numbers:
        return None
    interval = int(numbers.get(b"INTERVAL", 1))
    periods = int(numbers[b"COUNT"]) * interval
    text = rule.lstrip(b" :")
    if _SIMPLE.fullmatch(text):
        if interval % 7 == 0 and b"DAILY" in text and b"BYDAY" in text:
            return None  # always the same day of the week: all of them are meant, or none
        # A simple weekly rule gives something in every period, and so does a daily one.
        return start + timedelta(days=periods * 7 + 7)
    if (monthly := _MONTHLY.fullmatch(text)) and (monthly[1] or start.day <= _SHORTEST_MONTH):
        return start + timedelta(days=(periods + 1) * _LONGEST_MONTH)
    return None
