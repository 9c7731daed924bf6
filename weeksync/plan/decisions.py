"""What needs a decision in the week of today, most pressing first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from weeksync.message import Message, counted, message
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import PlanTask
from weeksync.plan.money import Money
from weeksync.plan.tasks import Tasks
from weeksync.plan.terms import Terms

Decision = tuple[tuple[str, ...], Message]
"""(the persons who may see it, () for all; what needs a decision)."""

MOST_TASKS = 12
"""Overdue tasks that are named; of more only the number is told, so that a list stays a list."""

_LESSON_DAYS = 7


def decisions(
    money: Money, tasks: Tasks, terms: Terms, today: date, carry_limit: int
) -> tuple[Decision, ...]:
    """Bills not paid, tasks carried too long, overdue tasks, lessons nobody recorded."""
    found = [_unpaid(group) for group in money.overdue(today)]
    carried, late = _apart(tasks.open(), today, carry_limit)
    found += [_carried(task) for task in carried]
    found += _overdue(late)
    found += _lessons(terms, today)
    return tuple(found)


def _apart(
    tasks: Iterable[PlanTask], today: date, carry_limit: int
) -> tuple[Sequence[PlanTask], Sequence[PlanTask]]:
    """(tasks carried for the limit or longer, the other overdue ones), each in its order.

    An overdue one that was put on today or a later day has been decided about.
    """
    carried, late = [], []
    for task in tasks:
        if task.carried >= carry_limit:
            carried.append(task)
        elif task.overdue and (task.shown_on or date.min) < today:
            late.append(task)
    carried.sort(key=lambda one: (-one.carried, one.due or date.max, one.title, one.id))
    late.sort(key=lambda one: (one.due or date.max, one.title, one.source, one.id))
    return carried, late


def _unpaid(group: tuple[MoneyItem, ...]) -> Decision:
    first = group[0]
    return first.only_for, counted(
        "“{title}” was to be paid on {day}: pay it, or write down when it was paid",
        "“{title}” was to be paid {count} times since {day}: pay, or write down what was paid",
        len(group),
        title=first.title,
        day=first.day.isoformat(),
    )


def _carried(task: PlanTask) -> Decision:
    return task.only_for, counted(
        "“{title}” has been carried {count} week: drop it, split it, or give it a date",
        "“{title}” has been carried {count} weeks: drop it, split it, or give it a date",
        task.carried,
        title=task.title,
    )


def _overdue(tasks: Sequence[PlanTask]) -> list[Decision]:
    """A line a task; beyond MOST_TASKS the number of those left that everybody may see."""
    found = [(task.only_for, _late(task)) for task in tasks[:MOST_TASKS]]
    more = sum(not task.only_for for task in tasks[MOST_TASKS:])
    if more:
        found.append(
            ((), counted("{count} more task is overdue", "{count} more tasks are overdue", more))
        )
    return found


def _late(task: PlanTask) -> Message:
    return message(
        "“{title}” was due on {day}: do it, drop it, or give it a date",
        title=task.title,
        day=(task.due or date.max).isoformat(),
    )


def _lessons(terms: Terms, today: date) -> list[Decision]:
    days = (today - timedelta(days=back) for back in range(1, _LESSON_DAYS + 1))
    missing = sum(lesson.done is None for day in days for lesson in terms.lessons(day))
    if not missing:
        return []
    text = counted(
        "{count} lesson of the last seven days is not recorded",
        "{count} lessons of the last seven days are not recorded",
        missing,
    )
    return [((), text)]
