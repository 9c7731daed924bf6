"""Every kind of error the records can raise is told in plain words, with line and remedy."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.fields import FileRecord
from weeksync.model.files import AppointmentsFile, HabitsFile, RoutinesFile, TasksFile, TermsFile
from weeksync.model.money import MoneyFile
from weeksync.model.record import Record
from weeksync.read.checkins import CheckInHead
from weeksync.read.fields import hints_of, known_keys, records_in
from weeksync.read.records import _record, parse_toml
from weeksync.read.values import EXPLAINED, Wrong, explain_value

MODELS: tuple[type[FileRecord] | type[Config], ...] = (
    Config,
    AppointmentsFile,
    RoutinesFile,
    TasksFile,
    HabitsFile,
    MoneyFile,
    TermsFile,
    WeekFile,
    CheckInHead,
)

TOLD_WITH_THEIR_TABLE = {"missing", "unexpected_keyword_argument"}

RAISED: dict[str, set[str]] = {
    "dataclass": {"dataclass_type"},
    "dataclass-args": {"missing", "unexpected_keyword_argument"},
    "tuple": {"tuple_type", "too_short"},
    "dict": {"dict_type"},
    "str": {"string_type", "string_too_short", "string_too_long"},
    "int": {"int_type", "greater_than_equal", "greater_than", "less_than_equal"},
    "float": {"float_type", "finite_number", "greater_than_equal"},
    "bool": {"bool_type"},
    "date": {"date_type", "date_parsing"},
    "datetime": {"datetime_type", "datetime_parsing"},
    "time": {"time_type", "time_parsing"},
    "enum": {"enum"},
    "literal": {"literal_error"},
    "function-after": {"value_error"},
}
"""Kind of schema → errors it raises from JSON in strict mode (pydantic, "Validation errors")."""

BUILT_OF_OTHERS = {
    "union",
    "nullable",
    "default",
    "dataclass-field",
    "definitions",
    "definition-ref",
}


def nodes(schema: object) -> Iterator[str]:
    """The kinds of all parts of a pydantic-core schema."""
    if isinstance(schema, dict):
        if isinstance(schema.get("type"), str) and "ref" not in str(schema.get("type")):
            yield schema["type"]
        for key, inner in schema.items():
            if key not in {"metadata", "serialization", "cls", "config", "default", "function"}:
                yield from nodes(inner)
    elif isinstance(schema, list | tuple):
        for inner in schema:
            yield from nodes(inner)


@pytest.mark.parametrize("model", MODELS)
def test_every_error_a_schema_can_raise_has_its_words(model: type[Record]) -> None:
    """A field of a new kind must be given words before it can be used."""
    kinds = set(nodes(TypeAdapter(model).core_schema)) - BUILT_OF_OTHERS
    assert kinds <= RAISED.keys(), "what errors does this kind raise?"
    raised = set().union(*(RAISED[kind] for kind in kinds))
    assert raised <= EXPLAINED | TOLD_WITH_THEIR_TABLE


def _fields(model: type[Record]) -> Iterator[tuple[tuple[str, ...], type[Record], str]]:
    """(path of arrays and tables, record, key) of every setting of a file."""
    for key, hint in hints_of(model).items():
        inner = records_in(hint)
        if not inner:
            yield (), model, key
        for record in inner:
            for path, owner, name in _fields(record):
                yield (key, *path), owner, name


WRONG: tuple[Any, ...] = (
    5,
    -1,
    10**30,
    2.5,
    float("inf"),
    float("nan"),
    True,
    "",
    "x" * 400,
    "Big Words",
    [],
    [5],
    ["x", "Y Z"],
    {},
    {"x": 5},
    "2027-02-30",
    date(2027, 3, 22),
    date(1, 1, 1),
    datetime(2027, 3, 22, 10),
    time(10),
)


@pytest.mark.parametrize("model", MODELS)
def test_no_wrong_value_is_told_in_the_words_of_a_library(model: type[Record]) -> None:
    """Wrong values in every setting of every file: each error has words of its own."""
    seen = set()
    for path, _, key in _fields(model):
        for value in WRONG:
            data: dict[str, object] = {"format": 1}
            table: dict[str, object] = data
            for part in path:
                inner: dict[str, object] = {}
                table[part] = inner if part in _single(model) else [inner]
                table = inner
            table[key] = value
            try:
                _record(model, data)
            except ValidationError as error:
                seen |= {one["type"] for one in error.errors(include_url=False)}
    assert seen - {"missing"}
    assert seen <= EXPLAINED | TOLD_WITH_THEIR_TABLE


def _single(model: type[Record]) -> set[str]:
    return {
        key
        for key, hint in hints_of(model).items()
        if isinstance(hint, type) and issubclass(hint, Record)
    }


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.dates()
    | st.datetimes(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["id", "title", "person", "start", "x"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(MODELS), st.data())
def test_any_value_in_any_setting_is_told(model: type[Record], data: st.DataObject) -> None:
    """Values of any shape at any place, drawn at random: still no word of a library."""
    keys = data.draw(st.lists(st.sampled_from(model.field_names()), min_size=1, unique=True))
    try:
        _record(model, {key: data.draw(json_values) for key in keys})
    except ValidationError as error:
        kinds = {one["type"] for one in error.errors(include_url=False)}
        # JSON's null does not exist in TOML, and all its errors are those of other values.
        assert kinds <= EXPLAINED | TOLD_WITH_THEIR_TABLE


def test_an_error_of_a_kind_nobody_knows_still_has_key_and_value() -> None:
    """A later pydantic may have new kinds; the user still sees what it is about."""
    wrong = Wrong("estimate", 7, {"brand_new_error": {}})
    (what, remedy), _ = explain_value(wrong)
    assert (str(what), str(remedy)) == (
        "estimate = 7 cannot be used (brand_new_error)",
        "correct it, or take it away",
    )


SAID = {
    'due = "2027-02-30"': ('due = "2027-02-30" is no date; write a day that exists, as 2027-02-28'),
    "due = 2027-02-30": 'due = "2027-02-30" is no date; write a day that exists, as 2027-02-28',
    'due = "2028-02-30"': 'due = "2028-02-30" is no date; write a day that exists, as 2028-02-29',
    'due = "2027-04-00"': 'due = "2027-04-00" is no date; write a day that exists, as 2027-04-30',
    'due = "2027-13-01"': 'due = "2027-13-01" is no date; write year-month-day, as 2027-03-22',
    "due = 20270322": "due = 20270322 is no date; write year-month-day, as 2027-03-22",
    "due = 0": "due = 0 is no date; write year-month-day, as 2027-03-22",
    "due = 2027-03-22T10:00:00": (
        "due = 2027-03-22T10:00:00 is no date; write the date without a time, as 2027-03-22"
    ),
    "due = 0207-03-22": (
        "due = 0207-03-22 lies too far away; write a year from 1900 to 2199, with four digits"
    ),
    'estimate = "30"': (
        'estimate = "30" is no whole number; write digits only, without quotes and decimals'
    ),
    "estimate = 1.5": (
        "estimate = 1.5 is no whole number; write digits only, without quotes and decimals"
    ),
    "estimate = -1": "estimate = -1 is too small; write 0 or more",
    "estimate = 2000": "estimate = 2000 is too large; write 1440 or less",
    "priority = true": (
        "priority = true is no whole number; write digits only, without quotes and decimals"
    ),
    "notes = 5": "notes = 5 is no text; put it in quotes",
    'notes = ["a"]': 'notes = ["a"] is no text; write one text in quotes, without brackets',
    'person = "Ines M"': (
        'person = "Ines M" is no id; '
        "write small letters, digits and hyphens, at most 64, as garden-gate"
    ),
    'only_for = "ines"': (
        'only_for = "ines" is no list; put it in square brackets, as ["garden-gate"]'
    ),
    'part = "noon"': (
        'part = "noon" is not known here; '
        "did you mean afternoon? write one of morning, afternoon, evening"
    ),
    'part = "zzz"': 'part = "zzz" is not known here; write one of morning, afternoon, evening',
    'repeats = "weekly"': (
        'repeats = "weekly" is no RRULE of RFC 5545 '
        "(FREQ must be DAILY, WEEKLY, MONTHLY or YEARLY); write one as FREQ=MONTHLY;BYMONTHDAY=24"
    ),
    'repeats = "FREQ=DAILY"': (
        "a task that repeats has no due; add due, the day it first falls on"
    ),
    "prio = 1": "prio = … is no setting",
}


@pytest.mark.parametrize(("line", "said"), SAID.items(), ids=SAID.keys())
def test_what_is_said_of_a_wrong_value(line: str, said: str) -> None:
    """Place, value and remedy of the usual slips, word for word."""
    text = f'format = 1\n[[tasks]]\ntitle = "x"\n{line}\n'
    record, problems = parse_toml("tasks.toml", text.encode(), TasksFile)
    assert record is not None
    assert record.tasks == ()
    if line == "prio = 1":
        said = "prio is no setting of [[tasks]]; did you mean priority?"
    assert [str(problem) for problem in problems] == [f"tasks.toml:4: {said}"]


OTHERS: tuple[tuple[type[Record], str, int, str], ...] = (
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = "soon"', 4, 'start = "soon" is no '
     "date, nor a date with a time; write 2027-03-22, or 2027-03-22T14:30:00 for a time"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22T10:00:00Z', 4,
     "start = 2027-03-22T10:00:00+00:00 has an offset; "
     "write the time of the household's zone alone, as 2027-03-22T14:30:00"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22T10:00:00\n'
     "end = 2027-03-22T09:00:00", 5, "end = 2027-03-22T09:00:00 is not after start; "
     "write the first moment or day that no longer belongs to it"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22T10:00:00\n'
     "end = 2027-03-22T11:00:00Z", 5, "end = 2027-03-22T11:00:00+00:00 has an offset; "
     "write the time of the household's zone alone, as 2027-03-22T14:30:00"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22T10:00:00\n'
     "end = 2027-03-23", 5, "of start and end one is a date, the other has a time; "
     "give both with a time, or both without"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22\nminutes = 5', 5,
     "an all-day appointment has no minutes; give end as a date, or start with a time"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22T10:00:00\nperson = 5', 5,
     "person = 5 is neither an id nor a list of ids; "
     'write one in quotes, as "garden-gate", or several in square brackets'),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 2027-03-22\nperson = [\n'
     '"a",\n"B c"]', 7, 'person = "B c" is no id; '
     "write small letters, digits and hyphens, at most 64, as garden-gate"),
    (AppointmentsFile, '[[appointments]]\ntitle = "x"\nstart = 0001-01-01', 4,
     "start = 0001-01-01 lies too far away; write a year from 1900 to 2199, with four digits"),
    (Config, '[household]\nname = "x"\ntime_zone = "Europe/London"\n[[people]]\nid = "a"\n'
     'name = "A"\n[planning]\nhours = "14:00-02:00"', 9,
     'hours = "14:00-02:00" runs over midnight, and a day is planned for itself; '
     "write hours that end by 24:00, as 14:00-24:00"),
    (RoutinesFile, '[[routines]]\ntitle = "x"\nperson = "a"\nhours = "7-8"', 5,
     'hours = "7-8" are no hours; write from-to on the 24-hour clock, as 08:00-12:30'),
    (HabitsFile, '[[habits]]\ntitle = "x"\nperson = "a"\ntarget = inf', 5,
     "target = inf is no number; write digits, with a point before decimals, without quotes"),
    (HabitsFile, '[[habits]]\ntitle = "x"\nperson = "a"\nshare = "yes"', 5,
     'share = "yes" is neither true nor false; write true or false, without quotes'),
    (HabitsFile, '[[habits]]\ntitle = "x"\nperson = "a"\nshare = true\nhealth = true', 5,
     "a health habit is never shared; take share away"),
    (HabitsFile, '[[habits]]\ntitle = ""\nperson = "a"', 3,
     "title is empty; write something between the quotes"),
    (HabitsFile, f'[[habits]]\ntitle = "{"x" * 301}"\nperson = "a"', 3,
     f'title = "{"x" * 58}… is too long; write at most 300 signs'),
    (MoneyFile, 'currency = "pounds"', 2,
     'currency = "pounds" is no currency; write the three capital letters of ISO 4217, as GBP'),
    (MoneyFile, '[[goals]]\ntitle = "x"\namount = 0\npay_day = "p"\nstart = 2027-01-01\n'
     "end = 2027-01-01", 4, "amount = 0 is too small; write more than 0"),
    (TermsFile, '[[lessons]]\nchild = "a"\nsubject = "x"\ndays = []', 5,
     "days is empty; name at least one"),
    (TermsFile, "[[lessons]]\nsubject = 'x'\ndays = ['monday']", 2,
     "child is missing in [[lessons]]; add a line that begins with child ="),
    (TermsFile, "[lessons]\nx = 1", 2,
     "there can be several of lessons; write its name in two pairs of brackets: [[lessons]]"),
    (WeekFile, '[[rows]]\ntitle = "Meals"\n[rows.cells]\nmo = "Soup"', 5,
     "mo is not known here; write one of "
     "monday, tuesday, wednesday, thursday, friday, saturday, sunday"),
    (WeekFile, '[[breaks]]\ndate = 2027-03-22\nstart = "ten"', 4,
     'start = "ten" is no time of day; write it on the 24-hour clock, as 14:30:00'),
    (WeekFile, '[[breaks]]\ndate = 2027-03-22\nstart = "10:00:00+01:00"', 4,
     'start = "10:00:00+01:00" has an offset; '
     "write the time of the household's zone alone, as 14:30:00"),
    (WeekFile, "[[rows]]\ntitle = 'x'\ncells = 5", 4,
     "cells = 5 is no table; write a line [cells] and its settings below"),
    (TasksFile, "tasks = [5]", 2,
     "tasks = 5 is no table; write a line [tasks] and its settings below"),
    (TasksFile, 'taks = 1\n[[tasks]]\ntitle = "x"', 2,
     "taks is no setting of f.toml; did you mean tasks?"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("model", "text", "line", "said"), OTHERS, ids=[f"{o[0].__name__}-{o[3][:30]}" for o in OTHERS]
)
def test_what_is_said_in_other_files(model: type[Record], text: str, line: int, said: str) -> None:
    """Each kind of mistake of the other files, with the line of the value."""
    _, problems = parse_toml("f.toml", f"format = 1\n{text}\n".encode(), model)
    assert [str(problem) for problem in problems] == [f"f.toml:{line}: {said}"]


def test_known_keys_are_those_of_the_table() -> None:
    """The suggestion for a key comes from the table it stands in."""
    assert "priority" in known_keys(TasksFile, ("tasks", 0))
    assert set(known_keys(MoneyFile, ("bills", 0, "paid", 1))) == {"due", "on", "amount"}
    assert known_keys(MoneyFile, ("bills", 0, "title")) == ()
