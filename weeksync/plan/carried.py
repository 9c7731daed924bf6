"""Carrying forward: over how many weeks a task has been carried, and when to decide about it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from weeksync.model.spread import PlanTask
from weeksync.model.week import WeekRule
from weeksync.model.week_plan import Carried
from weeksync.plan.lighter import LighterPeriods

_WEEK = timedelta(days=7)


class CarriedCounts:
    """How many weeks open tasks have been carried, up to the week of `today`.

    A task that stood in a week (on its day, its due date, or where a week file put it) and is
    still open in the next has been carried once. To-dos of calendars have no count of their own:
    theirs comes from their due dates, and from the week files that put them on days.

    Not counted are weeks that are lighter for whoever it is (`LighterPeriods.frozen`), and weeks
    before the one in which the task may be begun: what is parked is not carried.
    """

    def __init__(self, lighter: LighterPeriods, rule: WeekRule, today: date) -> None:
        self._lighter = lighter
        self._rule = rule
        self._today = today

    def weeks(
        self,
        task: PlanTask,
        stood: Iterable[date],
        *,
        written: int = 0,
        until: date | None = None,
        by: date = date.max,
    ) -> int:
        """The count of an open task, as it was in the week of `by` where that is over.

        `stood` are the days it has stood on, later ones than today among them. `written` is the
        count as the file has it; with `until` it holds up to that week and later weeks are
        counted on, without it is the least that the count can be.
        """
        if until is not None:
            return written + self._since(task, until, by)
        first = min(stood, default=None)
        return written if first is None else max(written, self._since(task, first, by))

    def _since(self, task: PlanTask, day: date, by: date) -> int:
        """The weeks that count after that of `day`, up to the week of today, or of `by` before."""
        if task.not_before is not None and task.not_before - date.min > _WEEK:
            day = max(day, task.not_before - _WEEK)
        last = min(self._today, by)
        weeks = (self._rule.start(last) - self._rule.start(day)).days // 7
        if weeks <= 0:
            return 0
        return weeks - self._lighter.frozen(task.persons, day, last)


def settled(task: PlanTask, today: date, wanted_on: date | None) -> bool:
    """Whether somebody has decided about an open task already.

    It stands on today or a later day by choice, is a priority of such a day (`wanted_on`, the
    last one), or is parked until a later day.
    """
    return (
        (task.chosen and task.shown_on is not None and task.shown_on >= today)
        or (wanted_on is not None and wanted_on >= today)
        or (task.not_before is not None and task.not_before > today)
    )


def carried(task: PlanTask, *, limit: int, today: date, wanted_on: date | None) -> Carried:
    """The record of an open task that has been carried.

    A decision is due from `limit` weeks on, unless it is settled.
    """
    return Carried(
        task=task.id,
        title=task.title,
        weeks=task.carried,
        decision_due=task.carried >= limit and not settled(task, today, wanted_on),
        persons=task.persons,
        only_for=task.only_for,
    )


def most_carried(task: PlanTask) -> tuple[object, ...]:
    """The order in which carried tasks are gone through: longest first, then by due date."""
    return (-task.carried, task.due or date.max, task.title.casefold(), task.source, task.id)
