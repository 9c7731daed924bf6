"""Tasks of the household and its calendars: on which day each stands, and which have none."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, time
from functools import partial
from typing import TYPE_CHECKING

from weeksync.model.chosen import PlacedTask, WeekFile
from weeksync.model.day_parts import PartHours
from weeksync.model.fields import minutes_of
from weeksync.model.files import Task
from weeksync.model.occurrence import TodoItem
from weeksync.model.spread import PlanTask
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.model.week_plan import Carried
from weeksync.plan.carried import CarriedCounts, carried, most_carried, settled
from weeksync.plan.lighter import LighterPeriods
from weeksync.plan.task_records import (
    Placement,
    Today,
    by_urgency,
    ended,
    in_day,
    of_task,
    of_todo,
    on_day,
)

if TYPE_CHECKING:
    from weeksync.plan.repeating_task import RepeatingTask


class Tasks:
    """Every task, asked by day and by span; open ones know over how many weeks they were carried.

    An open task stands on each day it was put on (week files), else on the day it is planned
    for, else on its due date. A day still to come that lies before its `not_before` is none: it
    has been put off since. Done and dropped ones stand on the day that happened. A past day
    keeps what was planned for it and not done, with how long it had been carried by then; in the
    week of today the same task is there a second time, among those without a day, because it is
    still to be done.
    """

    def __init__(
        self,
        tasks: Iterable[Task],
        todos: Iterable[TodoItem],
        weeks: Mapping[IsoWeek, WeekFile],
        *,
        today: Today,
        rule: WeekRule,
        hours: PartHours,
    ) -> None:
        self._today = today.date
        self._by_day: dict[date, list[PlanTask]] = defaultdict(list)
        self._floating: list[PlanTask] = []
        self._dated: list[PlanTask] = []
        self._repeating: list[RepeatingTask] = []
        self._known: dict[str, PlanTask] = {}
        self._open: tuple[PlanTask, ...] | None = None
        self._carried: dict[int, tuple[Carried, ...]] = {}
        self._counts = CarriedCounts(LighterPeriods(weeks, rule), rule, self._today)
        self._wanted = _wanted(weeks)
        placements = _placements(weeks, hours)
        for task in tasks:
            put = placements.get(task.id, ())
            if task.repeats:
                from weeksync.plan.repeating_task import RepeatingTask  # dateutil comes with it

                self._repeating.append(
                    RepeatingTask(task, put or _day(task), rule, self._today, self._counts)
                )
                self._known.setdefault(task.id, of_task(task, self._today, task.due))
            else:
                plan = of_task(task, self._today, task.due)
                places = put or _day(task) or _due(task)
                stood = [*(one.day for one in put), *_given(task.day), *_given(task.due)]
                counted = partial(self._counted, plan, stood, task)
                if task.open:
                    plan = counted()
                    places = tuple(one for one in places if not self._is_off(plan, one.day))
                self._take(plan, places, task.done, task.dropped, counted)
        for todo in todos:
            plan = of_todo(todo, today)
            put = placements.get(plan.id, ()) or _due(plan)
            stood = [*(one.day for one in put), *_given(plan.due)]
            counted = partial(self._counted, plan, stood, None)
            if todo.open:
                plan = counted()
            if todo.open or todo.completed is not None:  # others ended on a day nobody wrote
                self._take(plan, put, todo.completed, None, counted)

    def on(self, day: date) -> tuple[PlanTask, ...]:
        """What stands on `day`, in the order of the day."""
        found = list(self._by_day.get(day, ()))
        for task in self._repeating:
            found += task.on(day)
        return tuple(sorted(found, key=in_day))

    def undated(self, first: date, last: date) -> tuple[PlanTask, ...]:
        """Open tasks without a day from `first` to `last` that may be done in them.

        None in a span that is over. Those that have no day at all, from the day on which they
        may be begun; where the span holds today, those left over from earlier days too; and
        those that have been put off from a day that is over until one of the span.
        """
        if last < self._today:
            return ()
        found = [one for one in self._floating if _may_begin(one, last)]
        if first <= self._today:
            found += [one for one in self._left_over(first) if _may_begin(one, last)]
        else:
            found += [
                one
                for one in self._dated
                if one.later and first <= (one.not_before or date.min) <= last
            ]
        return tuple(sorted(found, key=by_urgency))

    def is_put_off(self, task_id: str, day: date) -> bool:
        """Whether an open task cannot be begun before a day after `day`, which is not over."""
        found = self._known.get(task_id)
        return found is not None and found.open and self._is_off(found, day)

    def _is_off(self, task: PlanTask, day: date) -> bool:
        return self._today <= day < (task.not_before or date.min)

    def find(self, task_id: str) -> PlanTask | None:
        """The task of that id, as it was met first."""
        return self._known.get(task_id)

    def is_done(self, task_id: str, day: date) -> bool:
        """Whether the task is done; a repeating one, whether it was done on `day` or later."""
        for task in self._repeating:
            if task.task.id == task_id:
                return task.task.done is not None and task.task.done >= day
        found = self._known.get(task_id)
        return found is not None and found.done is not None

    def open(self) -> tuple[PlanTask, ...]:
        """Every open task once, a repeating one with its first open due date."""
        if self._open is None:
            found = [*self._floating, *self._dated]
            for task in self._repeating:
                due = task.earliest_open()
                if due is not None:
                    found.append(task.standing(due))
            self._open = _once_a_series(found)
        return self._open

    def carried(self, limit: int) -> tuple[Carried, ...]:
        """The open tasks that have been carried a week or more, longest first.

        A decision about one is due from `limit` weeks on, unless it has been decided about: see
        `weeksync.plan.carried.carried`.
        """
        if limit not in self._carried:
            found = sorted((task for task in self.open() if task.carried), key=most_carried)
            self._carried[limit] = tuple(
                carried(task, limit=limit, today=self._today, wanted_on=self.wanted_on(task.id))
                for task in found
            )
        return self._carried[limit]

    def to_decide(self, limit: int, first: date) -> tuple[PlanTask, ...]:
        """What is left over and not decided about: carried for `limit` weeks first, longest first.

        Then the other open tasks that were carried, or stood on a day before `first` (where a
        week begins) and on none since.
        """
        left = [
            task
            for task in sorted(self.open(), key=most_carried)
            if (task.carried or (task.shown_on is not None and task.shown_on < first))
            and not settled(task, self._today, self.wanted_on(task.id))
        ]
        return tuple(sorted(left, key=lambda one: one.carried < limit))

    def wanted_on(self, task_id: str) -> date | None:
        """The last day of which the task is a priority, None where it is of none.

        As a day it stands on, one that lies before its `not_before` is none.
        """
        day = self._wanted.get(task_id)
        return None if day is None or self.is_put_off(task_id, day) else day

    def _counted(
        self, plan: PlanTask, stood: Iterable[date], task: Task | None, by: date = date.max
    ) -> PlanTask:
        """The open task with how long it is carried, or had been in a week that is over."""
        written, until = (task.carried, task.carried_until) if task is not None else (0, None)
        weeks = self._counts.weeks(plan, stood, written=written, until=until, by=by)
        return plan if weeks == plan.carried else replace(plan, carried=weeks)

    def _take(
        self,
        plan: PlanTask,
        placements: Sequence[Placement],
        done: date | None,
        dropped: date | None,
        counted: Callable[..., PlanTask],
    ) -> None:
        over = done or dropped
        if over is not None:
            plan = ended(plan, done, dropped)
            self._by_day[over].append(plan)
        elif placements:
            for placement in placements:
                then = counted(by=placement.day) if plan.carried else plan
                self._by_day[placement.day].append(on_day(then, placement))
            self._dated.append(on_day(plan, max(placements, key=lambda one: one.day)))
        else:
            self._floating.append(plan)
        self._known.setdefault(plan.id, plan)

    def _left_over(self, first: date) -> list[PlanTask]:
        return [one for one in self.open() if one.shown_on is not None and one.shown_on < first]


def _may_begin(task: PlanTask, last: date) -> bool:
    return task.not_before is None or task.not_before <= last


def _once_a_series(tasks: Iterable[PlanTask]) -> tuple[PlanTask, ...]:
    """Of a to-do that recurs in a calendar, only the first open occurrence."""
    held: dict[tuple[str, str], PlanTask] = {}
    for task in tasks:
        key = (task.source, task.uid or task.id)
        other = held.get(key)
        if other is None or (task.due or date.max) < (other.due or date.max):
            held[key] = task
    return tuple(held.values())


def _given(day: date | None) -> tuple[date, ...]:
    return () if day is None else (day,)


def _wanted(weeks: Mapping[IsoWeek, WeekFile]) -> dict[str, date]:
    """The last day on which each text, the id of a task among them, is a priority."""
    found: dict[str, date] = {}
    for week in weeks.values():
        for chosen in week.days:
            for text in chosen.priorities:
                found[text] = max(chosen.date, found.get(text, chosen.date))
    return found


def _day(task: Task) -> tuple[Placement, ...]:
    return () if task.day is None else (Placement(task.day, task.part),)


def _due(task: Task | PlanTask) -> tuple[Placement, ...]:
    return () if task.due is None else (Placement(task.due, chosen=False),)


def _placements(
    weeks: Mapping[IsoWeek, WeekFile], hours: PartHours
) -> dict[str, tuple[Placement, ...]]:
    """Where each task was put, in order: on a day at several times, or once without a time.

    Of several without a time, or at the same time, the last one written counts.
    """
    found: dict[str, dict[date, dict[time | None, Placement]]] = defaultdict(dict)
    for week in sorted(weeks):
        for placed in weeks[week].placed:
            there = found[placed.task].setdefault(placed.date, {})
            if placed.start is None or None in there:
                there.clear()
            there[placed.start] = _placement(placed, hours)
    return {
        task: tuple(put for day in sorted(days) for _, put in sorted(days[day].items(), key=_clock))
        for task, days in found.items()
    }


def _clock(item: tuple[time | None, Placement]) -> time:
    return item[0] or time.min


def _placement(placed: PlacedTask, hours: PartHours) -> Placement:
    part = placed.part
    if part is None and placed.start is not None:
        part = hours.part(minutes_of(placed.start))
    return Placement(placed.date, part, placed.start, placed.minutes, person=placed.person)
