"""A week as it stands on paper, with what is marked already beside each box."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.household import Mark, latest_marks
from weeksync.model.paper_week import PaperList, PaperRow, paper_lists, paper_rows
from weeksync.model.week import IsoWeek
from weeksync.plan.record_items import plain
from weeksync.workflow.context import Context
from weeksync.workflow.markable import Markable

FORMAT = 1
KIND = "weeksync.marks"

Held = Mapping[tuple[str, date], Mark]


@dataclass(frozen=True, slots=True)
class PaperWeek:
    """The rows and lists of a week that is over or has begun."""

    week: IsoWeek
    days: tuple[date, ...]
    rows: tuple[PaperRow, ...]
    lists: tuple[PaperList, ...]


def paper_week(context: Context, week: IsoWeek, person: str | None = None) -> PaperWeek:
    """The rows and lists of the week; UsageError where it has not begun.

    `person` keeps what is theirs, and tasks that nobody is named for.
    """
    days = context.rule.days(week)
    if days[0] > context.today:
        raise UsageError(
            message("{week} has not begun; name this week or one before, as last", week=str(week))
        )
    spread, today = Markable(context).planner_with_todos().week(week), context.today
    return PaperWeek(
        week, days, paper_rows(spread, today, person), paper_lists(spread, today, person)
    )


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
