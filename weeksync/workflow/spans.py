"""Weeks and spans of days as people name them: `this`, `next`, `29 Dec`, `2027-W12`, FROM/TO."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, timedelta

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.model.week import IsoWeek, Month
from weeksync.workflow.clock import FIRST_YEAR, LAST_YEAR
from weeksync.workflow.context import Context

WORDS = {"last": -1, "this": 0, "next": 1}
"""Weeks by word, counted from the week of `now`; understood in every language."""

ENDS_FROM = 4
"""From its fifth day on a week is ending: Friday, where weeks begin on Monday."""

_NEAR = {"today": 0, "tomorrow": 1, "yesterday": -1}

MOST_DAYS = 3_700
"""The longest span that is shown at once: ten years."""


def week_ending(context: Context) -> IsoWeek:
    """The week that is ending or has just ended: it is looked back on where none is named."""
    return context.rule.week_of(context.today - timedelta(days=ENDS_FROM))


def week_ahead(context: Context) -> IsoWeek:
    """The week that is planned where none is named: from Friday on the coming one, before this one.

    It is always the one after `week_ending`, so that an evening closes the one and plans the other.
    """
    return week_ending(context).shifted(1)


def week_named(text: str, context: Context) -> IsoWeek:
    """The week that a person means; UsageError where the text names none.

    A day stands for its week; a day without a year for the nearest such day.
    """
    plain = text.strip()
    this = context.rule.week_of(context.today)
    if plain.lower() in WORDS:
        return this.shifted(WORDS[plain.lower()])
    try:
        week = IsoWeek.parse(plain.upper())
    except ValueError:
        day = _day(plain, context)
    else:
        day = _within(week.thursday)
    if day is None:
        raise UsageError(
            message(
                '"{value}" names no week; write this, next, last, 2027-W12, 2027-03-24 or 24 Mar',
                value=text,
            )
        )
    return context.rule.week_of(day)


def span_named(text: str, context: Context) -> IsoWeek | Month | tuple[date, date]:
    """A week, a month (`2027-03`), or the two days of `FROM/TO`, both included."""
    if "/" in text:
        return _between(text, context)
    if re.fullmatch(r"\d{4}-\d{2}", text.strip(), re.ASCII):
        with suppress(ValueError):
            if (first := _within(date.fromisoformat(f"{text.strip()}-01"))) is not None:
                return Month.of(first)
    return week_named(text, context)


def day_named(text: str, context: Context) -> date:
    """The day that a person means; UsageError where the text names none.

    Besides the days of `week_named` a weekday in the household's language: the next such day,
    today among them. A day without a year is one that is to come.
    """
    day = _weekday(text.strip().casefold(), context) or _day(text.strip(), context)
    if day is not None and day < context.today and not _has_year(text):
        day = _real(day.year + 1, day.month, day.day)
    if day is None:
        raise UsageError(
            message('"{value}" names no day; write it as 2027-03-24, 24 Mar or Wed', value=text)
        )
    return day


def past_day_named(text: str, context: Context) -> date:
    """The day that a person means who looks back; UsageError where the text names none.

    As `day_named`, but a weekday is the last such day, today among them, and a day without a
    year one that is not to come.
    """
    day = _weekday(text.strip().casefold(), context, back=True) or _day(text.strip(), context)
    if day is not None and day > context.today and not _has_year(text):
        day = _real(day.year - 1, day.month, day.day)
    if day is None:
        raise UsageError(
            message('"{value}" names no day; write it as 2027-03-24, 24 Mar or Wed', value=text)
        )
    return day


def _has_year(text: str) -> bool:
    return text.strip().lower() in _NEAR or re.search(r"\d{4}", text) is not None


def _weekday(word: str, context: Context, *, back: bool = False) -> date | None:
    """The next day (the last, looking `back`) of a weekday whose name begins with `word`."""
    days = (context.today + timedelta(days=-by if back else by) for by in range(7))
    return next(
        (
            day
            for day in days
            for width in ("wide", "abbreviated")
            if len(word) > 1
            and context.language.weekday(day.weekday(), width).casefold().startswith(word)
        ),
        None,
    )


def _between(text: str, context: Context) -> tuple[date, date]:
    """The days of `FROM/TO`; a week or a month as an end gives its outermost day."""
    begin, _, end = text.partition("/")
    first, last = _days(begin.strip(), context), _days(end.strip(), context)
    if first is None or last is None or last[1] < first[0]:
        raise UsageError(
            message(
                '"{value}" is no span of days; write the first and the last day, '
                "as 2027-03-22/2027-04-04",
                value=text,
            )
        )
    if (last[1] - first[0]).days >= MOST_DAYS:
        raise UsageError(
            message('"{value}" is longer than {most} days', value=text, most=MOST_DAYS)
        )
    return first[0], last[1]


def _days(text: str, context: Context) -> tuple[date, date] | None:
    if re.fullmatch(r"\d{4}-[Ww]\d{2}|\d{4}-\d{2}", text, re.ASCII):
        try:
            named = span_named(text, context)
        except UsageError:
            return None
        if isinstance(named, Month):
            return named.first, named.last
        if isinstance(named, IsoWeek):
            days = context.rule.days(named)
            return days[0], days[-1]
    day = _day(text, context)
    return (day, day) if day is not None else None


def _within(day: date | None) -> date | None:
    """The day where it lies in the years that weeksync works in."""
    return day if day is not None and FIRST_YEAR <= day.year <= LAST_YEAR else None


def _day(text: str, context: Context) -> date | None:
    """A day as ISO 8601, `today`, `tomorrow`, or day and month in the household's language."""
    if text.lower() in _NEAR:
        return context.today + timedelta(days=_NEAR[text.lower()])
    try:
        return _within(date.fromisoformat(text))
    except ValueError:
        return _within(_day_and_month(text, context))


def _day_and_month(text: str, context: Context) -> date | None:
    """`29 Dec`, `Dec 29`, `29. Dezember 2027`: the nearest such day where no year is given."""
    numbers = [int(one) for one in re.findall(r"\d+", text)]
    words = re.findall(r"[^\W\d_]{3,}", text.casefold())
    month = next((number for word in words for number in _months(word, context)), None)
    if month is None or not numbers or len(numbers) > 2:
        return None
    numbers.sort()
    if len(numbers) == 2:
        return _real(numbers[1], month, numbers[0])
    years = (context.today.year + by for by in (-1, 0, 1))
    days = [day for year in years if (day := _real(year, month, numbers[0])) is not None]
    return min(days, key=lambda day: abs((day - context.today).days), default=None)


def _months(word: str, context: Context) -> Iterator[int]:
    """The months whose name, long or short, begins with that word."""
    for number in range(1, 13):
        for width in ("wide", "abbreviated"):
            if context.language.month(number, width).casefold().startswith(word):
                yield number


def _real(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except (ValueError, OverflowError):
        return None
