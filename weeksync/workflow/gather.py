"""From raw objects in the store to a planner: what is expanded once per run for its window."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from weeksync.calendar import KEPT, Expansion
from weeksync.language import weekend
from weeksync.lazy import dataclass
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.model.spread import LeftOut
from weeksync.plan import Planner, assign_todos, merge_todos
from weeksync.plan.assign import assign, filling
from weeksync.plan.coming_up import reach
from weeksync.plan.day_index import left_out_within
from weeksync.plan.engagements import MARGIN
from weeksync.plan.local_days import LocalDays
from weeksync.plan.merge import merge
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.kept_expansions import KeptExpansions
from weeksync.workflow.source_problems import standing_problems
from weeksync.workflow.ticks import tick_problems, with_ticks


@dataclass(frozen=True, slots=True)
class Gathered:
    """Everything about a window of days: the planner, and what it left out or met."""

    planner: Planner
    left_out: tuple[LeftOut, ...]
    problems: tuple[Problem, ...]


def gather(
    context: Context,
    store: Store,
    first: date,
    last: date,
    *,
    notes: bool = True,
    kept: KeptExpansions | None = None,
) -> Gathered:
    """Read the days from `first` to `last`, both included, from store and household files.

    Of the calendars somewhat more is read: what is to be begun on these days lies after them, and
    a way back from what ended before may reach into them. Of a kept window only these days are
    read, besides what stands in several calendars. Rows that are missing or out of date are
    computed, and kept where the store was opened for writing. Without `notes` those of kept rows
    are left empty. `kept` has expansions of exactly these days that were begun already.
    """
    start, end = window_of(context, first, last)
    by_hand = Expansion()
    if context.files.appointments:
        from weeksync.calendar import from_appointments  # all that knows of rules comes with it

        by_hand = from_appointments(context.files.appointments, start, end, context.tz)
    kept = kept or KeptExpansions(context, store, (start, end), notes=notes)
    return _gathered(context, store, kept, by_hand, (first, last))


def without_events(context: Context, store: Store, day: date) -> Gathered:
    """What has no place in time; its planner knows of no event. `day` is one that is kept.

    Nothing of the appointments is read, nor what is wrong with them.
    """
    kept = KeptExpansions(context, store, (day, day), notes=False)
    return _gathered(context, store, kept, Expansion((), (), ()), None)


def with_days(
    context: Context, store: Store, bare: Gathered, asked: Sequence[tuple[date, date]]
) -> Gathered:
    """`bare`, which was made `without_events`, with the events of all these spans of days.

    Of these days it has what `gather` has from the first to the last of them, without notes. What
    is kept must be up to date (`day_digests`).
    """
    spans = sorted(asked)
    whole = spans[0][0], max(last for _, last in spans)
    windows = [window_of(context, *days) for days in spans]
    kept = KeptExpansions(context, store, window_of(context, *whole))
    occurrences = kept.within(windows, filling(context.config))
    if occurrences is None:  # rows of a zone that is gone since
        return gather(context, store, *whole, notes=False)
    by_hand: dict[Occurrence, None] = {}  # what reaches into two windows is found in both
    if context.files.appointments:
        from weeksync.calendar import from_appointments

        for window in windows:
            found = from_appointments(context.files.appointments, *window, context.tz)
            by_hand |= dict.fromkeys(found.occurrences)
    shown, left_out = _merged(context, (*by_hand, *occurrences), whole)
    planner = bare.planner.with_events(shown, left_out)
    return Gathered(planner, planner.left_out, bare.problems)


def _gathered(
    context: Context,
    store: Store,
    kept: KeptExpansions,
    by_hand: Expansion,
    days: tuple[date, date] | None,
) -> Gathered:
    """Of the window of `kept`; without `days` no event is taken from it."""
    occurrences: list[Occurrence] = []
    todos: list[TodoItem] = []
    problems = [*context.files.problems, *standing_problems(store, context.config.calendars)]
    problems += tick_problems(context, store)
    for _, found in kept.all():
        occurrences += found.occurrences if days is not None else ()
        todos += found.todos
        # What its source no longer has nobody can put right: it was told while it was there.
        problems += (one for one in found.problems if KEPT not in one.place.object)
    problems += by_hand.problems
    filled = (*by_hand.occurrences, *assign(occurrences, context.config))
    shown, left_out = _merged(context, filled, days or kept.window)
    assigned = assign_todos(todos, context.config)
    home = context.config.household
    planner = Planner(
        context.files,
        shown,
        with_ticks(context, store, merge_todos(assigned, _order(context))),
        now=context.now,
        tz=context.tz,
        rule=context.rule,
        language=home.locale,
        weekend=weekend(home.region),
        left_out=left_out,
    )
    return Gathered(planner, planner.left_out, (*problems, *planner.problems))


def _merged(
    context: Context, filled: Iterable[Occurrence], days: tuple[date, date]
) -> tuple[tuple[Occurrence, ...], tuple[LeftOut, ...]]:
    """What is shown, and what is left out of these days."""
    shown, left_out = merge(filled, _order(context))
    return shown, left_out_within(left_out, LocalDays(context.tz), *days)


def _order(context: Context) -> tuple[str, ...]:
    """The sources, most trusted first."""
    return ("", *(source.id for source in context.config.calendars))


def window_of(context: Context, first: date, last: date) -> tuple[date, date]:
    """The days [start, end) of which `gather` reads the calendars for `first` to `last`."""
    return first - MARGIN, last + _ahead(context) + timedelta(days=1)


def _ahead(context: Context) -> timedelta:
    """How far beyond the days that are asked for something may lie that is begun on them."""
    config = context.config
    preparations = [
        *(preparation for rule in config.rules for preparation in rule.prepare),
        *(preparation for one in context.files.appointments for preparation in one.prepare),
    ]
    if not preparations:
        return MARGIN  # what is to be begun are tasks alone
    return max(MARGIN, reach(preparations, timedelta(weeks=config.planning.look_ahead_weeks)))
