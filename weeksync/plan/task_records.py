"""One record for a task, wherever it comes from: `tasks.toml` or a calendar's to-do list."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import date, datetime, time

from weeksync.lazy import dataclass
from weeksync.model.day_parts import part_place
from weeksync.model.fields import TODO_ID, DayPart
from weeksync.model.files import Task
from weeksync.model.occurrence import TodoItem
from weeksync.model.spread import PlanTask
from weeksync.plan.local_days import LocalDays


@dataclass(frozen=True, slots=True)
class Today:
    """The moment a plan is made for, and the day of the household it lies in."""

    now: datetime
    days: LocalDays

    @property
    def date(self) -> date:
        """The day of the household's zone."""
        return self.days.of(self.now)


@dataclass(frozen=True, slots=True)
class Placement:
    """A day a task stands on, with what else was said when it was put there.

    `chosen` where a person put it there; else it stands there because it is due. `person` is who
    does it that day, where that was said.
    """

    day: date
    part: DayPart | None = None
    start: time | None = None
    minutes: int | None = None
    chosen: bool = True
    person: str | None = None


def of_task(task: Task, today: date, due: date | None) -> PlanTask:
    """A task of `tasks.toml`, or one due date of a repeating one, without a day."""
    return PlanTask(
        id=task.id,
        title=task.title,
        area=task.area,
        persons=(task.person,) if task.person else (),
        due=due,
        not_before=task.not_before,
        estimate=task.estimate,
        priority=task.priority,
        part=task.part,
        waits_for=task.waits_for,
        carried=task.carried,
        notes=task.notes,
        overdue=due is not None and due < today,
        only_for=task.only_for,
        lead_days=task.lead_days or 0,
        repeats=bool(task.repeats),
        took=task.took,
    )


def of_todo(todo: TodoItem, today: Today) -> PlanTask:
    """A to-do of a calendar (RFC 5545 section 3.6.2), without a day.

    Its start is the day before which it cannot be done; priority 0 is none (3.8.1.9). One that
    is completed has its day in `done`; a cancelled one has none and is not for showing.
    """
    due_at = todo.due if isinstance(todo.due, datetime) else None
    due = _day(todo.due, today.days)
    late = due_at < today.now if due_at is not None else due is not None and due < today.date
    return PlanTask(
        id=todo_id(todo),
        title=todo.title,
        source=todo.source,
        area=todo.area,
        persons=todo.persons,
        due=due,
        due_at=due_at,
        not_before=_day(todo.start, today.days),
        estimate=todo.estimate_minutes,
        priority=todo.priority or None,
        notes=todo.notes,
        done=todo.completed,
        overdue=late,
        uid=todo.uid,
        classification=todo.classification,
        ticks=todo.ticks,
    )


def todo_id(todo: TodoItem) -> str:
    """A permanent id of the form that household files use, so that a to-do can be placed.

    UIDs may hold any character and be of any length; their digest does not.
    """
    text = "\0".join((todo.source, todo.uid, todo.identity))
    return f"{TODO_ID}{hashlib.sha256(text.encode()).hexdigest()[:16]}"


def _day(moment: datetime | date | None, days: LocalDays) -> date | None:
    return days.of(moment) if isinstance(moment, datetime) else moment


def on_day(plan: PlanTask, placement: Placement) -> PlanTask:
    """The task as it stands on a day: theirs who does it that day, where its place says so."""
    return replace(
        plan,
        persons=(placement.person,) if placement.person else plan.persons,
        shown_on=placement.day,
        part=placement.part or plan.part,
        start=placement.start,
        minutes=placement.minutes,
        chosen=placement.chosen,
    )


def minutes_of(plan: PlanTask, usual: int) -> int:
    """What it takes on its day: as said there, else its estimate, else the `usual` minutes.

    A task takes a minute at least: 0 says no more than nothing does.
    """
    return plan.minutes or plan.estimate or max(usual, 1)


def ended(plan: PlanTask, done: date | None, dropped: date | None) -> PlanTask:
    """The task as it stands on the day it was done or dropped."""
    return replace(plan, done=done, dropped=dropped, shown_on=done or dropped, overdue=False)


def in_day(task: PlanTask) -> tuple[object, ...]:
    """The order of tasks within a day: day part, time, priority, due date, title."""
    clock = task.start.isoformat() if task.start is not None else "~"
    return (part_place(task.part), clock, *by_urgency(task)[1:])


def by_urgency(task: PlanTask) -> tuple[object, ...]:
    """The order of tasks without a day: overdue ones, then by priority, due date, title."""
    priority = task.priority if task.priority is not None else 10
    due = task.due or date.max
    return (not task.overdue, priority, due, task.title.casefold(), task.source, task.id)
