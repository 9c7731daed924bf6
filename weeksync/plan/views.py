"""Views of a plan: what everybody may see, what is one person's, what serves one area.

Each takes a spread or a month and gives one of the same kind with less in it; none adds or
changes the order of anything.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import Day, MonthPlan, MonthSpan, Spread
from weeksync.model.week_plan import ComingUp
from weeksync.plan import plan_views
from weeksync.plan.reserved import for_all, is_for, may, theirs, without_amount

Plan = TypeVar("Plan", Spread, MonthPlan)


def common(plan: Plan) -> Plan:
    """What may hang where children and visitors read.

    Nothing that is `only_for` somebody, with its marks and what there is to decide about it; no
    amounts; no check-ins; no journal.
    """
    if isinstance(plan, MonthPlan):
        return _month(plan, _common_day, lambda one: not one.only_for, lambda one: not one.only_for)
    return replace(
        plan,
        days=tuple(map(_common_day, plan.days)),
        habits=for_all(plan.habits),
        undated=for_all(plan.undated),
        left_out=tuple(one for one in plan.left_out if not _is_private(one.occurrence)),
        own_decisions=(),
        plan=plan_views.common(plan.plan, plan) if plan.plan is not None else None,
    )


def for_person(plan: Plan, person: str) -> Plan:
    """What is that person's or nobody's in particular; nothing that is only for others.

    Habits, lessons and check-ins always have somebody's name, so only that person's are kept.
    Notes, own rows, and decisions that everybody may see stay as they are.
    """

    def day(one: Day) -> Day:
        return _person_day(one, person)

    if isinstance(plan, MonthPlan):
        return _month(
            plan,
            day,
            lambda one: one.occurrence is None or is_for(one.occurrence, person),
            lambda one: is_for(one, person),
        )
    return replace(
        plan,
        days=tuple(map(day, plan.days)),
        habits=tuple(
            row for row in plan.habits if row.person == person and may(row.only_for, person)
        ),
        undated=theirs(plan.undated, person),
        left_out=tuple(one for one in plan.left_out if is_for(one.occurrence, person)),
        own_decisions=tuple(one for one in plan.own_decisions if may(one[0], person)),
        plan=plan_views.for_person(plan.plan, person, plan) if plan.plan is not None else None,
    )


def for_area(plan: Plan, area: str) -> Plan:
    """What serves that area of life; what has no area (money, lessons, breaks …) is not in it."""

    def day(one: Day) -> Day:
        return _area_day(one, area)

    if isinstance(plan, MonthPlan):
        return _month(
            plan,
            day,
            lambda one: one.occurrence is not None and one.occurrence.area == area,
            lambda one: one.area == area,
        )
    return replace(
        plan,
        days=tuple(map(day, plan.days)),
        habits=tuple(row for row in plan.habits if row.area == area),
        undated=tuple(task for task in plan.undated if task.area == area),
        notes="",
        left_out=tuple(one for one in plan.left_out if one.occurrence.area == area),
        decisions=(),
        own_decisions=(),
        plan=plan_views.for_area(plan.plan, area, plan) if plan.plan is not None else None,
    )


def _month(
    plan: MonthPlan,
    view: Callable[[Day], Day],
    keep_span: Callable[[MonthSpan], bool],
    keep_coming: Callable[[ComingUp], bool],
) -> MonthPlan:
    return replace(
        plan,
        weeks=tuple((week, tuple(map(view, days))) for week, days in plan.weeks),
        spans=tuple(tuple(filter(keep_span, row)) for row in plan.spans),
        coming_up=tuple(filter(keep_coming, plan.coming_up)),
    )


def _common_day(day: Day) -> Day:
    return replace(
        day,
        priorities=for_all(day.priorities),
        occurrences=tuple(one for one in day.occurrences if not _is_private(one.occurrence)),
        tasks=for_all(day.tasks),
        money=tuple(map(without_amount, for_all(day.money))),
        check_ins=(),
    )


def _is_private(one: Occurrence) -> bool:
    """Only for somebody, or an entry of a journal: a diary does not hang in the kitchen."""
    return bool(one.only_for) or one.journal


def _person_day(day: Day, person: str) -> Day:
    return replace(
        day,
        priorities=theirs(day.priorities, person),
        occurrences=tuple(one for one in day.occurrences if is_for(one.occurrence, person)),
        tasks=theirs(day.tasks, person),
        money=tuple(
            one for one in day.money if one.person in (None, person) and may(one.only_for, person)
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
