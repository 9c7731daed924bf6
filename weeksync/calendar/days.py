"""Which days of a year, month, week or day a rule means (RFC 5545 section 3.3.10, table p. 44).

Choices: BYWEEKNO without BYDAY means the weekday of DTSTART in that week, not its seven days;
BYMONTHDAY under YEARLY without BYMONTH means that day of every month (the table's "Expand");
the ordinal of BYDAY counts only where the RFC allows it (MONTHLY, and YEARLY without BYWEEKNO),
elsewhere the weekday alone counts. A week belongs to the year that holds four of its days.

With SKIP (RFC 7529 section 4.1) a numbered day that a month or year has not, as 31 June or day
366, becomes the day before or after it; it is moved once the months are chosen and before BYDAY
is looked at. Days counted from the back are left out where there are too few.
"""

from __future__ import annotations

import calendar
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from weeksync.calendar.rules import (
    BACKWARD,
    DAILY,
    HOURLY,
    MINUTELY,
    MONTHLY,
    OMIT,
    WEEKLY,
    YEARLY,
    Rule,
)
from weeksync.calendar.steps import Steps

Test = Callable[[date], bool]


def settled(rule: Rule, start: datetime) -> Rule:
    """The rule with what it leaves to DTSTART written into it (section 3.3.10, p. 43)."""
    fills: dict[str, object] = {}
    if not (rule.by_week_no or rule.by_year_day or rule.by_month_day or rule.by_day):
        if rule.freq == YEARLY and not rule.by_month:
            fills["by_month"] = (start.month,)
        if rule.freq in (YEARLY, MONTHLY):
            fills["by_month_day"] = (start.day,)
        elif rule.freq == WEEKLY:
            fills["by_day"] = ((0, start.weekday()),)
    elif rule.by_week_no and not (rule.by_year_day or rule.by_month_day or rule.by_day):
        fills["by_day"] = ((0, start.weekday()),)
    if rule.freq < HOURLY and not rule.by_hour:
        fills["by_hour"] = (start.hour,)
    if rule.freq < MINUTELY and not rule.by_minute:
        fills["by_minute"] = (start.minute,)
    if rule.freq <= MINUTELY and not rule.by_second:
        fills["by_second"] = (start.second,)
    return replace(rule, **fills)  # type: ignore[arg-type]


def tests(rule: Rule) -> tuple[Test, ...]:
    """What a day must pass; empty where every day does."""
    found: list[Test] = []
    if rule.by_month:
        months = frozenset(rule.by_month)
        found.append(lambda day: day.month in months)
    if rule.by_month_day:
        found.append(lambda day: _either(day.day, month_length(day), rule.by_month_day))
    if rule.by_year_day:
        found.append(lambda day: _either(_year_day(day), _year_length(day), rule.by_year_day))
    if rule.by_week_no:
        found.append(lambda day: _either(*_week(day, rule.week_start), rule.by_week_no))
    if rule.by_day:
        found.append(_weekday_test(rule))
    return tuple(found)


def _either(number: int, of: int, wanted: tuple[int, ...]) -> bool:
    """Whether it is wanted, counted from the front or from the back."""
    return number in wanted or number - of - 1 in wanted


def _weekday_test(rule: Rule) -> Test:
    plain = frozenset(weekday for ordinal, weekday in rule.by_day if not ordinal)
    if rule.freq > MONTHLY or rule.by_week_no:
        every = frozenset(weekday for _, weekday in rule.by_day)
        return lambda day: day.weekday() in every
    numbered = frozenset(rule.by_day)
    in_year = rule.freq == YEARLY and not rule.by_month

    def test(day: date) -> bool:
        weekday = day.weekday()
        if weekday in plain:
            return True
        number, of = (
            (_year_day(day), _year_length(day)) if in_year else (day.day, month_length(day))
        )
        from_front, from_back = (number - 1) // 7 + 1, -((of - number) // 7 + 1)
        return (from_front, weekday) in numbered or (from_back, weekday) in numbered

    return test


def month_length(day: date) -> int:
    """How many days the month of `day` has."""
    return calendar.monthrange(day.year, day.month)[1]


def _year_day(day: date) -> int:
    return day.timetuple().tm_yday


def _year_length(day: date) -> int:
    return 366 if calendar.isleap(day.year) else 365


def _week(day: date, week_start: int) -> tuple[int, int]:
    """(number of its week, weeks of the year that week belongs to) of a day."""
    middle = _middle(day, week_start)
    last = _middle(date(middle.year, 12, 28), week_start)
    return (_year_day(middle) - 1) // 7 + 1, (_year_day(last) - 1) // 7 + 1


def _middle(day: date, week_start: int) -> date:
    """The fourth day of its week: the year that holds it is the year of the week."""
    return day + timedelta(days=3 - (day.weekday() - week_start) % 7)


def days_in(rule: Rule, first: date, checks: Iterable[Test], steps: Steps) -> list[date]:
    """The days the settled `rule` means in the period that begins on `first`, in order."""
    days = list(_candidates(rule, first))
    steps.spend(1 + len(days))
    for check in checks:
        days = [day for day in days if check(day)]
    return days if rule.skip == OMIT else sorted({*days, *_moved(rule, first)})


def _moved(rule: Rule, first: date) -> Iterator[date]:
    """The days that stand for those which the period has not."""
    later = tests(replace(rule, by_month=(), by_month_day=(), by_year_day=(), by_day=()))
    if rule.by_day:
        later = (*later, _weekday_test(rule))
    for last in _too_short(rule, first):
        day = last if rule.skip == BACKWARD or last == date.max else last + timedelta(days=1)
        if all(check(day) for check in later):
            yield day


def _too_short(rule: Rule, first: date) -> Iterator[date]:
    """The last days of the months, or of the year, in which a numbered day is missing."""
    if rule.freq == YEARLY and max(rule.by_year_day, default=0) > _year_length(first):
        yield first.replace(month=12, day=31)
    if rule.freq > MONTHLY:
        return
    months = rule.by_month or range(1, 13)
    for month in months if rule.freq == YEARLY else {first.month} & set(months):
        length = month_length(first.replace(month=month))
        if max(rule.by_month_day, default=0) > length:
            yield first.replace(month=month, day=length)


def _candidates(rule: Rule, first: date) -> Iterator[date]:
    if rule.freq == DAILY:
        yield first
    elif rule.freq == WEEKLY:
        wanted = {(weekday - rule.week_start) % 7 for _, weekday in rule.by_day} or range(7)
        yield from (first + timedelta(days=offset) for offset in sorted(wanted))
    elif rule.freq == MONTHLY:
        yield from _month(rule, first)
    else:
        for month in rule.by_month or range(1, 13):
            yield from _month(rule, first.replace(month=month))


def _month(rule: Rule, first: date) -> Iterator[date]:
    """The days of a month that can be meant at all: tests on every day are slow."""
    length = month_length(first)
    if rule.by_month_day:
        numbers = {day if day > 0 else length + 1 + day for day in rule.by_month_day}
        yield from (first.replace(day=day) for day in sorted(numbers) if 1 <= day <= length)
        return
    if rule.by_day:
        opening = first.weekday()
        offsets = {(weekday - opening) % 7 for _, weekday in rule.by_day}
        days = sorted(day for offset in offsets for day in range(1 + offset, length + 1, 7))
        yield from (first.replace(day=day) for day in days)
        return
    yield from (first.replace(day=day) for day in range(1, length + 1))
