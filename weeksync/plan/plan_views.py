"""Views of what is worked out about a week, beside `weeksync.plan.views` of its spread.

Minutes of a day (free, plannable, planned, worked) are counted over everything, so that what is
only for some is part of them: the person needs the true figure, and it names nothing. Moments
would tell more, so a common page has no gaps.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from datetime import date

from weeksync.model.engagement import Clash, ClashKind, HandOver
from weeksync.model.spread import PlanTask, Spread
from weeksync.model.week_plan import DayLoad, LighterDays, Proposal, Standing, WeekPlan
from weeksync.plan.lighter import seen
from weeksync.plan.reserved import for_all, may, most_told, of, theirs, without_amount


def common(plan: WeekPlan, spread: Spread) -> WeekPlan:
    """What may hang where children and visitors read: no balance, no bedtime, nothing reserved.

    `spread` is the whole one: it says which tasks are only for some.
    """
    hidden = _hidden(spread, lambda only_for: not only_for)
    clashes = for_all(plan.clashes)
    return replace(
        plan,
        loads=tuple(_common_load(one, hidden, plan.clashes) for one in plan.loads),
        clashes=clashes,
        hand_overs=for_all(plan.hand_overs),
        sleep=(),
        proposal=_common_proposal(plan.proposal),
        carried=for_all(plan.carried),
        lighter=tuple(_common_lighter(plan.lighter)),
        balances=(),
        business=(),
        coming_up=for_all(plan.coming_up),
        changes=for_all(plan.changes),
    )


def for_person(plan: WeekPlan, person: str, spread: Spread) -> WeekPlan:
    """What is that person's, and may be seen by them."""

    def may_see(only_for: Collection[str]) -> bool:
        return not only_for or person in only_for

    hidden = _hidden(spread, may_see)

    def is_theirs(one: Clash | HandOver) -> bool:
        return person in {one.first.person, one.second.person} and may(one.only_for, person)

    return replace(
        plan,
        loads=tuple(_without(one, hidden) for one in plan.loads if one.person == person),
        clashes=tuple(filter(is_theirs, plan.clashes)),
        hand_overs=tuple(filter(is_theirs, plan.hand_overs)),
        worked=tuple(one for one in plan.worked if one.person == person),
        sleep=of(plan.sleep, person),
        proposal=_own_proposal(plan.proposal, person),
        carried=theirs(plan.carried, person),
        lighter=tuple(seen(one, may_see) for one in plan.lighter if one.person == person),
        balances=most_told(plan.balances, person, lambda one: (one.account, one.since)),
        business=most_told(plan.business, person, lambda one: one.currency),
        lessons=tuple(one for one in plan.lessons if one.child == person),
        attendance=tuple(one for one in plan.attendance if one.child == person),
        coming_up=theirs(plan.coming_up, person),
        changes=theirs(plan.changes, person),
    )


def for_area(plan: WeekPlan, area: str, spread: Spread) -> WeekPlan:
    """What serves that area of life; what has no area, as loads and sums, is not in it."""
    tasks = {task.id for task in _tasks(spread) if task.area == area}

    def serves(one: Clash | HandOver) -> bool:
        return area in {one.first.area, one.second.area}

    return WeekPlan(
        unassigned=tuple(one for one in plan.unassigned if one.task in tasks),
        clashes=tuple(filter(serves, plan.clashes)),
        hand_overs=tuple(filter(serves, plan.hand_overs)),
        proposal=_area_proposal(plan.proposal, area, tasks, spread),
        carried=tuple(one for one in plan.carried if one.task in tasks),
        coming_up=tuple(one for one in plan.coming_up if one.area == area),
    )


def _tasks(spread: Spread) -> Iterable[PlanTask]:
    yield from (task for day in spread.days for task in day.tasks)
    yield from spread.undated


def _hidden(spread: Spread, may_see: Callable[[Collection[str]], bool]) -> set[str]:
    return {task.id for task in _tasks(spread) if not may_see(task.only_for)}


def _without(load: DayLoad, hidden: Collection[str]) -> DayLoad:
    """The load without the names of hidden tasks; their minutes stay in it."""
    return replace(load, to_move=_named(load, hidden))


def _named(load: DayLoad, hidden: Collection[str]) -> tuple[str, ...]:
    return tuple(one for one in load.to_move if one not in hidden)


def _common_load(load: DayLoad, hidden: Collection[str], clashes: Iterable[Clash]) -> DayLoad:
    """The load without gaps; `overlap` is 1 at most where only reserved engagements clash."""
    reserved = shown = False
    for one in clashes:
        if one.person == load.person and one.day == load.day and one.kind is ClashKind.CLASH:
            reserved, shown = reserved or bool(one.only_for), shown or not one.only_for
    overlap = min(load.overlap, 2 if shown else 1) if reserved else load.overlap
    return replace(load, to_move=_named(load, hidden), gaps=(), overlap=overlap)


def _common_lighter(periods: Iterable[LighterDays]) -> Iterable[LighterDays]:
    """Without what is reserved, amounts, and the reason, which can be a matter of health.

    What is to be paid before the days of several people is named once.
    """
    named: set[tuple[str, date]] = set()
    for one in periods:
        left = seen(one, lambda only_for: not only_for)
        bills = [item for item in left.pay_before if (item.id, item.due) not in named]
        named.update((item.id, item.due) for item in bills)
        yield replace(left, reason="", pay_before=tuple(map(without_amount, bills)))


def _common_proposal(proposal: Proposal | None) -> Proposal | None:
    if proposal is None:
        return None
    return _counted(
        replace(
            proposal,
            tasks=for_all(proposal.tasks),
            priorities=for_all(proposal.priorities),
            habits=for_all(proposal.habits),
            breaks=for_all(proposal.breaks),
        )
    )


def _own_proposal(proposal: Proposal | None, person: str) -> Proposal | None:
    if proposal is None:
        return None
    return _counted(
        replace(
            proposal,
            tasks=tuple(
                one
                for one in proposal.tasks
                if one.person in ("", person) and may(one.only_for, person)
            ),
            priorities=theirs(proposal.priorities, person),
            habits=of(proposal.habits, person),
            breaks=of(proposal.breaks, person),
        )
    )


def _area_proposal(
    proposal: Proposal | None, area: str, tasks: Collection[str], spread: Spread
) -> Proposal | None:
    if proposal is None:
        return None
    habits = {row.id for row in spread.habits if row.area == area}
    return _counted(
        replace(
            proposal,
            tasks=tuple(one for one in proposal.tasks if one.task in tasks),
            priorities=tuple(one for one in proposal.priorities if one.task in tasks),
            habits=tuple(one for one in proposal.habits if one.habit in habits),
            breaks=(),
        )
    )


def _counted(proposal: Proposal) -> Proposal:
    """The proposal with the late ones counted among the tasks it still has."""
    late = sum(one.standing is Standing.LATE for one in proposal.tasks)
    return replace(proposal, late=late)
