"""Closing a week: what was planned, chosen, marked and changed is kept as it is, for good."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import weeksync
from weeksync import zones
from weeksync.errors import UsageError
from weeksync.household import keep_closed, set_aside
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.archive import ClockChange, ClosedView, ClosedWeek
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.week import IsoWeek
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome

CLOCKS = timedelta(days=731)
"""How long before and after a week its clocks are kept: tasks on it may fall due far off."""


def closed(context: Context) -> Mapping[IsoWeek, ClosedWeek]:
    """The closed weeks, each read when it is asked for; damaged records are not among them."""
    return context.archive


def last_over(context: Context) -> IsoWeek:
    """The last week that is over."""
    return context.rule.week_of(context.today).shifted(-1)


def close_week(context: Context, week: IsoWeek, *, ending: bool = False) -> Outcome:
    """Keep the week as it is now; UsageError where it is not over yet.

    With `ending` its last day is late enough: for who closes it in the evening, and was told that
    marks of what is left of that day will not count. One that is closed already stays as it was
    closed. HouseholdError where it cannot be written.
    """
    if week in context.archive.weeks:
        return _closed_already(context, week)
    last = context.rule.days(week)[-1]
    if last > context.today or (last == context.today and not ending):
        first = last if ending else last + timedelta(days=1)
        raise UsageError(
            message(
                "the week {week} is not over; it can be closed from {day} on",
                week=str(week),
                day=first.isoformat(),
            )
        )
    from weeksync.workflow.show import planned  # whoever only asks about closed weeks plans none

    gathered, spread = planned(context, week)
    record = ClosedWeek(
        week=week,
        closed_at=context.now.astimezone(UTC),
        tzdata=zones.tzdata_version(),
        version=weeksync.__version__,
        view=ClosedView.of(context.config, _clocks(context, week)),
        # What is wrong today in files and feeds is told today; it is no part of the week.
        spread=replace(spread, problems=()),
    )
    path = keep_closed(context.folder, record)
    if path is None:
        return _closed_already(context, week)
    done = [
        message("The week {week} is closed: {place}", week=str(week), place=str(path)),
        message("weeksync build makes its pages from that alone."),
    ]
    if last == context.today:
        done.append(
            message(
                "{week} ends tonight. Closed now, it is kept as it is; what is marked later "
                "tonight is kept as well, but counts only when the week is opened again.",
                week=str(week),
            )
        )
    return Outcome.of(done, (*gathered.problems, *_not_pulled_since(context, last)))


def _closed_already(context: Context, week: IsoWeek) -> Outcome:
    found = replace(context).archive.get(week)  # read anew: another run may have closed it
    return Outcome.of([closed_when(context, week, found)], ())


def closed_when(context: Context, week: IsoWeek, found: ClosedWeek | None) -> Message:
    """That the week is closed, and since when."""
    if found is None:
        return message("The week {week} is closed.", week=str(week))
    return message(
        "The week {week} is closed since {when}.",
        week=str(week),
        when=context.language.moment(found.closed_at.astimezone(context.tz)),
    )


def _clocks(context: Context, week: IsoWeek) -> tuple[ClockChange, ...]:
    middle = week.thursday
    first = middle - CLOCKS if middle - date.min > CLOCKS else date.min
    changes = zones.offset_changes(context.tz, first, middle + CLOCKS)
    return tuple(ClockChange(since, offset) for since, offset in changes)


def _not_pulled_since(context: Context, last: date) -> list[Problem]:
    """Calendars whose copy is from before the week was over: what came later is not kept."""
    from weeksync.store import Store

    with Store.open(context.state, write=False) as store:
        states = store.states()
    found = []
    for source in context.config.calendars:
        state = states.get(source.id)
        good = state.last_good if state is not None else None
        if good is not None and good.astimezone(context.tz).date() <= last:
            what = message(
                "the calendar “{calendar}” was pulled before the week was over; what it says "
                "since then is not kept",
                calendar=source.label,
            )
            remedy = message(
                "to have that too: weeksync close --reopen, weeksync pull, weeksync close"
            )
            found.append(Problem(ProblemKind.NOTICE, what, Place(source=source.id), remedy))
    return found


def reopen_week(context: Context, week: IsoWeek) -> Outcome:
    """Let the week be computed again from what is there now; its record is kept beside.

    UsageError where it is not closed.
    """
    beside = set_aside(context.folder, week, context.now.astimezone(UTC))
    if beside is None:
        raise UsageError(
            message(
                "the week {week} is not closed; closed are: {known}",
                week=str(week),
                known=", ".join(map(str, sorted(context.archive.weeks))) or "–",
            )
        )
    done = [
        message(
            "The week {week} is open again; as it was closed it is kept in {place}",
            week=str(week),
            place=str(beside),
        )
    ]
    return Outcome.of(done, ())


@dataclass(frozen=True, slots=True)
class ListedWeek:
    """A closed week in a list; `closed_at` is None where its record cannot be read."""

    week: IsoWeek
    closed_at: datetime | None
    reopened: tuple[datetime, ...] = ()


def listed(context: Context) -> tuple[tuple[ListedWeek, ...], tuple[Problem, ...]]:
    """All closed weeks in order, and what is wrong with their records."""
    weeks = []
    for week in sorted(context.archive.weeks):
        found = context.archive.get(week)
        at, again = (found.closed_at, found.reopened) if found is not None else (None, ())
        weeks.append(ListedWeek(week, at, again))
    return tuple(weeks), context.archive.problems


def kept_but_closed(week: IsoWeek) -> Message:
    """What is said of marks for a closed week."""
    return message(
        "the week {week} is closed; the mark is kept, and counts when the week is reopened",
        week=str(week),
    )
