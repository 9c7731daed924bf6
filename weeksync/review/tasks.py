"""What became of the tasks of a span: done, dropped, carried, or still open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from weeksync.model.review import ReviewTask, ReviewTasks
from weeksync.model.spread import Day, PlanTask, Spread

Key = tuple[str, str, date | None]
"""(source, id, due date of one that repeats)"""


def key_of(task: PlanTask) -> Key:
    """What makes a task the same on several days."""
    return task.source, task.id, task.due if task.repeats else None


def review_tasks(spreads: Iterable[Spread], days: Sequence[Day], today: date) -> ReviewTasks:
    """Each task once: an end counts before everything, a day that is over before one to come."""
    ended: dict[Key, PlanTask] = {}
    stood: dict[Key, PlanTask] = {}
    ahead: dict[Key, PlanTask] = {}
    for day in days:
        for task in day.tasks:
            held = ended if not task.open else stood if day.date < today else ahead
            held[key_of(task)] = task
    for spread in spreads:
        for task in spread.undated:
            held = stood if task.carried else ahead
            held.setdefault(key_of(task), task)
    carried = {key: task for key, task in stood.items() if key not in ended}
    left = {key: one for key, one in ahead.items() if key not in ended and key not in carried}
    return ReviewTasks(
        done=_in_order(one for one in ended.values() if one.done is not None),
        carried=_in_order(carried.values()),
        dropped=_in_order(one for one in ended.values() if one.dropped is not None),
        open=_in_order(left.values()),
    )


def _in_order(tasks: Iterable[PlanTask]) -> tuple[ReviewTask, ...]:
    found = [
        ReviewTask(
            id=one.id,
            title=one.title,
            source=one.source,
            area=one.area,
            persons=one.persons,
            day=one.shown_on,
            weeks=one.carried,
            only_for=one.only_for,
        )
        for one in tasks
    ]
    return tuple(sorted(found, key=lambda one: (one.day or date.max, one.title.casefold(), one.id)))
