"""What a day has room for, and what stands on it: free time, load, and what is too much."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence

from weeksync.model.config import Config, Planning
from weeksync.model.fields import DayPart
from weeksync.model.spread import Day, PlanTask
from weeksync.model.week_plan import DayLoad, Gap, PartLoad, UnassignedTask
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Engagements, planned_people
from weeksync.plan.intervals import Span, cut, length, most_at_once, united, without
from weeksync.plan.task_records import minutes_of
from weeksync.plan.to_move import to_move

_MINUTE = 60


def day_loads(
    config: Config, days: Sequence[Day], engaged: Engagements, hours: DayHours
) -> tuple[DayLoad, ...]:
    """A load for each day of each person whose days are planned, person by person.

    A task counts for each of its persons, or of those it is only for; in a proposal, too, what was
    chosen for a day takes the time of each. Where its place names a person, as that of a proposal
    that was taken does, it is theirs alone that day. One that nobody is named for is the only
    grown-up's where there is just one; else it is in nobody's load (`unassigned`). Done tasks
    count on their day, dropped ones do not.
    """
    people = [person.id for person in planned_people(config)]
    standing = [_standing(day, people) for day in days]
    found = []
    for person in people:
        taken = _Taken(person, engaged, config.planning, [hours.bounds(day.date) for day in days])
        for number, day in enumerate(days):
            tasks = standing[number].get(person, ())
            found.append(_load(taken, number, day, tasks, config.planning, hours))
    return tuple(found)


def _standing(day: Day, people: Sequence[str]) -> dict[str, list[PlanTask]]:
    """The tasks of a day by whose they are."""
    found: dict[str, list[PlanTask]] = defaultdict(list)
    for task in day.tasks:
        named = task.persons or task.only_for
        for person in named or (people if len(people) == 1 else ()):
            found[person].append(task)
    return found


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
    each engagement: routines and absences need none. `engaged` are the engagements by day.
    """

    def __init__(
        self, person: str, engaged: Engagements, planning: Planning, days: Sequence[Span]
    ) -> None:
        self.person = person
        spans = [one.span for one in engaged.of(person) if one.end > one.start]
        others = [*(one.span for one in engaged.routines(person)), *engaged.away(person)]
        buffer = planning.buffer_minutes * _MINUTE
        self.busy = united([*spans, *others])
        self.kept = united([*((low - buffer, high + buffer) for low, high in spans), *others])
        self.engaged = _by_day(spans, days)


def _by_day(spans: Sequence[Span], days: Sequence[Span]) -> list[list[Span]]:
    """The spans that touch each of the days, which follow on one another."""
    found: list[list[Span]] = [[] for _ in days]
    starts = [low for low, _ in days]
    for span in spans:
        at = max(bisect_right(starts, span[0]) - 1, 0)
        while at < len(days) and days[at][0] < span[1]:
            if days[at][1] > span[0]:
                found[at].append(span)
            at += 1
    return found


def _load(
    taken: _Taken,
    number: int,
    day: Day,
    tasks: Sequence[PlanTask],
    planning: Planning,
    hours: DayHours,
) -> DayLoad:
    """The load of the day that is the `number`th of those `taken` was made for."""
    parts = hours.planning(day.date)
    free, kept = _left(parts, taken.busy), _left(parts, taken.kept)
    usual = planning.usual_estimate_minutes
    standing = [(one, minutes_of(one, usual)) for one in tasks if one.dropped is None]
    planned = sum(minutes for _, minutes in standing)
    minutes_free = length(span for _, span in free) // _MINUTE
    plannable = minutes_free * planning.share_of_free_time // 100
    priorities = {one.task for one in day.priorities}
    return DayLoad(
        person=taken.person,
        day=day.date,
        free=minutes_free,
        plannable=plannable,
        planned=planned,
        parts=tuple(_part_loads(free, standing)),
        gaps=tuple(_gaps(kept, hours)),
        to_move=to_move(standing, planned - plannable, day.date, priorities),
        overlap=most_at_once(taken.engaged[number]),
    )


_Stretch = tuple[DayPart, Span]
"""A stretch of a day, and the part of the day it lies in."""


def _left(parts: Sequence[_Stretch], taken: Sequence[Span]) -> list[_Stretch]:
    """What `taken`, which is united, leaves of the hours of a day, cut where a part ends."""
    if not parts:
        return []
    spans = [span for _, span in parts]
    found, place = [], 0
    for one in without(spans, cut(taken, (spans[0][0], spans[-1][1]))):
        while one[0] >= spans[place][1]:
            place += 1
        found.append((parts[place][0], one))
    return found


def _part_loads(
    free: Sequence[_Stretch], standing: Iterable[tuple[PlanTask, int]]
) -> Iterable[PartLoad]:
    """The parts of the day; what stands on it without a part is in none."""
    seconds, planned = dict.fromkeys(DayPart, 0), dict.fromkeys(DayPart, 0)
    for part, (start, end) in free:
        seconds[part] += end - start
    for one, minutes in standing:
        if one.part is not None:
            planned[one.part] += minutes
    return (PartLoad(part, seconds[part] // _MINUTE, planned[part]) for part in DayPart)


def _gaps(kept: Sequence[_Stretch], hours: DayHours) -> Iterable[Gap]:
    """The gaps, in whole minutes."""
    for part, (start, end) in kept:
        first, last = -(-start // _MINUTE) * _MINUTE, end // _MINUTE * _MINUTE
        if first < last:
            yield Gap(hours.moment(first), hours.moment(last), part)
