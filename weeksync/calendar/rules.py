"""Recurrence rules as text → a checked record (RFC 5545 section 3.3.10).

What the RFC leaves open or contradicts itself in, and what is done here:

- INTERVAL and COUNT below 1, parts out of their range, and a calendar scale other than the
  Gregorian (RFC 7529) make a rule unusable: ValueError. So does SKIP without RSCALE, which RFC
  7529 section 4.1 forbids.
- BYSECOND=60 is the 59th second, as section 3.3.12 has it for clocks without leap seconds.
- COUNT and UNTIL together are forbidden; where both stand, both bound the rule.
- Unknown parts are passed over.
"""

from __future__ import annotations

import re

from weeksync.calendar.values import Written, written
from weeksync.lazy import dataclass

YEARLY, MONTHLY, WEEKLY, DAILY, HOURLY, MINUTELY, SECONDLY = range(7)
OMIT, BACKWARD, FORWARD = "OMIT", "BACKWARD", "FORWARD"
_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY")
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_DAY = re.compile(r"([+-]?\d{1,2})?(MO|TU|WE|TH|FR|SA|SU)", re.ASCII)
_NUMBER = re.compile(r"[+-]?\d{1,3}", re.ASCII)
_BOUNDS = {
    "BYMONTH": (1, 12),
    "BYWEEKNO": (-53, 53),
    "BYYEARDAY": (-366, 366),
    "BYMONTHDAY": (-31, 31),
    "BYHOUR": (0, 23),
    "BYMINUTE": (0, 59),
    "BYSECOND": (0, 60),
    "BYSETPOS": (-366, 366),
}
"""The range of each part; 0 is in none that goes below zero."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One RRULE. `freq` is YEARLY 0 … SECONDLY 6; `by_day` holds (ordinal or 0, weekday 0-6).

    `skip` says where a day goes that its month or year has not: BACKWARD, FORWARD, or OMIT.
    """

    freq: int
    interval: int = 1
    count: int | None = None
    until: Written | None = None
    week_start: int = 0
    by_month: tuple[int, ...] = ()
    by_week_no: tuple[int, ...] = ()
    by_year_day: tuple[int, ...] = ()
    by_month_day: tuple[int, ...] = ()
    by_day: tuple[tuple[int, int], ...] = ()
    by_hour: tuple[int, ...] = ()
    by_minute: tuple[int, ...] = ()
    by_second: tuple[int, ...] = ()
    by_set_pos: tuple[int, ...] = ()
    skip: str = OMIT

    @property
    def bare(self) -> bool:
        """Whether it has no BY part at all: every period then holds what DTSTART says."""
        return not (
            self.by_month
            or self.by_week_no
            or self.by_year_day
            or self.by_month_day
            or self.by_day
            or self.by_hour
            or self.by_minute
            or self.by_second
            or self.by_set_pos
        )


def parse_rule(text: str) -> Rule:
    """The rule of an RRULE value; ValueError where it cannot be used."""
    parts = _parts(text)
    if parts.get("FREQ") not in _FREQUENCIES:
        raise ValueError("it has no FREQ")
    if parts.get("RSCALE", "GREGORIAN") != "GREGORIAN":
        raise ValueError("only the Gregorian scale is understood")
    if (skip := parts.get("SKIP", OMIT)) not in (OMIT, BACKWARD, FORWARD):
        raise ValueError(f"SKIP={skip[:20]} is none of OMIT, BACKWARD, FORWARD")
    if skip != OMIT and "RSCALE" not in parts:
        raise ValueError("SKIP stands without RSCALE")
    if (start := parts.get("WKST", "MO")) not in _WEEKDAYS:
        raise ValueError(f"WKST={start[:20]} is no weekday")
    until = parts.get("UNTIL")
    return Rule(
        freq=_FREQUENCIES.index(parts["FREQ"]),
        interval=_positive(parts, "INTERVAL") or 1,
        count=_positive(parts, "COUNT"),
        until=written(until) if until is not None else None,
        week_start=_WEEKDAYS.index(start),
        by_month=_numbers(parts, "BYMONTH"),
        by_week_no=_numbers(parts, "BYWEEKNO"),
        by_year_day=_numbers(parts, "BYYEARDAY"),
        by_month_day=_numbers(parts, "BYMONTHDAY"),
        by_day=_days(parts.get("BYDAY", "")),
        by_hour=_numbers(parts, "BYHOUR"),
        by_minute=_numbers(parts, "BYMINUTE"),
        by_second=tuple(sorted({min(one, 59) for one in _numbers(parts, "BYSECOND")})),
        by_set_pos=_numbers(parts, "BYSETPOS"),
        skip=skip,
    )


def _parts(text: str) -> dict[str, str]:
    plain = text.strip().upper().removeprefix("RRULE:")
    pairs = (part.partition("=") for part in plain.split(";") if part.strip())
    return {name.strip(): value.strip() for name, _, value in pairs}


def _positive(parts: dict[str, str], name: str) -> int | None:
    value = parts.get(name)
    if value is None:
        return None
    if not (value.isascii() and value.isdigit() and len(value) <= 12 and int(value) >= 1):
        raise ValueError(f"{name}={value[:20]} is not 1 or more")
    return int(value)


def _numbers(parts: dict[str, str], name: str) -> tuple[int, ...]:
    low, high = _BOUNDS[name]
    found: set[int] = set()
    for item in parts.get(name, "").split(",") if parts.get(name) else ():
        if not _NUMBER.fullmatch(item.strip()):
            raise ValueError(f"{name}={item[:20]} is no number")
        number = int(item)
        if not low <= number <= high or (number == 0 and low < 0):
            raise ValueError(f"{name}={number} is out of range")
        found.add(number)
    return tuple(sorted(found))


def _days(value: str) -> tuple[tuple[int, int], ...]:
    found: set[tuple[int, int]] = set()
    for item in value.split(",") if value else ():
        day = _DAY.fullmatch(item.strip())
        if day is None or (day[1] and not 1 <= abs(int(day[1])) <= 53):
            raise ValueError(f"BYDAY={item[:20]} is no weekday")
        found.add((int(day[1] or 0), _WEEKDAYS.index(day[2])))
    return tuple(sorted(found))
