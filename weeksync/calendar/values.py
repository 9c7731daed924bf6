"""Dates, times and durations as RFC 5545 writes them (sections 3.3.4 to 3.3.6)."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from weeksync.lazy import dataclass

_DATE_TIME = re.compile(
    r"(\d{4})-?(\d\d)-?(\d\d)"
    r"(?:[Tt ](\d\d):?(\d\d)(?::?(\d\d)(?:[.,]\d{1,9})?)?([Zz]|[+-]\d\d:?[0-5]\d)?)?",
    re.ASCII,
)
_DURATION = re.compile(
    r"([+-]?)P(?=\d|T\d)(?:(\d{1,6})W)?(?:(\d{1,7})D)?"
    r"(?:T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9})S)?)?",
    re.ASCII | re.IGNORECASE,
)
LATEST = datetime(9999, 12, 30)
EARLIEST = datetime(1, 1, 2)
"""Within these every time zone can be reckoned without leaving the years Python knows."""


@dataclass(frozen=True, slots=True)
class Written:
    """A DATE or DATE-TIME as written: naive `local` (midnight for a date)."""

    local: datetime
    utc: bool = False
    is_date: bool = False


@dataclass(frozen=True, slots=True)
class Length:
    """How long something takes: whole `days` by the calendar, then exact `seconds`.

    RFC 5545 section 3.3.6: days and weeks are nominal, hours, minutes and seconds accurate.
    """

    days: int = 0
    seconds: int = 0

    @property
    def whole_days(self) -> int:
        """In days, for something that takes whole days: what is begun counts."""
        return self.days - (-self.seconds // 86_400)

    @property
    def most(self) -> timedelta:
        """What it does not exceed, clock changes apart."""
        return timedelta(days=abs(self.days), seconds=abs(self.seconds))


def written(text: str, *, date_only: bool = False) -> Written:
    """The DATE or DATE-TIME; ValueError where it is none.

    Which of the two it is shows in its form, since VALUE parameters are often wrong;
    `date_only` takes the day of a DATE-TIME. Seconds may be missing; a 60th second is read as
    the 59th (section 3.3.12); 24:00 is the next day's first moment. An offset from UTC, which
    section 3.3.5 forbids, makes it a time in UTC; parts of a second are dropped.
    """
    found = _DATE_TIME.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"{text[:40]!r} is no date or time")
    day = datetime(int(found[1]), int(found[2]), int(found[3]))
    if found[4] is None or date_only:
        return Written(min(day, LATEST), is_date=True)
    hour, minute, second = int(found[4]), int(found[5]), int(found[6] or 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second > 0):
        raise ValueError(f"{text[:40]!r} is no time")
    moment = later(day, timedelta(hours=hour, minutes=minute, seconds=min(second, 59)))
    moment = later(moment, -_offset(found[7] or ""))
    return Written(min(moment, LATEST), utc=bool(found[7]))


def _offset(text: str) -> timedelta:
    if text[:1] not in {"+", "-"}:
        return timedelta(0)
    size = timedelta(hours=int(text[1:3]), minutes=int(text[-2:]))
    return -size if text[0] == "-" else size


def duration(text: str) -> Length:
    """The duration; ValueError where it is none."""
    found = _DURATION.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"{text[:40]!r} is no duration")
    weeks, days, hours, minutes, seconds = (int(part or 0) for part in found.groups()[1:])
    sign = -1 if found[1] == "-" else 1
    return Length(sign * (weeks * 7 + days), sign * (hours * 3600 + minutes * 60 + seconds))


def later(moment: datetime, by: timedelta) -> datetime:
    """`moment + by`, held within the years that can be reckoned."""
    try:
        return moment + by
    except OverflowError:
        return (LATEST if by > timedelta(0) else EARLIEST).replace(tzinfo=moment.tzinfo)
