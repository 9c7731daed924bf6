"""What piled up in a lighter week: spread over the days that follow, or parked until a day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import DayLoad
from weeksync.plan.task_records import by_urgency, minutes_of


@dataclass(frozen=True, slots=True)
class Settled:
    """Where tasks could go: (id, day) in the order of the days, and the ids that found none."""

    days: tuple[tuple[str, date], ...]
    left: tuple[str, ...]


@dataclass(slots=True)
class _Room:
    """One day: the minutes that can still be planned, and how many tasks it was given."""

    day: date
    minutes: int
    tasks: int = 0


def spread(tasks: Iterable[PlanTask], loads: Iterable[DayLoad], person: str, usual: int) -> Settled:
    """A day for each task within what can still be planned on the person's days in `loads`.

    The most urgent come first (overdue, own ranking, due date), each on the earliest of the days
    that have got fewest so far and have its minutes left: so they come back one a day rather than
    all on the first. None goes on a day before it can be begun; one that is not due yet goes on a
    day up to its last one, where there is room. A task that waits for something finds no day.
    """
    days = sorted(
        (_Room(load.day, load.plannable - load.planned) for load in loads if load.person == person),
        key=lambda one: one.day,
    )
    found: list[tuple[str, date]] = []
    left = []
    for task in sorted(tasks, key=by_urgency):
        minutes = minutes_of(task, usual)
        room = None if task.waits_for else _earliest(task, minutes, days)
        if room is None:
            left.append(task.id)
            continue
        room.minutes -= minutes
        room.tasks += 1
        found.append((task.id, room.day))
    return Settled(tuple(sorted(found, key=lambda one: one[1])), tuple(left))


def _earliest(task: PlanTask, minutes: int, days: Iterable[_Room]) -> _Room | None:
    could = [
        one for one in days if one.minutes >= minutes and one.day >= (task.not_before or date.min)
    ]
    in_time = [one for one in could if task.last_day is not None and one.day <= task.last_day]
    return min(in_time or could, key=lambda one: (one.tasks, one.day), default=None)


def park(tasks: Iterable[PlanTask], until: date) -> tuple[tuple[str, date], ...]:
    """(id, first day on which it can be begun) that puts each task aside until a day.

    One that cannot be begun before a later day anyway is left as it is.
    """
    return tuple(
        (task.id, until)
        for task in sorted(tasks, key=by_urgency)
        if task.not_before is None or task.not_before < until
    )
