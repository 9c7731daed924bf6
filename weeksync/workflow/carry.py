"""Going through what is left over: what waits for a decision, and each decision written at once.

A decision is whole when the file that holds it is in place; nothing is kept in memory until an
end that may never come. Who was at it and was interrupted goes on where they were.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from weeksync.errors import UsageError
from weeksync.household import TaskChange, change_tasks
from weeksync.household.toml_edits import Value
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.model.problem import Problem
from weeksync.model.spread import PlanTask
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import DayLoad, LighterDays, Piece, ProposedTask
from weeksync.plan import Planner
from weeksync.plan.record_items import task as task_record
from weeksync.plan.reserved import is_for
from weeksync.plan.settle import park, spread
from weeksync.workflow.context import Context
from weeksync.workflow.placing import (
    Chosen,
    Put,
    carried_values,
    needed,
    place_on,
    places_of,
    task_in_file,
    write_choice,
)
from weeksync.workflow.show import planned

FORMAT = 1
KIND = "weeksync.carry"

_COPIED = ("area", "person", "due", "not_before", "priority", "waits_for", "only_for")
"""What the parts of a split task have of it."""


@dataclass(frozen=True, slots=True)
class LeftOver:
    """One task that is left over, and what can become of it.

    `proposed` is where there is room for it up to the week that is asked about, None where it is
    no matter of these weeks.
    `in_file` is false for a to-do of a calendar, which can only be put on a day.
    """

    task: PlanTask
    due: bool
    """A decision is due: it has been carried as long as the household allows."""
    proposed: ProposedTask | None
    in_file: bool
    repeats: bool = False

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Where there is room for it."""
        return self.proposed.pieces if self.proposed is not None else ()


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits for a decision, and the days of the week that tasks can be put on."""

    week: IsoWeek
    days: tuple[date, ...]
    tasks: tuple[LeftOver, ...]
    loads: Mapping[tuple[str, date], DayLoad]
    """By person and day."""
    problems: tuple[Problem, ...] = ()
    """What the user should know: a file with a mistake hides what was decided."""
    ending: IsoWeek | None = None
    """The week that is ending, whose open tasks are among them."""


@dataclass(frozen=True, slots=True)
class Part:
    """One of the tasks that a task is split into; `estimate` in minutes."""

    title: str
    estimate: int | None = None


def waiting(
    context: Context, week: IsoWeek, person: str | None = None, *, ending: IsoWeek | None = None
) -> Waiting:
    """What is left over, with the days of `week` from today on; UsageError where it is over.

    `person` keeps what is theirs, and what nobody is named for, as far as they may see it. With
    a week that is `ending`, what still stands on its days up to today is left over, too.
    """
    days = tuple(day for day in context.rule.days(week) if day >= context.today)
    if not days:
        raise UsageError(
            message("{week} is over; name this week or a later one, as next", week=str(week))
        )
    gathered, spread_of = planned(context, week)
    plan = spread_of.plan
    proposed = _proposed(context, gathered.planner, week)
    limit = context.config.planning.carry_limit_weeks
    return Waiting(
        week,
        days,
        tuple(
            _left_over(context, task, task.carried >= limit, proposed.get(task.id))
            for task in (
                *gathered.planner.to_decide(),
                *(_still_standing(context, gathered.planner, ending) if ending else ()),
            )
            if person is None or is_for(task, person)
        ),
        {(load.person, load.day): load for load in (plan.loads if plan is not None else ())},
        (*gathered.problems, *spread_of.problems),
        ending,
    )


def _still_standing(context: Context, planner: Planner, ending: IsoWeek) -> list[PlanTask]:
    """Open tasks that stand on a day of the week up to today, and are not left over already."""
    known = {task.id for task in planner.to_decide()}
    for file in context.files.weeks.values():
        known |= {one for day in file.days if day.date > context.today for one in day.priorities}
        known |= {one.task for one in file.placed if one.date > context.today}
    # What stood before this week is left over anyway, or was decided about.
    first = context.rule.start(context.today)
    days = [day for day in context.rule.days(ending) if first <= day <= context.today]
    return [
        task
        for task in planner.open_tasks()
        if task.shown_on in days and task.id not in known and not task.later
    ]


def _proposed(context: Context, planner: Planner, week: IsoWeek) -> dict[str, ProposedTask]:
    """Where tasks have room, in the weeks from this one on up to `week`: the earliest place."""
    found: dict[str, ProposedTask] = {}
    one = context.rule.week_of(context.today)
    while one <= week:
        plan = planner.week(one).plan
        for task in plan.proposal.tasks if plan is not None and plan.proposal is not None else ():
            if task.task not in found or not found[task.task].pieces:
                found[task.task] = task
        one = one.shifted(1)
    return found


def _left_over(
    context: Context, task: PlanTask, due: bool, proposed: ProposedTask | None
) -> LeftOver:
    found = task_in_file(context, task.id)
    return LeftOver(task, due, proposed, found is not None, bool(found and found.repeats))


def as_carry_record(left: Waiting) -> dict[str, Any]:
    """What waits for a decision, as JSON has it; the tasks are as in the record of a span."""
    return {
        "format": FORMAT,
        "kind": KIND,
        "week": str(left.week),
        "tasks": [
            {
                **task_record(one.task),
                "decision_due": one.due,
                "proposed": [
                    {"start": piece.start.isoformat(), "end": piece.end.isoformat()}
                    for piece in one.pieces
                ],
            }
            for one in left.tasks
        ],
    }


# The decisions; each is written before the function returns.


def do(context: Context, one: LeftOver, day: date, part: DayPart | None = None) -> None:
    """Put it on a day, in a day part where one is given."""
    place = place_on(context, one.task, day, part)
    write_choice(context, Chosen([Put(one.task, (place,))]))


def do_as_proposed(context: Context, one: LeftOver) -> None:
    """Put it where there is room for it, at the times proposed."""
    places = places_of(context, one.task, one.proposed) if one.proposed is not None else ()
    write_choice(context, Chosen([Put(one.task, places)]))


def give_date(context: Context, one: LeftOver, day: date) -> None:
    """Plan it for a day; a due date before that day is moved there, too.

    A task that stood in the file of a week stands where those files say: it gets a place in the
    file of the day's week as well.
    """
    seen = needed(context, one.task)
    values: dict[str, Value | None] = {"day": day, **carried_values(one.task, day)}
    if seen.due is not None and seen.due < day:
        values["due"] = day
    if any(place.task == seen.id for file in context.files.weeks.values() for place in file.placed):
        place = place_on(context, one.task, day, seen.part)
        write_choice(context, Chosen([Put(one.task, (place,))]))
        seen = needed(again(context), one.task)
    change_tasks(context.folder, [TaskChange(seen, values)])


def drop(context: Context, one: LeftOver) -> None:
    """Give it up: it stands as dropped today. One that repeats ends with that."""
    seen = needed(context, one.task)
    change_tasks(context.folder, [TaskChange(seen, {"dropped": context.today})])


def split(context: Context, one: LeftOver, parts: Sequence[Part]) -> tuple[str, ...]:
    """Put new tasks in its place; it stands as dropped today, and its note says for what.

    The parts are counted anew; whose they are, their area, due date, ranking and who may see
    them they have from it. Returns their ids.
    """
    seen = needed(context, one.task)
    copied: dict[str, Value] = {
        key: value for key in _COPIED if (value := getattr(seen, key)) not in (None, "", ())
    }
    if seen.due is not None and seen.due < context.today:
        del copied["due"]  # it is over; what is left of it has no date yet
    titles = context.language.quoted(part.title for part in parts)
    note = context.language.text(message("Split into {titles}.", titles=titles))
    values: dict[str, Value | None] = {
        "dropped": context.today,
        "notes": f"{seen.notes}\n\n{note}" if seen.notes else note,
    }
    return change_tasks(
        context.folder, [TaskChange(seen, values, [_entry(part, copied) for part in parts])]
    )


def _entry(part: Part, copied: Mapping[str, Value]) -> dict[str, Value]:
    estimate: dict[str, Value] = {"estimate": part.estimate} if part.estimate else {}
    return {"title": part.title, **copied, **estimate}


def again(context: Context) -> Context:
    """The household as its files are now, at the same instant."""
    return Context.read(context.folder, context.now, output=context.output_folder)


# After a lighter week


@dataclass(frozen=True, slots=True)
class PiledUp:
    """What piled up in one person's lighter week, and where it could go.

    `days` are (task, day) in order, `left` the tasks that found none.
    """

    person: str
    days: tuple[tuple[PlanTask, date], ...]
    left: tuple[PlanTask, ...] = ()


def to_spread(context: Context, person: str | None = None) -> tuple[PiledUp, ...]:
    """A day for each task that piled up, in what can still be planned this week and next."""
    usual = context.config.planning.usual_estimate_minutes
    found = []
    for name, tasks, loads in _piled(context, person):
        settled = spread(tasks, loads, name, usual)
        by_id = {task.id: task for task in tasks}
        found.append(
            PiledUp(
                name,
                tuple((by_id[task], day) for task, day in settled.days),
                tuple(by_id[task] for task in settled.left),
            )
        )
    return tuple(found)


def to_park(context: Context, until: date, person: str | None = None) -> tuple[PiledUp, ...]:
    """Each task that piled up, set aside until a day; UsageError where that is not to come."""
    if until <= context.today:
        raise UsageError(
            message("{day} is not to come; name a later day to park until", day=until.isoformat())
        )
    found = []
    for name, tasks, _ in _piled(context, person):
        by_id = {task.id: task for task in tasks}
        parked = tuple((by_id[task], day) for task, day in park(tasks, until))
        moved = {task.id for task, _ in parked}
        found.append(PiledUp(name, parked, tuple(one for one in tasks if one.id not in moved)))
    return tuple(found)


_Piled = tuple[str, tuple[PlanTask, ...], list[DayLoad]]


def _piled(context: Context, person: str | None) -> list[_Piled]:
    """(person, what piled up for them, the days of this week and next they can be put on)."""
    this = context.rule.week_of(context.today)
    gathered, spread_of = planned(context, this)
    plans = [spread_of.plan, gathered.planner.week(this.shifted(1)).plan]
    loads = [
        load
        for plan in plans
        for load in (plan.loads if plan is not None else ())
        if load.day >= context.today
    ]
    tasks = {task.id: task for task in gathered.planner.open_tasks()}
    periods = plans[0].lighter if plans[0] is not None else ()
    periods += plans[1].lighter if plans[1] is not None else ()
    piled: dict[str, dict[str, PlanTask]] = {}
    for one in periods:
        if person in (None, one.person):
            own = {name: tasks[name] for name in one.piled_up if name in tasks}
            piled.setdefault(one.person, {}).update(own)
    return [
        (name, tuple(own.values()), [load for load in loads if _is_free(load, name, periods)])
        for name, own in piled.items()
        if own
    ]


def _is_free(load: DayLoad, person: str, periods: Iterable[LighterDays]) -> bool:
    """Whether something can be put on that day of the person: it is none of the lighter ones."""
    return load.person == person and not any(
        one.person == person and one.first <= load.day <= one.last for one in periods
    )


def spread_out(context: Context, piled: Sequence[PiledUp]) -> None:
    """Write the days of `to_spread`."""
    puts = [Put(task, (place_on(context, task, day),)) for one in piled for task, day in one.days]
    write_choice(context, Chosen(puts))


def park_all(context: Context, piled: Sequence[PiledUp]) -> tuple[PlanTask, ...]:
    """Write the days of `to_park`; returns the to-dos of calendars, which are not written to."""
    changes, skipped = [], []
    for task, day in (pair for one in piled for pair in one.days):
        seen = task_in_file(context, task.id)
        if seen is None:
            skipped.append(task)
        else:
            changes.append(TaskChange(seen, {"not_before": day}))
    change_tasks(context.folder, changes)
    return tuple(skipped)
