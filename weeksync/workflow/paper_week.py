"""A week as it stands on paper: its rows in the order printed, then the lists of its days.

What is marked already is beside each box. Boxes of days to come, of pauses and of days on which
a habit is not due are none; so is what stands in a calendar, where nothing is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.model.household import Mark, latest_marks
from weeksync.model.spread import CellState, Day, HabitRow, PlanTask
from weeksync.model.week import IsoWeek
from weeksync.plan.record_items import plain
from weeksync.workflow.context import Context
from weeksync.workflow.markable import Markable

FORMAT = 1
KIND = "weeksync.marks"

_NOT_ASKED = (CellState.NOT_DUE, CellState.PAUSED)

Held = Mapping[tuple[str, date], Mark]


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A habit's seven boxes; `asked` are the numbers, from 1, of those that can be filled."""

    habit: HabitRow
    asked: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class PaperItem:
    """A lesson or a task on the list of a day; `person` is the child, or whose task it is."""

    id: str
    title: str
    person: str
    is_task: bool


@dataclass(frozen=True, slots=True)
class PaperList:
    """What stands on a day, or on none (`shown_on` is None); ticks in it are for `day`."""

    day: date
    shown_on: date | None
    items: tuple[PaperItem, ...]


@dataclass(frozen=True, slots=True)
class PaperWeek:
    """The rows and lists of a week that is over or has begun."""

    week: IsoWeek
    days: tuple[date, ...]
    rows: tuple[PaperRow, ...]
    lists: tuple[PaperList, ...]


def paper_week(context: Context, week: IsoWeek, person: str | None = None) -> PaperWeek:
    """The week as it is printed before anything is marked; UsageError where it has not begun.

    `person` keeps what is theirs, and tasks that nobody is named for.
    """
    days = context.rule.days(week)
    if days[0] > context.today:
        raise UsageError(
            message("{week} has not begun; name this week or one before, as last", week=str(week))
        )
    # Without marks every box is empty, those of a habit done often enough, too.
    unmarked = replace(context, files=replace(context.files, marks=()))
    spread = Markable(unmarked).planner.week(week)
    rows = [_row(row, context.today) for row in spread.habits if person in (None, row.person)]
    lists = [_of_day(day, person) for day in spread.days if day.date <= context.today]
    listed = {item.id for one in lists for item in one.items}
    undated = [task for task in spread.undated if task.id not in listed]
    lists.append(PaperList(min(context.today, days[-1]), None, tuple(_tasks(undated, person))))
    return PaperWeek(
        week,
        days,
        tuple(row for row in rows if row.asked),
        tuple(one for one in lists if one.items),
    )


def _row(row: HabitRow, today: date) -> PaperRow:
    asked = [
        number
        for number, cell in enumerate(row.cells, 1)
        if cell.state not in _NOT_ASKED and cell.day <= today
    ]
    return PaperRow(row, tuple(asked))


def _of_day(day: Day, person: str | None) -> PaperList:
    lessons = [
        PaperItem(one.id, one.subject, one.child, is_task=False)
        for one in day.lessons
        if person in (None, one.child)
    ]
    return PaperList(day.date, day.date, (*lessons, *_tasks(day.tasks, person)))


def _tasks(tasks: Iterable[PlanTask], person: str | None) -> Iterable[PaperItem]:
    for one in tasks:
        is_theirs = person is None or not one.persons or person in one.persons
        if not one.source and one.done is None and one.dropped is None and is_theirs:
            yield PaperItem(one.id, one.title, one.persons[0] if one.persons else "", is_task=True)


def value_held(held: Held, thing: str, day: date) -> str:
    """What is recorded, "" where nothing is."""
    mark = held.get((thing, day))
    return mark.value if mark is not None else ""


def as_marks_record(context: Context, paper: PaperWeek) -> dict[str, Any]:
    """The week's boxes with what is recorded in them, as JSON has it."""
    held = latest_marks(context.files.marks)
    return {
        "format": FORMAT,
        "kind": KIND,
        "week": str(paper.week),
        "habits": [_row_record(row, held) for row in paper.rows],
        "lists": [_list_record(one, held) for one in paper.lists],
    }


def _row_record(row: PaperRow, held: Held) -> dict[str, Any]:
    days = [row.habit.cells[number - 1].day for number in row.asked]
    return {
        **plain(row.habit, "id", "title", "person", "kind", "unit", "target"),
        "boxes": [
            {"day": day.isoformat(), "value": value_held(held, row.habit.id, day)} for day in days
        ],
    }


def _list_record(one: PaperList, held: Held) -> dict[str, Any]:
    items = [
        {
            **plain(item, "id", "title", "person", "is_task"),
            "value": "" if item.is_task else value_held(held, item.id, one.day),
        }
        for item in one.items
    ]
    return {**plain(one, "day", "shown_on"), "items": items}
