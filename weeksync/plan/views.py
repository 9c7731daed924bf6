"""Views of a plan: what everybody may see, what is one person's, what serves one area.

Each takes a spread or a month and gives one of the same kind with less in it; none adds or
changes the order of anything.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Protocol, TypeVar

from weeksync.model.money_item import MoneyItem
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import Day, MonthPlan, Spread

Plan = TypeVar("Plan", Spread, MonthPlan)


class _Reserved(Protocol):
    @property
    def only_for(self) -> tuple[str, ...]: ...


R = TypeVar("R", bound=_Reserved)


def common(plan: Plan) -> Plan:
    """What may hang where children and visitors read.

    Nothing that is `only_for` somebody, with its marks and what there is to decide about it; no
    amounts; no check-ins; no journal.
    """
    if isinstance(plan, MonthPlan):
        return _month(plan, _common_day)
    return replace(
        plan,
        days=tuple(map(_common_day, plan.days)),
        habits=_for_all(plan.habits),
        undated=_for_all(plan.undated),
        left_out=tuple(one for one in plan.left_out if not _is_private(one.occurrence)),
        own_decisions=(),
    )


def for_person(plan: Plan, person: str) -> Plan:
    """What is that person's or nobody's in particular; nothing that is only for others.

    Habits, lessons and check-ins always have somebody's name, so only that person's are kept.
    Notes, own rows, and decisions that everybody may see stay as they are.
    """

    def day(one: Day) -> Day:
        return _person_day(one, person)

    if isinstance(plan, MonthPlan):
        return _month(plan, day)
    return replace(
        plan,
        days=tuple(map(day, plan.days)),
        habits=tuple(
            row for row in plan.habits if row.person == person and _may(row.only_for, person)
        ),
        undated=_theirs(plan.undated, person),
        left_out=tuple(one for one in plan.left_out if _is_for(one.occurrence, person)),
        own_decisions=tuple(one for one in plan.own_decisions if _may(one[0], person)),
    )


def for_area(plan: Plan, area: str) -> Plan:
    """What serves that area of life; what has no area (money, lessons, breaks …) is not in it."""

    def day(one: Day) -> Day:
        return _area_day(one, area)

    if isinstance(plan, MonthPlan):
        return _month(plan, day)
    return replace(
        plan,
        days=tuple(map(day, plan.days)),
        habits=tuple(row for row in plan.habits if row.area == area),
        undated=tuple(task for task in plan.undated if task.area == area),
        notes="",
        left_out=tuple(one for one in plan.left_out if one.occurrence.area == area),
        decisions=(),
        own_decisions=(),
    )


def _month(plan: MonthPlan, view: Callable[[Day], Day]) -> MonthPlan:
    weeks = tuple((week, tuple(map(view, days))) for week, days in plan.weeks)
    return replace(plan, weeks=weeks)


def _common_day(day: Day) -> Day:
    return replace(
        day,
        priorities=_for_all(day.priorities),
        occurrences=tuple(one for one in day.occurrences if not _is_private(one.occurrence)),
        tasks=_for_all(day.tasks),
        money=tuple(map(_without_amount, _for_all(day.money))),
        check_ins=(),
    )


def _is_private(one: Occurrence) -> bool:
    """Only for somebody, or an entry of a journal: a diary does not hang in the kitchen."""
    return bool(one.only_for) or one.journal


def _for_all(things: Iterable[R]) -> tuple[R, ...]:
    return tuple(one for one in things if not one.only_for)


def _without_amount(item: MoneyItem) -> MoneyItem:
    return replace(item, amount=None, paid_amount=None)


def _person_day(day: Day, person: str) -> Day:
    return replace(
        day,
        priorities=_theirs(day.priorities, person),
        occurrences=tuple(one for one in day.occurrences if _is_for(one.occurrence, person)),
        tasks=_theirs(day.tasks, person),
        money=tuple(
            one for one in day.money if one.person in (None, person) and _may(one.only_for, person)
        ),
        lessons=tuple(one for one in day.lessons if one.child == person),
        breaks=tuple(one for one in day.breaks if one.person in (None, person)),
        check_ins=tuple(one for one in day.check_ins if one.person == person),
    )


def _area_day(day: Day, area: str) -> Day:
    return replace(
        day,
        priorities=tuple(one for one in day.priorities if one.area == area),
        occurrences=tuple(one for one in day.occurrences if one.occurrence.area == area),
        tasks=tuple(task for task in day.tasks if task.area == area),
        money=(),
        lessons=(),
        breaks=(),
        own=(),
        check_ins=(),
    )


class _Personal(_Reserved, Protocol):
    @property
    def persons(self) -> tuple[str, ...]: ...


P = TypeVar("P", bound=_Personal)


def _theirs(things: Iterable[P], person: str) -> tuple[P, ...]:
    return tuple(one for one in things if _is_for(one, person))


def _is_for(thing: _Personal, person: str) -> bool:
    return (not thing.persons or person in thing.persons) and _may(thing.only_for, person)


def _may(only_for: tuple[str, ...], person: str) -> bool:
    return not only_for or person in only_for
