"""Why a task is proposed where it stood before: the own reason of each, where that is known.

Once a week was printed or confirmed, most of its tasks are proposed where they stood then. Said of
each of them, that hides what helps to decide: when it is due, and what it takes of its days.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from weeksync.model.spread import PlanTask, Spread
from weeksync.model.week_plan import DayLoad, ProposedTask
from weeksync.plan import reasons


def is_kept(one: ProposedTask, task: PlanTask | None) -> bool:
    """Whether it is proposed where it stood when the week was confirmed."""
    if one.reason == reasons.kept():
        return True
    return task is not None and one.reason == reasons.kept_late(task)


def own_reasons(spread: Spread, known: Mapping[str, PlanTask]) -> tuple[Spread, bool]:
    """The week with the own reason of each proposed task, and whether any of them is kept."""
    plan = spread.plan
    if plan is None or plan.proposal is None:
        return spread, False
    was = plan.proposal.tasks
    tasks = tuple(own(one, plan.loads, known) for one in was)
    made = replace(plan, proposal=replace(plan.proposal, tasks=tasks))
    is_any = any(is_kept(one, known.get(one.task)) for one in was)
    return replace(spread, plan=made), is_any


def own(one: ProposedTask, loads: Sequence[DayLoad], known: Mapping[str, PlanTask]) -> ProposedTask:
    """The task with its own reason; as it was where nothing better is known than where it stood."""
    task = known.get(one.task)
    if task is None or not one.pieces or not is_kept(one, task):
        return one
    days = {piece.start.date() for piece in one.pieces}
    first = min(days)
    if one.reason != reasons.kept():
        if task.last_day is None or task.last_day >= first:
            return one
        return one._replace(reason=reasons.late(task, 0, first, first))
    plannable = sum(
        load.plannable for load in loads if load.person == one.person and load.day in days
    )
    if not plannable:
        return one
    reason = reasons.placed(task, one.minutes, plannable, guessed=one.guessed)
    return one._replace(reason=reason)
