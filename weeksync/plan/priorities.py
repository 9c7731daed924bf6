"""Priorities proposed for a day: by due date, own ranking, and how long a task is carried."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from weeksync.message import Message, counted, message
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import ProposedPriority, ProposedTask, Standing
from weeksync.plan.week_tasks import Asked


def propose_priorities(
    asked: Asked, proposed: Iterable[ProposedTask], most: int
) -> tuple[ProposedPriority, ...]:
    """For each day to come as many as are wanting to `most`; those chosen already are counted.

    Candidates are the tasks chosen or proposed for the day. Those to be done by that day or
    earlier come first; then the person's own ranking decides, then over how many weeks a task
    has been carried. A task for which none of the three speaks is none, and each is one once.
    """
    tasks = {task.id: task for task in asked.open_tasks}
    by_day = _by_day(asked, proposed)
    coming = [day for day in asked.days if day >= asked.first]
    taken = {one.task for day in coming for one in asked.priorities.get(day, ()) if one.task}
    found = []
    for day in coming:
        left = most - len(asked.priorities.get(day, ()))
        could = [tasks[name] for name in by_day.get(day, ()) if name in tasks]
        for task in sorted(could, key=lambda one: _order(one, day)):
            reason = _reason(task, day)
            if left > 0 and reason is not None and task.id not in taken:
                taken.add(task.id)
                left -= 1
                found.append(
                    ProposedPriority(day, task.id, task.title, reason, task.persons, task.only_for)
                )
    return tuple(found)


def _by_day(asked: Asked, proposed: Iterable[ProposedTask]) -> dict[date, dict[str, None]]:
    """The ids of the tasks of each day, those that wait for something left out."""
    found: dict[date, dict[str, None]] = defaultdict(dict)
    for one in proposed:
        if one.standing in {Standing.PLACED, Standing.LATE}:
            for piece in one.pieces:
                found[piece.start.date()][one.task] = None
    for day in asked.days:
        for task in asked.standing.get(day, ()):
            if task.chosen and not task.waits_for and not (task.done or task.dropped):
                found[day][task.id] = None
    return found


def _order(task: PlanTask, day: date) -> tuple[object, ...]:
    by = task.last_day or date.max
    return by > day, task.priority or 10, -task.carried, by, task.title.casefold(), task.id


def _reason(task: PlanTask, day: date) -> Message | None:
    """What speaks for it most; None where nothing does."""
    by = task.last_day
    if by is not None and by <= day:
        return message("to be done by {day}", day=by.isoformat())
    if task.priority is not None:
        return message("its own priority is {priority}", priority=task.priority)
    if task.carried:
        return counted("carried {count} week", "carried {count} weeks", task.carried)
    return None
