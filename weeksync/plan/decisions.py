"""What needs a decision in the week of today, most pressing first."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import Carried, LighterDays
from weeksync.plan.money import Money
from weeksync.plan.tasks import Tasks
from weeksync.plan.terms import Terms

Decision = tuple[tuple[str, ...], Message]
"""(the persons who may see it, () for all; what needs a decision)."""

MOST_TASKS = 12
"""Bills, carried tasks, and overdue ones that are named; of more only the number is told, so that a
list stays a list."""

_LESSON_DAYS = 7


@dataclass(frozen=True, slots=True)
class LighterTimes:
    """The lighter periods around today, whose they are, and which lessons rest for them."""

    periods: Sequence[LighterDays]
    names: Mapping[str, str]
    """Id of a person → the name on the pages."""
    rests: Callable[[str, date], bool]
    """(child, day) → whether the lessons of that day are sent on."""


def decisions(
    money: Money, tasks: Tasks, terms: Terms, today: date, carry_limit: int, lighter: LighterTimes
) -> tuple[Decision, ...]:
    """Bills not paid or due in lighter days, tasks carried too long, overdue tasks, what piled up
    in lighter days, lessons nobody recorded."""
    found = [_unpaid(group) for group in money.overdue(today)]
    found += _bounded(_pay_before(lighter, today), _more_to_pay)
    carried = [one for one in tasks.carried(carry_limit) if one.decision_due]
    found += _bounded([_carried(one) for one in carried], _more_carried)
    asked = {one.task for one in carried} | _left_over(lighter, today)
    found += _bounded([_late(task) for task in _overdue(tasks.open(), asked, today)], _more_late)
    found += _piled_up(lighter, today)
    found += _lessons(terms, today, lighter.rests)
    return tuple(found)


def _overdue(tasks: Iterable[PlanTask], asked: Collection[str], today: date) -> Sequence[PlanTask]:
    """The overdue tasks that nothing else is `asked` about, in their order.

    An overdue one that was put on today or a later day has been decided about.
    """
    late = [
        task
        for task in tasks
        if task.overdue
        and task.id not in asked
        and (task.shown_on or date.min) < today
        and (task.not_before or date.min) <= today
    ]
    return sorted(late, key=lambda one: (one.due or date.max, one.title, one.source, one.id))


def _unpaid(group: tuple[MoneyItem, ...]) -> Decision:
    first = group[0]
    return first.only_for, counted(
        "“{title}” was to be paid on {day}: pay it, or write down when it was paid",
        "“{title}” was to be paid {count} times since {day}: pay, or write down what was paid",
        len(group),
        title=first.title,
        day=first.day.isoformat(),
    )


def _carried(one: Carried) -> Decision:
    return one.only_for, counted(
        "“{title}” has been carried {count} week: do it, split it, give it a date, or drop it",
        "“{title}” has been carried {count} weeks: do it, split it, give it a date, or drop it",
        one.weeks,
        title=one.title,
    )


def _late(task: PlanTask) -> Decision:
    return task.only_for, message(
        "“{title}” was due on {day}: do it, drop it, or give it a date",
        title=task.title,
        day=(task.due or date.max).isoformat(),
    )


def _bounded(found: list[Decision], more: Callable[[int], Message]) -> list[Decision]:
    """The first MOST_TASKS, and the number of those left that everybody may see."""
    left = sum(not only_for for only_for, _ in found[MOST_TASKS:])
    return [*found[:MOST_TASKS], *([((), more(left))] if left else [])]


def _more_carried(count: int) -> Message:
    return counted(
        "{count} more task has been carried as long",
        "{count} more tasks have been carried as long",
        count,
    )


def _more_to_pay(count: int) -> Message:
    return counted(
        "{count} more bill falls due in lighter days",
        "{count} more bills fall due in lighter days",
        count,
    )


def _more_late(count: int) -> Message:
    return counted("{count} more task is overdue", "{count} more tasks are overdue", count)


def _pay_before(lighter: LighterTimes, today: date) -> list[Decision]:
    """What is to be paid by hand before lighter days that are still to come; each bill once.

    Where several people have lighter days the first of them is named.
    """
    found: dict[tuple[str, date], Decision] = {}
    for one in lighter.periods:
        for item in one.pay_before if one.first > today else ():
            text = message(
                "“{title}” is to be paid by hand on {day}, in lighter days of {person}: "
                "pay it before {first}",
                title=item.title,
                day=item.day.isoformat(),
                person=lighter.names.get(one.person, one.person),
                first=one.first.isoformat(),
            )
            found.setdefault((item.id, item.due), (item.only_for, text))
    return list(found.values())


def _piled_up(lighter: LighterTimes, today: date) -> list[Decision]:
    """What is left of lighter days that are over: all of it is decided about in one step."""
    found: list[Decision] = []
    for one in lighter.periods:
        count = len(_for_all(one)) if one.last < today else 0
        if count:
            text = counted(
                "{count} task piled up in the lighter days of {person} until {day}: "
                "spread it over the days to come, or park it",
                "{count} tasks piled up in the lighter days of {person} until {day}: "
                "spread them over the days to come, or park them",
                count,
                person=lighter.names.get(one.person, one.person),
                day=one.last.isoformat(),
            )
            found.append(((), text))
    return found


def _left_over(lighter: LighterTimes, today: date) -> set[str]:
    return {task for one in lighter.periods if one.last < today for task in _for_all(one)}


def _for_all(one: LighterDays) -> list[str]:
    """What piled up, without what is only for somebody: not even its number is told."""
    hidden = {name for name, _ in one.reserved}
    return [name for name in one.piled_up if name not in hidden]


def _lessons(terms: Terms, today: date, rests: Callable[[str, date], bool]) -> list[Decision]:
    """Lessons without a mark; those that a lighter week sends on are not asked for."""
    days = [today - timedelta(days=back) for back in range(1, _LESSON_DAYS + 1)]
    missing = sum(
        lesson.done is None and not rests(lesson.child, day)
        for day in days
        for lesson in terms.lessons(day)
    )
    if not missing:
        return []
    text = counted(
        "{count} lesson of the last seven days is not recorded",
        "{count} lessons of the last seven days are not recorded",
        missing,
    )
    return [((), text)]
