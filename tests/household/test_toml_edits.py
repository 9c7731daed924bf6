"""TOML edited in place: what was meant, and not a byte more."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.support.odd_files import OddFile, odd_files
from tests.support.toml_texts import is_valid, toml_texts
from weeksync.household.toml_edits import (
    CannotEdit,
    Value,
    with_entry,
    with_item,
    with_value,
    without_entry,
    written,
)

TASKS = """\
# Tasks of the house
format=1   # the form

  [[ tasks ]]   # first
  id   =  "gate"   # soon
  due  = 2027-03-27   # before Easter
  notes = '''
[[tasks]]
due = 1
'''

# --- Later ---

[[tasks]]
id = "beans"
"""


def test_a_value_is_replaced_where_it_stands() -> None:
    """Its comment, its odd spaces and everything else stay."""
    new = with_value(TASKS, ("tasks", 0), "due", date(2027, 4, 1))
    assert new == TASKS.replace("2027-03-27", "2027-04-01")


def test_a_new_key_joins_the_entry_at_its_end_as_far_in_as_the_others() -> None:
    """Behind the last key of the entry, before what stands between the entries."""
    new = with_value(TASKS, ("tasks", 0), "dropped", date(2027, 3, 24))
    assert new == TASKS.replace("'''\n\n#", "'''\n  dropped = 2027-03-24\n\n#")
    new = with_value(TASKS, ("tasks", 1), "carried", 3)
    assert new == f"{TASKS}carried = 3\n"
    new = with_value(TASKS.removesuffix("\n"), ("tasks", 1), "carried", 3)
    assert new == f"{TASKS}carried = 3"


def test_a_key_is_taken_away_with_its_line_and_leaves_its_comment() -> None:
    """A line without comment goes whole."""
    new = with_value(TASKS, ("tasks", 0), "due", None)
    assert new == TASKS.replace("due  = 2027-03-27   # before", "# before")
    assert with_value(TASKS, ("tasks", 1), "id", None) == TASKS.removesuffix('id = "beans"\n')
    assert with_value(TASKS, ("tasks", 1), "due", None) == TASKS


def test_an_entry_is_put_behind_another_or_at_the_end() -> None:
    """Separated by a blank line; what stood behind comes after it."""
    new = with_entry(TASKS, "tasks", {"id": "hinge", "due": date(2027, 4, 1)}, 0)
    put = "'''\n\n[[tasks]]\nid = \"hinge\"\ndue = 2027-04-01\n\n# --- Later"
    assert new == TASKS.replace("'''\n\n# --- Later", put)
    new = with_entry(TASKS, "tasks", {"id": "hinge"})
    assert new == f'{TASKS.removesuffix(chr(10))}\n\n[[tasks]]\nid = "hinge"\n'


def test_the_first_entry_of_an_array_goes_to_the_end_of_the_file() -> None:
    """A blank line before it; an empty file needs none."""
    entry: dict[str, Value] = {"task": "gate", "start": time(14, 30)}
    block = '[[placed]]\ntask = "gate"\nstart = 14:30:00\n'
    assert with_entry("format = 1\n", "placed", entry) == f"format = 1\n\n{block}"
    assert with_entry("format = 1 # x", "placed", entry) == f"format = 1 # x\n\n{block}"
    assert with_entry("", "placed", entry) == block


def test_an_entry_goes_with_its_lines_and_leaves_comments() -> None:
    """What a person wrote beside it is theirs."""
    new = without_entry(TASKS, ("tasks", 0))
    assert new == (
        "# Tasks of the house\nformat=1   # the form\n\n"
        '  # first\n  # soon\n  # before Easter\n\n# --- Later ---\n\n[[tasks]]\nid = "beans"\n'
    )
    assert without_entry(TASKS, ("tasks", 1)) == TASKS[: TASKS.index("\n[[tasks]]\nid")]


def test_lists_are_added_to_without_touching_what_they_hold() -> None:
    """On one line or several, with or without a last comma."""
    text = '[[days]]\np = [\n  "a", # first\n  "b",\n]\n[[days]]\np = []\n[[days]]\n'
    assert '"b", "c",\n]' in with_item(text, ("days", 0), "p", "c")
    assert '[["c"]]' not in (new := with_item(text, ("days", 1), "p", "c"))
    assert 'p = ["c"]\n' in new
    assert with_item(text, ("days", 2), "p", "c") == f'{text}p = ["c"]\n'


def test_entries_in_braces_are_edited_in_their_line() -> None:
    """TOML may write an array of tables as a list."""
    text = 'tasks = [ {id="a", due=2027-03-01 }, {}, { due = 1, id="c" } ] # x\n'
    assert '{id="a" }' in with_value(text, ("tasks", 0), "due", None)
    assert '{ id="c" }' in with_value(text, ("tasks", 2), "due", None)
    assert '{id="a", due=2 }' in with_value(text, ("tasks", 0), "due", 2)
    assert "{ due = 2 }, { due" in with_value(text, ("tasks", 1), "due", 2)
    assert '"c", x = true }' in with_value(text, ("tasks", 2), "x", True)
    assert "{ due" not in without_entry(text, ("tasks", 2))
    assert 'id="a", due=2027-03-01 }, { n = 1 }, {}' in with_entry(text, "tasks", {"n": 1}, 0)


@pytest.mark.parametrize(
    ("text", "edit"),
    [
        ("[[tasks]]\ndue = [ # c\n]\n", lambda text: with_value(text, ("tasks", 0), "due", 1)),
        ("[[tasks]]\ndue = [ # c\n]\n", lambda text: with_value(text, ("tasks", 0), "due", None)),
        ("[[tasks]]\n[tasks.x]\ny=1\n", lambda text: without_entry(text, ("tasks", 0))),
        ("[[tasks]]\ndue.x = 1\n", lambda text: with_value(text, ("tasks", 0), "due", 1)),
        ("[[tasks]]\n[tasks.due]\n", lambda text: with_value(text, ("tasks", 0), "due", 1)),
        ("[[tasks]]\n", lambda text: with_value(text, ("tasks", 1), "due", 1)),
        ("tasks = 1\n", lambda text: with_entry(text, "tasks", {"id": "a"})),
        ("tasks = 1\n", lambda text: with_value(text, ("tasks", 0), "id", "a")),
        ("[tasks]\n", lambda text: with_entry(text, "tasks", {"id": "a"})),
        ("[[tasks]]\nlist = 1\n", lambda text: with_item(text, ("tasks", 0), "list", "a")),
        ("tasks = [\n", lambda text: with_entry(text, "tasks", {"id": "a"})),
    ],
    ids=range(11),
)
def test_what_would_lose_or_mean_something_else_is_refused(
    text: str, edit: Callable[[str], str]
) -> None:
    """A comment inside the value, tables below the entry, no such entry, no such array, no TOML."""
    with pytest.raises(CannotEdit):
        edit(text)


@given(st.text() | st.integers() | st.booleans() | st.dates() | st.times() | st.lists(st.text()))
def test_a_written_value_is_read_as_itself(value: Value) -> None:
    """By the standard parser, whatever signs a text holds."""
    try:
        written(value).encode()
    except UnicodeEncodeError:
        assume(False)  # half a surrogate pair is no text
    assert tomllib.loads(f"x = {written(value)}") == {"x": value}
    assert "\n" not in written(value)


def comments(text: str) -> list[str]:
    """The comments of an odd file, in order."""
    return re.findall(r"#c\d+[^\r\n]*", text)


def kept(before: str, after: str) -> None:
    """Every line break is of the kind the file had, and every comment is where it was."""
    assert comments(before) == comments(after)
    if "\r\n" in before:
        assert "\n" not in after.replace("\r\n", "")


VALUES = st.sampled_from(
    [date(2027, 3, 24), 30, True, 'a "q" \\ # x', ("a", "b"), time(9, 5), datetime(2027, 3, 4, 5)]
)


def same(left: object, right: object) -> bool:
    """Equal with their types: 1 is not true."""
    return repr(left) == repr(right)


def edited(file: OddFile, change: Callable[[str], str]) -> str | None:
    """The text after the edit; None where it was refused, which a plain file must never be."""
    try:
        return change(file.text)
    except CannotEdit:
        assert not file.plain
        return None


@given(odd_files(), st.data(), VALUES)
def test_setting_a_key_changes_that_key_alone(
    file: OddFile, data: st.DataObject, value: Value
) -> None:
    """Whatever the file looks like: everything else is equal, and one stretch of text differs."""
    tasks = file.data.get("tasks", [])
    assume(tasks)
    at = data.draw(st.integers(0, len(tasks) - 1))
    new = edited(file, lambda text: with_value(text, ("tasks", at), "due", value))
    if new is None:
        return
    wanted = file.data
    wanted["tasks"][at]["due"] = list(value) if isinstance(value, tuple) else value
    result = tomllib.loads(new)
    assert result == wanted
    assert same(result["tasks"][at]["due"], wanted["tasks"][at]["due"])
    kept(file.text, new)
    assert one_stretch(file.text, new) <= len(written(value)) + 40


def one_stretch(before: str, after: str) -> int:
    """How long the stretch of `after` is in which it differs from `before`."""
    first = 0
    while first < min(len(before), len(after)) and before[first] == after[first]:
        first += 1
    last = 0
    while last < min(len(before), len(after)) - first and before[-1 - last] == after[-1 - last]:
        last += 1
    return len(after) - last - first


@given(odd_files(), st.data())
def test_taking_a_key_away_changes_nothing_else(file: OddFile, data: st.DataObject) -> None:
    """The key is gone, the comments are there."""
    tasks = file.data.get("tasks", [])
    assume(tasks)
    at = data.draw(st.integers(0, len(tasks) - 1))
    new = edited(file, lambda text: with_value(text, ("tasks", at), "due", None))
    if new is None:
        return
    wanted = file.data
    wanted["tasks"][at].pop("due", None)
    assert tomllib.loads(new) == wanted
    kept(file.text, new)
    assert one_stretch(file.text, new) == 0 or "#c" in file.text


@given(odd_files(), st.data())
def test_a_new_entry_stands_where_it_was_wanted(file: OddFile, data: st.DataObject) -> None:
    """Behind any entry or at the end, in whatever way the array is written."""
    tasks = file.data.get("tasks", [])
    after = data.draw(st.integers(0, len(tasks) - 1) | st.none()) if tasks else None
    new = edited(file, lambda text: with_entry(text, "tasks", {"id": "new", "n": 1}, after))
    assert new is not None
    wanted = file.data
    place = len(tasks) if after is None else after + 1
    wanted.setdefault("tasks", []).insert(place, {"id": "new", "n": 1})
    assert tomllib.loads(new) == wanted
    kept(file.text, new)


@given(odd_files(), st.data())
def test_an_entry_taken_away_leaves_all_others(file: OddFile, data: st.DataObject) -> None:
    """And every comment."""
    tasks = file.data.get("tasks", [])
    assume(tasks)
    at = data.draw(st.integers(0, len(tasks) - 1))
    new = edited(file, lambda text: without_entry(text, ("tasks", at)))
    if new is None:
        return
    wanted = file.data
    del wanted["tasks"][at]
    result = tomllib.loads(new)
    result.setdefault("tasks", [])
    assert result == wanted
    kept(file.text, new)


@given(odd_files(), st.data())
def test_an_item_joins_its_list(file: OddFile, data: st.DataObject) -> None:
    """Comments inside the list stay, too."""
    tasks = file.data.get("tasks", [])
    assume(tasks)
    at = data.draw(st.integers(0, len(tasks) - 1))
    new = edited(file, lambda text: with_item(text, ("tasks", at), "list", "new"))
    assert new is not None
    wanted = file.data
    wanted["tasks"][at].setdefault("list", []).append("new")
    assert tomllib.loads(new) == wanted
    kept(file.text, new)


@given(toml_texts(), st.data())
def test_any_text_is_edited_rightly_or_not_at_all(text: str, data: st.DataObject) -> None:
    """Texts with every construct of TOML, not made for this: the standard parser is the judge."""
    assume(is_valid(text))
    before: dict[str, Any] = tomllib.loads(text)
    tasks = before.get("tasks")
    assume(isinstance(tasks, list) and tasks)
    assert isinstance(tasks, list)
    at = data.draw(st.integers(0, len(tasks) - 1))
    new = with_value(text, ("tasks", at), "due", date(2027, 3, 24))
    tasks[at]["due"] = date(2027, 3, 24)
    assert tomllib.loads(new) == before
    assert with_value(new, ("tasks", at), "due", None).split() == text.split()
