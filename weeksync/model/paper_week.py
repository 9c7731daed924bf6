"""A week as it stands on paper: its rows in the order printed, then the lists of its days.

Boxes of days to come, of pauses and of days on which a habit is not due are none; so is a to-do
of a calendar that cannot be ticked here. The terminal and the page for entering a week both take
their rows from here.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.spread import Day, HabitRow, PlanTask, Spread


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A habit's seven boxes; `asked` are the numbers, from 1, of those that can be filled."""

    habit: HabitRow
    asked: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PaperItem:
    """A lesson or a task on the list of a day; `person` is the child, or whose task it is.

    `value` is what is recorded of a lesson; "" for a task, which leaves the list with its end.
    `is_todo`: the task lies in a calendar, and can only be done.
    """

    id: str
    title: str
    person: str
    is_task: bool
    repeats: bool = False
    value: str = ""
    is_todo: bool = False


@dataclass(frozen=True, slots=True)
class PaperList:
    """What stands on a day, or on none (`shown_on` is None); ticks in it are for `day`."""

    day: date
    shown_on: date | None
    items: tuple[PaperItem, ...]


def paper_rows(spread: Spread, today: date, person: str | None = None) -> tuple[PaperRow, ...]:
    """The rows with a box up to `today`, in the order printed; those of `person`, or all."""
    rows = (_row(row, today) for row in spread.habits if person in (None, row.person))
    return tuple(row for row in rows if row.asked)


def paper_lists(spread: Spread, today: date, person: str | None = None) -> tuple[PaperList, ...]:
    """The lists of the days up to `today`, then that of what has no day; no empty ones.

    `person` keeps what is theirs, and tasks that nobody is named for.
    """
    last = spread.days[-1].date
    lists = [_of_day(day, person) for day in spread.days if day.date <= today]
    listed = {item.id for one in lists for item in one.items}
    undated = [task for task in spread.undated if task.id not in listed]
    lists.append(PaperList(min(today, last), None, tuple(_tasks(undated, person))))
    return tuple(one for one in lists if one.items)


def _row(row: HabitRow, today: date) -> PaperRow:
    return PaperRow(row, tuple(at for at in row.boxes if row.cells[at - 1].day <= today))


def _of_day(day: Day, person: str | None) -> PaperList:
    lessons = [
        PaperItem(one.id, one.subject, one.child, is_task=False, value=one.value)
        for one in day.lessons
        if person in (None, one.child)
    ]
    return PaperList(day.date, day.date, (*lessons, *_tasks(day.tasks, person)))


def _tasks(tasks: Iterable[PlanTask], person: str | None) -> Iterable[PaperItem]:
    for one in tasks:
        is_theirs = person is None or not one.persons or person in one.persons
        if (one.ticks or not one.source) and one.open and is_theirs:
            whose = one.persons[0] if one.persons else ""
            yield PaperItem(
                one.id,
                one.title,
                whose,
                is_task=True,
                repeats=one.repeats,
                is_todo=bool(one.source),
            )
