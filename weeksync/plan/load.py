"""What a day has room for, and what stands on it: free time, load, and what is too much."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date

from weeksync.model.config import Config, Planning
from weeksync.model.fields import DayPart
from weeksync.model.spread import Day, PlanTask
from weeksync.model.week_plan import DayLoad, Gap, PartLoad, UnassignedTask
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Engagements, planned_people
from weeksync.plan.intervals import Span, length, most_at_once, united, within, without
from weeksync.plan.task_records import minutes_of
from weeksync.plan.to_move import to_move

_MINUTE = 60


def day_loads(
    config: Config, days: Sequence[Day], engaged: Engagements, hours: DayHours
) -> tuple[DayLoad, ...]:
    """A load for each day of each person whose days are planned, person by person.

    A task counts for each of its persons, or of those it is only for. One that nobody is named
    for is the only grown-up's where there is just one; else it is in nobody's load
    (`unassigned`). Done tasks count on their day, dropped ones do not.
    """
    planning = config.planning
    people = [person.id for person in planned_people(config)]
    found = []
    for person in people:
        stretches = _Taken(person, engaged, planning)
        for day in days:
            tasks = [one for one in day.tasks if _is_for(one, person, people)]
            priorities = {one.task for one in day.priorities}
            found.append(_load(stretches, day.date, tasks, priorities, planning, hours))
    return tuple(found)


def unassigned(config: Config, days: Iterable[Day]) -> tuple[UnassignedTask, ...]:
    """The open tasks of these days that count in nobody's load: nobody is named for them."""
    if len(planned_people(config)) == 1:
        return ()
    usual = config.planning.usual_estimate_minutes
    return tuple(
        UnassignedTask(task.id, task.title, day.date, minutes_of(task, usual))
        for day in days
        for task in day.tasks
        if not (task.persons or task.only_for or task.done or task.dropped)
    )


class _Taken:
    """The united stretches of one person that take time, around the days asked about.

    `busy` is what is engaged, routine or away; `kept` the same with the buffer on both sides of
    each engagement: routines and absences need none.
    """

    def __init__(self, person: str, engaged: Engagements, planning: Planning) -> None:
        self.person = person
        self.engaged = [one.span for one in engaged.of(person)]
        others = [*(one.span for one in engaged.routines(person)), *engaged.away(person)]
        buffer = planning.buffer_minutes * _MINUTE
        self.busy = united([*self.engaged, *others])
        self.kept = united(
            [*((low - buffer, high + buffer) for low, high in self.engaged if high > low), *others]
        )


def _load(
    taken: _Taken,
    day: date,
    tasks: Sequence[PlanTask],
    priorities: Collection[str],
    planning: Planning,
    hours: DayHours,
) -> DayLoad:
    bounds, can_be_planned = hours.bounds(day), hours.planning(day)
    free = without([can_be_planned], within(taken.busy, can_be_planned))
    kept = without([can_be_planned], within(taken.kept, can_be_planned))
    parts = hours.parts(day)
    usual = planning.usual_estimate_minutes
    standing = [(one, minutes_of(one, usual)) for one in tasks if one.dropped is None]
    planned = sum(minutes for _, minutes in standing)
    minutes_free = length(free) // _MINUTE
    plannable = minutes_free * planning.share_of_free_time // 100
    return DayLoad(
        person=taken.person,
        day=day,
        free=minutes_free,
        plannable=plannable,
        planned=planned,
        parts=tuple(_part_load(part, free, parts, standing) for part in DayPart),
        gaps=tuple(_gaps(kept, parts, hours)),
        to_move=to_move(standing, planned - plannable, day, priorities),
        overlap=most_at_once(within(taken.engaged, bounds)),
    )


def _part_load(
    part: DayPart,
    free: Sequence[Span],
    parts: Sequence[tuple[DayPart, Span]],
    standing: Iterable[tuple[PlanTask, int]],
) -> PartLoad:
    """One day part; what stands on the day without a part is in none."""
    minutes = sum(length(within(free, span)) for of, span in parts if of is part) // _MINUTE
    return PartLoad(part, minutes, sum(minutes for one, minutes in standing if one.part is part))


def _gaps(
    kept: Sequence[Span], parts: Sequence[tuple[DayPart, Span]], hours: DayHours
) -> Iterable[Gap]:
    """The gaps in whole minutes, cut where a day part ends."""
    for part, span in parts:
        for start, end in within(kept, span):
            first, last = -(-start // _MINUTE) * _MINUTE, end // _MINUTE * _MINUTE
            if first < last:
                yield Gap(hours.moment(first), hours.moment(last), part)


def _is_for(task: PlanTask, person: str, people: Sequence[str]) -> bool:
    named = task.persons or task.only_for
    return person in named or (not named and len(people) == 1)
