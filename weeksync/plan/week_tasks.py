"""The tasks of a week as a proposal sees them: what is fixed, what is to be placed, what cannot."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import field, replace
from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.spread import PlanTask, Priority


@dataclass(frozen=True, slots=True)
class Asked:
    """Which tasks there are, and for which days.

    `standing` are the tasks of each day of the week as the spread has them, `open_tasks` every
    open task once, `priorities` those of each day; `wanted_on` gives the last day of which a task
    is a priority, `find` a task as it is without a day. `elsewhere` are ids of tasks that the
    proposal of an earlier week has a place for. Tasks due after `until` are left for later weeks.
    """

    days: Sequence[date]
    today: date
    until: date
    standing: Mapping[date, Sequence[PlanTask]]
    open_tasks: Sequence[PlanTask]
    priorities: Mapping[date, Sequence[Priority]]
    wanted_on: Callable[[str], date | None] = lambda task: None
    find: Callable[[str], PlanTask | None] = lambda task: None
    elsewhere: Collection[str] = ()

    @property
    def first(self) -> date:
        """The first day that something can be proposed for."""
        return max(self.today, self.days[0])

    @property
    def last(self) -> date:
        """The last day of the week."""
        return self.days[-1]


@dataclass(slots=True)
class WeekTasks:
    """The tasks of a week, apart."""

    chosen: list[PlanTask] = field(default_factory=list)
    """Put on a day of the week that is not over, once for each such day."""
    wanted: list[tuple[date, PlanTask]] = field(default_factory=list)
    """(day, task) of those that are only a priority of a day."""
    further: list[PlanTask] = field(default_factory=list)
    """Later due dates of what repeats: they take their minutes on their days."""
    open: list[PlanTask] = field(default_factory=list)
    """To be placed."""
    waiting: list[PlanTask] = field(default_factory=list)
    """Waiting for something."""
    not_yet: list[PlanTask] = field(default_factory=list)
    """Due in these days, and not to be begun in them."""


def sort_out(asked: Asked) -> WeekTasks:
    """The tasks that concern the days still to come of the week.

    Not among them are tasks that stand on another day by choice, cannot be begun before the week
    is over, or were found a place in an earlier week. What is due before the week and has found
    none is late in it.
    """
    found = WeekTasks()
    series = {_series(task): task.due for task in asked.open_tasks}
    for day in asked.days:
        for task in asked.standing.get(day, ()) if day >= asked.first else ():
            if task.done is not None or task.dropped is not None:
                continue
            if task.chosen:
                found.chosen.append(task)
            elif series.get(_series(task), task.due) != task.due:
                found.further.append(task)
    put = {_series(task) for task in found.chosen}
    for task in asked.open_tasks:
        if _series(task) not in put:
            _take(task, asked, found)
    return found


def _series(task: PlanTask) -> tuple[str, str]:
    return task.source, task.uid or task.id


def _take(task: PlanTask, asked: Asked, found: WeekTasks) -> None:
    stands = task.shown_on if task.chosen else None
    if (stands is not None and stands >= asked.today) or task.id in asked.elsewhere:
        return
    wanted = asked.wanted_on(task.id)
    if wanted is not None and wanted >= asked.today:
        if asked.first <= wanted <= asked.last:
            found.wanted.append((wanted, task))
        return
    _sort(_afresh(task, asked), asked, found)


def _afresh(task: PlanTask, asked: Asked) -> PlanTask:
    """A task without what was said of a day that is over."""
    if not task.chosen:
        return task
    plain = asked.find(task.id)
    part, persons = (plain.part, plain.persons) if plain is not None else (task.part, task.persons)
    return replace(task, start=None, minutes=None, part=part, persons=persons, chosen=False)


def _sort(task: PlanTask, asked: Asked, found: WeekTasks) -> None:
    by = task.last_day
    if by is not None and by > asked.until:
        return
    if task.not_before is not None and task.not_before > asked.last:
        if by is not None and by <= asked.last:
            found.not_yet.append(task)
    elif task.waits_for:
        found.waiting.append(task)
    else:
        found.open.append(task)
