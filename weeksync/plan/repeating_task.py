"""A repeating task: each of its due dates is an entry of its own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from weeksync.model.files import Task
from weeksync.model.spread import PlanTask
from weeksync.model.week import WeekRule
from weeksync.plan.carried import CarriedCounts
from weeksync.plan.repeats import Repeats
from weeksync.plan.task_records import Placement, ended, of_task, on_day


class RepeatingTask:
    """The due dates of one repeating task of `tasks.toml`.

    `done` closes every due date up to it; a dropped task has no open due date left. A day it
    was put on stands for one due date: the first open one of that week or later, else the last.
    """

    def __init__(
        self,
        task: Task,
        placements: Sequence[Placement],
        rule: WeekRule,
        today: date,
        counts: CarriedCounts,
    ) -> None:
        self.task = task
        self._today = today
        self._counts = counts
        self._first = task.due or date.max
        self._repeats = Repeats(task.repeats, self._first)
        self._put: dict[date, list[tuple[date, Placement]]] = defaultdict(list)
        self._moved: dict[date, date] = {}
        for placement in placements:
            due = self._stood_for(placement.day, rule)
            if due is not None:
                self._put[placement.day].append((due, placement))
                self._moved[due] = max(placement.day, self._moved.get(due, date.min))

    def on(self, day: date) -> list[PlanTask]:
        """Its entries on `day`: due and not put elsewhere, put here, done or dropped here."""
        entries = [
            on_day(self.entry(due, day), Placement(day, chosen=False))
            for due in self._repeats.between(day, day)
            if due not in self._moved and self._is_open(due)
        ]
        entries += [on_day(self.entry(due, day), put) for due, put in self._put.get(day, ())]
        if day in (self.task.done, self.task.dropped):
            entries.append(self._ended(day))
        return entries

    def earliest_open(self) -> date | None:
        """Its first due date that is not closed."""
        if self.task.dropped is not None:
            return None
        done = self.task.done
        return self._repeats.at_or_after(
            self._first if done is None else max(self._first, done + timedelta(days=1))
        )

    def standing(self, due: date) -> PlanTask:
        """The entry of that due date on the last day on which it stands."""
        day = self._moved.get(due)
        if day is None:
            return on_day(self.entry(due), Placement(due, chosen=False))
        put = next(put for one, put in self._put[day] if one == due)
        return on_day(self.entry(due), put)

    def entry(self, due: date, by: date = date.max) -> PlanTask:
        """The entry of one due date, without a day; only the first open one can be carried.

        How long it was carried is as it was in the week of `by`, where that is over.
        """
        plan = replace(of_task(self.task, self._today, due), carried=0)
        if due != self.earliest_open():
            return plan
        return replace(plan, carried=self._carried(plan, due, by))

    def _carried(self, plan: PlanTask, due: date, by: date) -> int:
        """Over how many weeks its first open due date has been carried.

        What the file says of it holds for the due date that was open when it was written: not
        any more once the task was done after that.
        """
        task = self.task
        held = task.done is None or (
            task.carried_until is not None and task.carried_until > task.done
        )
        stood = [due, *(day for day, put in self._put.items() for one, _ in put if one == due)]
        return self._counts.weeks(
            plan,
            stood,
            written=task.carried if held else 0,
            until=task.carried_until if held else None,
            by=by,
        )

    def _is_open(self, due: date) -> bool:
        earliest = self.earliest_open()
        return earliest is not None and due >= earliest

    def _ended(self, day: date) -> PlanTask:
        due = self._repeats.at_or_before(day) or self._first
        return ended(self.entry(due), self.task.done, self.task.dropped)

    def _stood_for(self, day: date, rule: WeekRule) -> date | None:
        earliest = self.earliest_open()
        done = self.task.done
        if earliest is None or (done is not None and day <= done):
            return None  # what was put there is closed, and stays where it was done
        following = self._repeats.at_or_after(max(rule.start(day), earliest))
        if following is not None:
            return following
        last = self._repeats.at_or_before(day)
        return last if last is not None and last >= earliest else None
