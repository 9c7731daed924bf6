"""Kinds of value that several household files share, each with its rule and its remedy."""

from __future__ import annotations

import re
from datetime import date, time
from enum import StrEnum
from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.mistake import Mistake
from weeksync.model.record import Checked, Length, Record, Within


class Weekday(StrEnum):
    """A day of the week, as it is written in the files; `.number` is 0 for Monday."""

    MONDAY = "monday"
    TUESDAY = "tuesday"
    WEDNESDAY = "wednesday"
    THURSDAY = "thursday"
    FRIDAY = "friday"
    SATURDAY = "saturday"
    SUNDAY = "sunday"

    @property
    def number(self) -> int:
        """0 for Monday to 6 for Sunday, as `date.weekday()` counts."""
        return _NUMBERS[self]


_NUMBERS = {weekday: number for number, weekday in enumerate(Weekday)}


class DayPart(StrEnum):
    """A part of the day; its hours are set in `config.toml`."""

    MORNING = "morning"
    AFTERNOON = "afternoon"
    EVENING = "evening"


class MarkKind(StrEnum):
    """What one mark of a habit says."""

    YES_NO = "yes/no"
    COUNT = "count"
    MINUTES = "minutes"
    HOURS = "hours"
    SCALE = "scale"


MOST_FIGURE = 1e9
"""The greatest figure of a habit; beyond that nothing can be written as people read it."""
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,63}", re.ASCII)
_HOURS = re.compile(r"([01]\d|2[0-3]):([0-5]\d)-([01]\d|2[0-4]):([0-5]\d)", re.ASCII)


_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
YEARS = range(1900, 2200)
"""The years a date of a household may lie in; a slip of the pen lies outside."""


_WORDS = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+", re.ASCII)
TODO_ID = "todo-"
"""How the ids begin that calendars' to-dos are given."""


def reads_as_id(text: str) -> bool:
    """Whether a text is written as ids are: small letters and digits with hyphens between.

    Among priorities it is then meant as one; words of one's own are written otherwise.
    """
    return _WORDS.fullmatch(text) is not None


def _check_id(value: str) -> str:
    if not _ID.fullmatch(value):
        raise Mistake(
            message("{key} = {value} is no id"),
            message("write small letters, digits and hyphens, at most 64, as garden-gate"),
        )
    return value


def _check_rule(value: str) -> str:
    from weeksync.model.recurrence import ever_falls, parse_rule

    try:
        parse_rule(value, date(2000, 1, 1))
        if not ever_falls(value):
            raise ValueError("it falls on no day")
    except ValueError as error:
        raise Mistake(
            message("{key} = {value} is no RRULE of RFC 5545 ({reason})", reason=str(error)),
            message("write one as FREQ=MONTHLY;BYMONTHDAY=24"),
        ) from error
    return value


def _check_hours(value: str) -> str:
    if parse_hours(value) is None:
        raise Mistake(
            message("{key} = {value} are no hours"),
            message("write from-to on the 24-hour clock, as 08:00-12:30"),
        )
    return value


def _check_currency(value: str) -> str:
    if not _CURRENCY.fullmatch(value):
        raise Mistake(
            message("{key} = {value} is no currency"),
            message("write the three capital letters of ISO 4217, as GBP"),
        )
    return value


def _check_day(value: date) -> date:
    if value.year not in YEARS:
        raise Mistake(
            message("{key} = {value} lies too far away"),
            message("write a year from {first} to {last}, with four digits", first=1900, last=2199),
        )
    return value


def _check_local(value: time) -> time:
    if value.tzinfo is not None:
        raise Mistake(
            message("{key} = {value} has an offset"),
            message("write the time of the household's zone alone, as 14:30:00"),
        )
    return value


def parse_hours(value: str) -> tuple[int, int] | None:
    """Minutes after midnight (from, to) of a text such as `08:00-12:30`, or None.

    `to` may be 24:00; where it is not after `from` the span runs over midnight, and then `to`
    is counted on (22:00-06:00 gives 1320, 1800).
    """
    found = _HOURS.fullmatch(value)
    if found is None:
        return None
    start = int(found[1]) * 60 + int(found[2])
    end = int(found[3]) * 60 + int(found[4])
    if end > 24 * 60:
        return None
    return (start, end) if end > start else (start, end + 24 * 60)


def minutes_of(moment: time) -> int:
    """Minutes after midnight."""
    return moment.hour * 60 + moment.minute


Id = Annotated[str, Checked(_check_id)]
Title = Annotated[str, Length(least=1, most=300)]
RuleText = Annotated[str, Checked(_check_rule)]
Hours = Annotated[str, Checked(_check_hours)]
Minutes = Annotated[int, Within(least=0, most=24 * 60)]
Currency = Annotated[str, Checked(_check_currency)]
Day = Annotated[date, Checked(_check_day)]
LocalTime = Annotated[time, Checked(_check_local)]
Ids = tuple[Id, ...]
MaybeId = Id | Literal[""]
OneOrMore = Id | Ids


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRecord(Record):
    """A whole file: it begins with its format."""

    format: Literal[1]
    """The version of this file's form."""
