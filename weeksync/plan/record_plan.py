"""The record of a week's plan: every field and every property of its records, by its own name.

A field that is added to one of them stands in the record at once; the schema describes it, and a
test holds the two against each other.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date, time
from enum import Enum
from typing import Any

from weeksync.message import Message
from weeksync.model.money_item import MoneyItem
from weeksync.model.record import Record
from weeksync.model.week_plan import WeekPlan
from weeksync.plan.record_items import money, sentence

_PAIRS = {"lessons": ("lesson", "day"), "reserved": ("id", "only_for")}
"""Fields of pairs, with the names of their two values."""


def plan_record(plan: WeekPlan | None) -> dict[str, Any] | None:
    """The plan as JSON has it; None for a span that is no week."""
    return None if plan is None else _record(plan)


def _names(kind: type[Any]) -> tuple[str, ...]:
    """The fields of a record, then its properties."""
    if issubclass(kind, Record):
        return kind.field_names()
    named = issubclass(kind, tuple)
    said = tuple(kind.__annotations__ if named else (one.name for one in fields(kind)))
    return said + tuple(name for name, one in vars(kind).items() if isinstance(one, property))


def _record(thing: Any) -> dict[str, Any]:
    found = {}
    for name in _names(type(thing)):
        value = getattr(thing, name)
        pair = _PAIRS.get(name)
        if pair is not None and isinstance(value, tuple) and value and type(value[0]) is tuple:
            found[name] = [dict(zip(pair, map(_value, one), strict=True)) for one in value]
        else:
            found[name] = _value(value)
    return found


def _value(value: Any) -> Any:
    if isinstance(value, Message):
        return sentence(value)
    if isinstance(value, MoneyItem):
        return money(value)
    if is_dataclass(value) or hasattr(value, "_fields"):
        return _record(value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date | time):  # a datetime is a date, too
        return value.isoformat()
    if isinstance(value, tuple):
        return [_value(one) for one in value]
    return value
