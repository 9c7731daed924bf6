"""Weeks: the ISO week that names files and addresses, and the rule that numbers a shown one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from functools import lru_cache

from weeksync.lazy import dataclass

_FORM = re.compile(r"(\d{4})-W(\d{2})", re.ASCII)
MONDAY, THURSDAY, SUNDAY = 0, 3, 6


@dataclass(frozen=True, slots=True, order=True)
class IsoWeek:
    """A week of ISO 8601: Monday first, week 1 holds 4 January."""

    year: int
    number: int

    def __post_init__(self) -> None:
        date.fromisocalendar(self.year, self.number, 1)

    # Thousands of sets and look-ups a night ask for these.

    def __eq__(self, other: object) -> bool:
        if other.__class__ is not IsoWeek:
            return NotImplemented
        return self.number == other.number and self.year == other.year

    def __hash__(self) -> int:
        return self.year * 64 + self.number

    @classmethod
    def of(cls, day: date) -> IsoWeek:
        """The week that `day` lies in."""
        calendar = day.isocalendar()
        return cls(calendar.year, calendar.week)

    @classmethod
    def parse(cls, text: str) -> IsoWeek:
        """The week written as `2027-W12`; ValueError where the text is no week."""
        found = _FORM.fullmatch(text)
        if found is None:
            raise ValueError(f"{text!r} is no week of the form 2027-W12")
        return cls(int(found[1]), int(found[2]))

    @property
    def monday(self) -> date:
        """The first day of the week."""
        return date.fromisocalendar(self.year, self.number, 1)

    @property
    def thursday(self) -> date:
        """The day that decides which year a week belongs to."""
        return date.fromisocalendar(self.year, self.number, 4)

    def shifted(self, weeks: int) -> IsoWeek:
        """The week that many weeks later (earlier where negative)."""
        return _shifted(self, weeks)

    def __str__(self) -> str:
        return f"{self.year:04}-W{self.number:02}"


@dataclass(frozen=True, slots=True)
class WeekRule:
    """How a territory counts weeks (CLDR): `first_weekday` 0 Monday … 6 Sunday, `min_days` 1–7."""

    first_weekday: int = MONDAY
    min_days: int = 4

    def start(self, day: date) -> date:
        """The first day of the shown week that holds `day`."""
        return day - timedelta(days=(day.weekday() - self.first_weekday) % 7)

    def spread_start(self, week: IsoWeek) -> date:
        """The first day of the spread that bears `week`: the one that holds its Thursday."""
        return self.start(week.thursday)

    def week_of(self, day: date) -> IsoWeek:
        """The ISO week whose spread shows `day`."""
        start = self.start(day)
        return IsoWeek.of(start + timedelta(days=(THURSDAY - start.weekday()) % 7))

    def days(self, week: IsoWeek) -> tuple[date, ...]:
        """The seven days of the spread that bears `week`, in the order shown."""
        return _days(self, week)

    def number(self, day: date) -> tuple[int, int]:
        """(year, number) of the week that holds `day`, as people of the territory count.

        CLDR: week 1 is the first week with at least `min_days` days in the year.
        """
        start = self.start(day)
        for year in (day.year + 1, day.year, day.year - 1):
            first = self._first_week(year)
            if start >= first:
                return year, (start - first).days // 7 + 1
        raise AssertionError(day)  # pragma: no cover - a week always belongs to a year

    def _first_week(self, year: int) -> date:
        new_year = date(year, 1, 1)
        start = self.start(new_year)
        in_year = 7 - (new_year - start).days
        return start if in_year >= self.min_days else start + timedelta(days=7)


# A night asks for the same weeks thousands of times, of the hundred and ten that it knows.


@lru_cache(maxsize=4096)
def _shifted(week: IsoWeek, weeks: int) -> IsoWeek:
    return IsoWeek.of(week.monday + timedelta(weeks=weeks))


@lru_cache(maxsize=1024)
def _days(rule: WeekRule, week: IsoWeek) -> tuple[date, ...]:
    start = rule.spread_start(week)
    return tuple(start + timedelta(days=offset) for offset in range(7))


@dataclass(frozen=True, slots=True, order=True)
class Month:
    """A calendar month, written `2027-03`."""

    year: int
    number: int

    @classmethod
    def of(cls, day: date) -> Month:
        """The month that `day` lies in."""
        return cls(day.year, day.month)

    @property
    def first(self) -> date:
        """The first day of the month."""
        return date(self.year, self.number, 1)

    @property
    def last(self) -> date:
        """The last day of the month."""
        return self.shifted(1).first - timedelta(days=1)

    def shifted(self, months: int) -> Month:
        """The month that many months later (earlier where negative)."""
        year, index = divmod(self.year * 12 + self.number - 1 + months, 12)
        return Month(year, index + 1)

    def __str__(self) -> str:
        return f"{self.year:04}-{self.number:02}"


def days_between(first: date, last: date) -> Iterator[date]:
    """Every date from `first` to `last`, both included."""
    for offset in range((last - first).days + 1):
        yield first + timedelta(days=offset)
