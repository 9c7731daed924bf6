"""Kinds of value that several files share."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterator
from datetime import date, time
from importlib import import_module
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

import weeksync
from weeksync.model.fields import (
    Currency,
    Day,
    Hours,
    Id,
    LocalTime,
    RuleText,
    Title,
    Weekday,
    minutes_of,
    parse_hours,
)
from weeksync.model.record import Record


def takes(kind: Any, value: object) -> bool:
    """Whether a value is of that kind."""
    try:
        TypeAdapter[Any](kind).validate_python(value)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize("value", ["a", "7", "garden-gate", "a" * 64, "2027-w12"])
def test_ids(value: str) -> None:
    """Small letters, digits, hyphens; they stand in commands, file names and addresses."""
    assert takes(Id, value)


@pytest.mark.parametrize("value", ["", "-a", "A", "a b", "a_b", "ä", "a" * 65, "a\n", "../a", "٣"])
def test_no_ids(value: str) -> None:
    """Nothing that means something in a path or an address, nor looks like something else."""
    assert not takes(Id, value)


@pytest.mark.parametrize(
    ("value", "minutes"),
    [
        ("08:00-12:30", (480, 750)),
        ("00:00-24:00", (0, 1440)),
        ("22:00-06:00", (1320, 1800)),
        ("18:00-00:00", (1080, 1440)),
        ("06:00-06:00", (360, 1800)),
    ],
)
def test_hours(value: str, minutes: tuple[int, int]) -> None:
    """A span that ends at or before its start runs over midnight."""
    assert parse_hours(value) == minutes
    assert takes(Hours, value)


@pytest.mark.parametrize("value", ["8:00-12:00", "08:00", "08:00-24:30", "25:00-26:00", "08.00-9"])
def test_no_hours(value: str) -> None:
    """Two digits each, on the 24-hour clock."""
    assert parse_hours(value) is None
    assert not takes(Hours, value)


def test_days_and_times() -> None:
    """A slip in the year, and an offset: both would surface far from where they stand."""
    assert takes(Day, date(2027, 3, 22))
    assert not takes(Day, date(227, 3, 22))
    assert not takes(Day, date(2727, 3, 22))
    assert takes(LocalTime, time(14, 30))
    assert not takes(LocalTime, "14:30:00+01:00")


def test_codes_titles_and_rules() -> None:
    """ISO 4217 codes are three capitals; a title is not empty; a rule is one of RFC 5545."""
    assert takes(Currency, "GBP")
    assert not any(takes(Currency, one) for one in ("gbp", "GB", "GBPX", "£", "GBP\n"))
    assert takes(Title, "x" * 300)
    assert not any(takes(Title, one) for one in ("", "x" * 301))
    assert takes(RuleText, "FREQ=MONTHLY;BYMONTHDAY=24")
    assert not takes(RuleText, "monthly")


def test_weekdays_count_as_python_counts() -> None:
    """0 for Monday; 22 March 2027 is one."""
    assert [day.number for day in Weekday] == list(range(7))
    assert date(2027, 3, 22).weekday() == Weekday("monday").number


def test_minutes_after_midnight() -> None:
    """Of a time of day."""
    assert minutes_of(time(14, 30, 59)) == 870


def test_every_record_is_a_dataclass_of_its_own() -> None:
    """One without the decorator would have the fields of its base, and no others."""
    for one in pkgutil.walk_packages(weeksync.__path__, "weeksync."):
        if one.name.startswith(("weeksync.model.", "weeksync.read.")):
            import_module(one.name)
    written = {(one.__module__, one.__qualname__) for one in _below(Record)}
    made = {
        (one.__module__, one.__qualname__) for one in _below(Record) if "__slots__" in vars(one)
    }
    assert len(written) > 40
    assert made == written


def _below(kind: type[Record]) -> Iterator[type[Record]]:
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)
