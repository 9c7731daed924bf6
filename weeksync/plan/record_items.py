"""The single things of a span's record: occurrences, tasks, habits, money, lessons."""

from __future__ import annotations

from datetime import date, time
from enum import Enum
from typing import Any

from weeksync.message import Message
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import CellState, DayOccurrence, HabitRow, LessonItem, PlanTask

_TASK = (
    "id", "title", "source", "uid", "area", "persons", "due", "due_at", "not_before", "estimate",
    "priority", "part", "start", "minutes", "shown_on", "chosen", "lead_days", "waits_for",
    "carried", "notes", "done", "took", "dropped", "overdue", "only_for",
)  # fmt: skip
_MONEY = (
    "kind", "id", "title", "day", "due", "moved", "amount", "currency", "collected", "business",
    "paid_on", "paid_amount", "overdue", "person", "only_for",
)  # fmt: skip
_OCCURRENCE = (
    "title", "start", "end", "all_day", "zone", "source", "collection", "uid", "identity", "busy",
    "tentative", "cancelled", "journal", "classification", "persons", "area", "away",
    "travel_minutes", "place", "link", "notes", "categories", "also_in", "only_for",
)  # fmt: skip
_HABIT = (
    "id", "title", "area", "person", "part", "kind", "unit", "target", "times_a_week", "due",
    "marked", "health", "only_for",
)  # fmt: skip


def plain(thing: object, *names: str) -> dict[str, Any]:
    """The named attributes of a record as JSON has them."""
    return {name: _value(getattr(thing, name)) for name in names}


def _value(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date | time):  # a datetime is a date, too
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value


def sentence(text: Message) -> dict[str, Any]:
    """A sentence in English beside its catalogue entry and the values in its places."""
    return {
        "sentence": str(text),
        "text": text.text,
        "plural": text.plural,
        "count": text.count,
        "values": dict(text.values),
    }


def occurrence(one: DayOccurrence) -> dict[str, Any]:
    """An occurrence on a day; `person` is the first of `persons`, for who needs only one."""
    found = plain(one.occurrence, *_OCCURRENCE)
    persons = one.occurrence.persons
    return {
        **found,
        "person": persons[0] if persons else None,
        "part": _value(one.part),
        "from_before": one.from_before,
        "goes_on": one.goes_on,
        "elsewhere": [plain(clock, "zone", "start") for clock in one.elsewhere],
    }


def task(one: PlanTask) -> dict[str, Any]:
    """A task."""
    return plain(one, *_TASK)


def money(one: MoneyItem) -> dict[str, Any]:
    """Money that moves."""
    return plain(one, *_MONEY)


def lesson(one: LessonItem) -> dict[str, Any]:
    """A lesson."""
    return plain(one, "id", "child", "subject", "minutes", "make_up", "done")


def habit_row(row: HabitRow) -> dict[str, Any]:
    """A habit with its days."""
    return {
        **plain(row, *_HABIT),
        "cells": [plain(cell, "day", "state", "value") for cell in row.cells],
    }


def habit_on_day(row: HabitRow, day: date) -> dict[str, Any] | None:
    """How a habit stands on one day, None where it is not due and nothing was marked."""
    cell = next((one for one in row.cells if one.day == day), None)
    if cell is None or (cell.state is CellState.NOT_DUE and not cell.value):
        return None
    return {
        **plain(row, "id", "title", "person", "part", "only_for"),
        **plain(cell, "state", "value"),
    }
