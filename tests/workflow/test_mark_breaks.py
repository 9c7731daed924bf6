"""Breaks ticked off: they have a permanent id, and a mark that is in the plan."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import NOW, write_household
from weeksync.household import write_missing_ids
from weeksync.model.household import Mark
from weeksync.workflow import Context, record, shown
from weeksync.workflow.mark import Taken, take_marks

TUESDAY = date(2027, 3, 23)
WEEK = """\
format = 1
# ours
[[breaks]]
date = 2027-03-23
start = 10:45:00
what = "Out to the step" # with tea
person = "ann"

[[breaks]]
date = 2027-03-23
start = 15:00:00
"""


def household(folder: Path, week: str = WEEK) -> Context:
    """A household with two breaks on Tuesday, on Wednesday morning; ids are written in."""
    write_household(folder)
    (folder / "weeks").mkdir()
    (folder / "weeks/2027-W12.toml").write_text(week)
    write_missing_ids(folder)
    return Context.read(folder, NOW)


def ids(folder: Path) -> list[str]:
    """The ids of the breaks in the file."""
    data = tomllib.loads((folder / "weeks/2027-W12.toml").read_text())
    return [one["id"] for one in data["breaks"]]


def mark(thing: str, value: str, **other: Any) -> Mark:
    """A mark of Tuesday."""
    at = datetime(2027, 3, 23, 16, 0, tzinfo=UTC)
    return replace(Mark(thing, TUESDAY, "", value, at, NOW, "tablet"), **other)


def test_breaks_get_ids_and_nothing_else_changes(tmp_path: Path) -> None:
    """Each its own, from what it is called; comments and order stay, a second run does nothing."""
    household(tmp_path)
    first, second = ids(tmp_path)
    assert first.startswith("out-to-the-step-")
    assert second.startswith("break-")
    text = (tmp_path / "weeks/2027-W12.toml").read_text()
    assert text.replace(f'id = "{first}"\n', "").replace(f'id = "{second}"\n', "") == WEEK
    assert write_missing_ids(tmp_path) == ()


def test_breaks_between_terms_have_no_id(tmp_path: Path) -> None:
    """They are stretches of days, which nobody ticks."""
    terms = 'format = 1\n[[breaks]]\nname = "Easter"\nstart = 2027-03-26\nend = 2027-04-11\n'
    write_household(tmp_path, terms_toml=terms)
    assert write_missing_ids(tmp_path) == ()
    assert not Context.read(tmp_path, NOW).files.problems


def test_a_break_is_ticked_and_taken_back(tmp_path: Path) -> None:
    """It stands in the week and in its record: taken, left out, not recorded."""
    context = household(tmp_path)
    first, second = ids(tmp_path)
    assert take_marks(context, [mark(first, "yes"), mark(second, "no", person="bo")]) == Taken(2)
    context = Context.read(tmp_path, NOW)
    spread, problems = shown(context, "this")
    assert [(one.id, one.done) for one in spread.days[1].breaks] == [(first, True), (second, False)]
    assert not problems
    found = record(context, spread, problems)["days"][1]["breaks"]
    assert [(one["id"], one["done"]) for one in found] == [(first, True), (second, False)]
    marks = (tmp_path / "marks/2027-W12.csv").read_text()
    assert f"{first},2027-03-23,ann,yes," in marks
    assert f"{second},2027-03-23,bo,no," in marks
    back = mark(first, "", recorded_at=mark(first, "").recorded_at + timedelta(minutes=1))
    assert take_marks(context, [back]) == Taken(1)
    spread, _ = shown(Context.read(tmp_path, NOW), "this")
    assert [one.done for one in spread.days[1].breaks] == [None, False]


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"day": date(2027, 3, 22)}, "“Out to the step” is no break of 2027-03-22"),
        ({"person": "bo"}, "“Out to the step” is not for bo"),
        ({"value": "10"}, 'value = "10" is no mark for “Out to the step”'),
    ],
)
def test_a_tick_that_cannot_be_is_refused(tmp_path: Path, other: dict[str, Any], said: str) -> None:
    """On another day, for another person, or with a figure."""
    context = household(tmp_path)
    taken = take_marks(context, [replace(mark(ids(tmp_path)[0], "yes"), **other)])
    assert [str(one.what) for one in taken.refused] == [said]
    assert not (tmp_path / "marks").exists()
