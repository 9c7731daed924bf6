"""Years as they have pages: closed weeks from their records in short, the others as planned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from weeksync.language import weekend
from weeksync.model.week import IsoWeek
from weeksync.model.year import Text, Year
from weeksync.plan import Planner
from weeksync.workflow.context import Context
from weeksync.workflow.year_gists import Gists, text_of

AHEAD = 1
"""How many years after this one have a page, where weeks of them have."""


def years_of(context: Context, first: date, last: date) -> tuple[int, ...]:
    """The years with a page: those with a closed week, and those of the days from first to last.

    Years are those of ISO 8601, as the weeks' names have them.
    """
    rule, latest = context.rule, context.rule.week_of(context.today).year + AHEAD
    around = range(rule.week_of(first).year, min(rule.week_of(last).year, latest) + 1)
    return tuple(sorted({*around, *Gists(context).years}))


def weeks_of(year: int) -> Iterator[IsoWeek]:
    """The 52 or 53 weeks of a year."""
    week = IsoWeek(year, 1)
    while week.year == year:
        yield week
        week = week.shifted(1)


def whole_year(context: Context, planner: Planner, gists: Gists, number: int) -> Year:
    """A year with everything: closed weeks as they were, and between them what is planned."""
    from weeksync.review.year import year_weeks

    held = gists.weeks(number)
    for first, last in _runs(week for week in weeks_of(number) if week not in held):
        days = context.rule.days(first)[0], context.rule.days(last)[-1]
        for one in year_weeks(planner.span(*days, planned=False), context.today):
            held[one.week] = one
    return Year(number, tuple(held[week] for week in weeks_of(number)))


def _runs(weeks: Iterable[IsoWeek]) -> Iterator[tuple[IsoWeek, IsoWeek]]:
    """(first, last) of each run of weeks that follow each other."""
    first = last = None
    for week in weeks:
        if first is None or last is None or last.shifted(1) != week:
            if first is not None and last is not None:
                yield first, last
            first = week
        last = week
    if first is not None and last is not None:
        yield first, last


def common_year(year: Year) -> Year:
    """What may hang where children and visitors read."""
    from weeksync.review.year import common

    return replace(year, weeks=tuple(map(common, year.weeks)))


def year_for(year: Year, person: str) -> Year:
    """What is that person's, or nobody's in particular."""
    from weeksync.review.year import for_person

    return replace(year, weeks=tuple(for_person(one, person) for one in year.weeks))


def year_planner(context: Context) -> Planner:
    """A planner without calendars: nothing of a year's page comes from them."""
    home = context.config.household
    return Planner(
        context.files,
        (),
        (),
        now=context.now,
        tz=context.tz,
        rule=context.rule,
        language=home.locale,
        weekend=weekend(home.region),
    )


def common_texts(gists: Gists, year: int) -> Iterator[tuple[IsoWeek, tuple[Text, ...]]]:
    """The texts of the closed weeks of a year that may hang where visitors read."""
    for week, texts in gists.texts(year):
        yield week, tuple(one for one in map(text_of, texts) if one.common)
