"""A week, a month or any span of days as computed: for the terminal, and as a record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from weeksync import zones
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.problem import Problem
from weeksync.model.pulled import SourceState
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek, Month, days_between
from weeksync.plan import views
from weeksync.plan.kept import span_with
from weeksync.plan.record import as_record
from weeksync.store import Store
from weeksync.workflow import holiday_memo
from weeksync.workflow.context import Context
from weeksync.workflow.gather import Gathered, gather
from weeksync.workflow.outcome import unique
from weeksync.workflow.spans import span_named


def shown(
    context: Context, text: str, *, person: str | None = None, area: str | None = None
) -> tuple[Spread, tuple[Problem, ...]]:
    """The span that `text` names, with its problems; no pull and no pages are needed.

    `person` and `area` are ids and keep only what is theirs.
    """
    named = span_named(text, context)
    if isinstance(named, IsoWeek):
        closed = context.archive.get(named)
        if closed is not None:
            then = as_it_was(context, closed.spread)
            return view(then, closed.spread, person, area), ()
        gathered, spread = planned(context, named)
    else:
        first, last = (named.first, named.last) if isinstance(named, Month) else named
        with Store.open(context.state, write=False) as store:
            holiday_memo.recall(store)
            gathered = gather(context, store, first, last)
        spread = span_with(gathered.planner.span(first, last), _closed_in(context, first, last))
    problems = unique((*gathered.problems, *spread.problems, *context.archive.problems))
    return view(context, spread, person, area), problems


def _closed_in(context: Context, first: date, last: date) -> list[Spread]:
    """The closed weeks that have days in a span."""
    weeks = {context.rule.week_of(day) for day in days_between(first, last)}
    found = (context.archive.get(week) for week in sorted(weeks & context.archive.weeks))
    return [closed.spread for closed in found if closed is not None]


def as_it_was(context: Context, spread: Spread) -> Context:
    """The household as it was when that week was closed: its names, language and limits.

    As it is, where the spread is none of a closed week.
    """
    closed = context.archive.get(spread.week) if spread.week is not None else None
    if closed is None:
        return context
    return replace(context, files=replace(context.files, config=closed.view.as_config()))


def planned(context: Context, week: IsoWeek) -> tuple[Gathered, Spread]:
    """What was gathered, and the week with its plan.

    A proposal leaves to earlier weeks what they have room for, and looks ahead: so the days are
    read from this week on, or from the week itself, and for as long as the household looks ahead.
    """
    days, this = context.rule.days(week), context.rule.start(context.today)
    ahead = timedelta(weeks=context.config.planning.look_ahead_weeks)
    last = days[-1] + (ahead if days[-1] >= context.today else timedelta())
    first = min(this, days[0]) if days[0] - this <= ahead else days[0]
    with Store.open(context.state, write=False) as store:
        holiday_memo.recall(store)
        gathered = gather(context, store, first, last)
    return gathered, gathered.planner.week(week)


def view(context: Context, spread: Spread, person: str | None, area: str | None) -> Spread:
    """The span with what is a person's or an area's alone; UsageError where there is no such id."""
    if person is not None:
        if context.config.person(person) is None:
            raise UsageError(_nobody(person, ", ".join(one.id for one in context.config.people)))
        spread = views.for_person(spread, person)
    if area is not None:
        if context.config.area(area) is None:
            raise UsageError(_nobody(area, ", ".join(one.id for one in context.config.areas)))
        spread = views.for_area(spread, area)
    return spread


def _nobody(value: str, known: str) -> Message:
    return message('config.toml has no "{value}"; it has: {known}', value=value, known=known)


def record(context: Context, spread: Spread, problems: tuple[Problem, ...]) -> dict[str, Any]:
    """The span as the documented JSON record (`weeksync/schema/span-1.schema.json`)."""
    closed = context.archive.get(spread.week) if spread.week is not None else None
    states: dict[str, SourceState] = {}
    if closed is None:
        with Store.open(context.state, write=False) as store:
            states = store.states()
    household = as_it_was(context, spread).config.household
    return as_record(
        spread,
        household=household.name,
        now=context.now,
        time_zone=household.time_zone,
        tzdata=closed.tzdata if closed is not None else zones.tzdata_version(),
        problems=problems,
        states=states,
        closed=(closed.closed_at, closed.reopened) if closed is not None else None,
    )


def schema_text() -> str:
    """The JSON Schema of the record that `show --json` prints."""
    from importlib import resources  # only `show --schema` needs it

    return (resources.files("weeksync") / "schema" / "span-1.schema.json").read_text("utf-8")
