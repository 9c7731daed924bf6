"""Permanent ids: written in where they are missing, with not a byte changed elsewhere."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from itertools import count

import pytest
from hypothesis import assume, given, settings

from tests.support.toml_texts import is_valid, toml_texts
from weeksync.model.files import HabitsFile, TasksFile, TermsFile
from weeksync.read import filled, ids_in, parse_toml, slug, with_ids

NEW = re.compile(r'^[ \t]*id = "[a-z0-9-]+"\r?\n', re.MULTILINE)


def suffixes() -> Callable[[], str]:
    """aaa0, aaa1, aaa2 …"""
    numbers = count()
    return lambda: f"aaa{next(numbers)}"


def given_ids(text: str, taken: set[str] | None = None) -> str:
    """The text with ids."""
    return with_ids(text.encode(), taken if taken is not None else set(), suffixes()).decode()


def test_ids_stand_below_the_header_and_nothing_else_changes() -> None:
    """Comments, order, odd spaces and the entry that has an id stay as they are."""
    before = """# Tasks of the house
format=1   # the form

  [[ tasks ]]   # first
  title   =  "Mend the garden gate"   # soon

[[tasks]]
due = 2027-03-27
title = 'Water the beans'
[[tasks]]
id = "kept"
title = "Kept"
"""
    after = """# Tasks of the house
format=1   # the form

  [[ tasks ]]   # first
  id = "mend-the-garden-gate-aaa0"
  title   =  "Mend the garden gate"   # soon

[[tasks]]
id = "water-the-beans-aaa1"
due = 2027-03-27
title = 'Water the beans'
[[tasks]]
id = "kept"
title = "Kept"
"""
    assert given_ids(before) == after
    assert given_ids(after) == after


def test_every_kind_of_entry_gets_one() -> None:
    """Appointments, routines, tasks, habits, bills, pay days, goals; a lesson by its subject."""
    arrays = ["appointments", "routines", "tasks", "habits", "bills", "pay_days", "goals"]
    text = "".join(f'[[{array}]]\ntitle = "X"\n' for array in arrays)
    data = tomllib.loads(given_ids(text + '[[lessons]]\nsubject = "Long division"\n'))
    assert [data[array][0]["id"] for array in arrays] == [f"x-aaa{n}" for n in range(7)]
    assert data["lessons"][0]["id"] == "long-division-aaa7"


def test_entries_that_are_in_no_need_of_one_get_none() -> None:
    """Terms and breaks have none, people write their own, and without a title it would be odd."""
    text = '[[breaks]]\nname = "x"\n[[people]]\nname = "x"\n[[tasks]]\n[[rows]]\ntitle = "x"\n'
    assert given_ids(text) == text


def test_windows_line_ends_stay() -> None:
    """The new line ends as its neighbours do, and a byte order mark stays in front."""
    before = b'\xef\xbb\xbfformat = 1\r\n\r\n[[tasks]]\r\ntitle = "A"\r\n'
    after = b'\xef\xbb\xbfformat = 1\r\n\r\n[[tasks]]\r\nid = "a-aaa0"\r\ntitle = "A"\r\n'
    assert with_ids(before, set(), suffixes()) == after


def test_inline_entries_and_empty_ids() -> None:
    """Entries in braces, and an id that is there and empty."""
    before = 'tasks = [{ title = "A" }, {title="B", id = ""}]\n'
    after = 'tasks = [{ id = "a-aaa0", title = "A" }, {title="B", id = "b-aaa1"}]\n'
    assert given_ids(before) == after


def test_entries_below_and_between_others() -> None:
    """An entry whose first line is a table of its own, and arrays that take turns."""
    before = """[[bills]]
title = "A"
[[goals]]
title = "G"
[[bills]]
title = "B"
[[bills.paid]]
on = 2027-03-01"""
    assert given_ids(before) == before.replace('title = "A"', 'id = "a-aaa0"\ntitle = "A"').replace(
        'title = "B"', 'id = "b-aaa1"\ntitle = "B"'
    ).replace('title = "G"', 'id = "g-aaa2"\ntitle = "G"')


def test_an_id_is_like_no_other_in_the_household() -> None:
    """Two of the same title, and one that another file has already."""
    taken = {"a-aaa0", "a-aaa2"}
    data = tomllib.loads(given_ids('[[tasks]]\ntitle="A"\n[[tasks]]\ntitle="A"\n', taken))
    assert [task["id"] for task in data["tasks"]] == ["a-aaa1", "a-aaa3"]
    assert taken == {"a-aaa0", "a-aaa1", "a-aaa2", "a-aaa3"}


def test_a_suffix_that_never_changes_still_ends() -> None:
    """Bad luck with chance numbers is no endless loop."""
    content = b'[[tasks]]\ntitle="A"\n[[tasks]]\ntitle="A"\n'
    new = with_ids(content, set(), lambda: "aaaa")
    assert sorted(ids_in(new)) == ["a-100", "a-aaaa"]


@pytest.mark.parametrize(
    "content", [b"[[tasks]\n", b'[[tasks]]\ntitle = "caf\xe9"\n', b"tasks = 5\n", b"", b"\0"]
)
def test_what_is_no_toml_comes_back_as_it_is(content: bytes) -> None:
    """A file with a slip is told of, not written to."""
    assert with_ids(content, set(), suffixes()) == content
    assert ids_in(content) == set()


@settings(max_examples=150, deadline=None)
@given(toml_texts())
def test_only_id_lines_are_added_to_any_text(text: str) -> None:
    """Whatever the file looks like: without the new lines it is the old one, byte for byte."""
    text = re.sub(r"(\[\[(tasks|bills)\]\])([^\r\n]*)(\r?\n|$)", r'\1\3\4title = "T"\4', text)
    assume(is_valid(text))
    new = with_ids(text.encode(), set(), suffixes()).decode()
    assert NEW.sub("", new).rstrip("\r\n") == text.rstrip("\r\n")
    data = tomllib.loads(new)
    for array in ("tasks", "bills"):
        for entry in data.get(array, []):
            assert isinstance(entry, dict)
            assert not entry.get("title") or entry.get("id")


@pytest.mark.parametrize(
    ("title", "expected"),
    [
        ("Mend the garden gate", "mend-the-garden-gate"),
        ("  Çay & kahve — 3 × ", "cay-kahve-3"),
        ("Straße, Ærø, Łódź", "strasse-aero-lodz"),
        ("Juno's recorder", "junos-recorder"),
        ("買い物", "task"),
        ("!!!", "task"),
        ("x" * 100, "x" * 40),
        ("a" * 39 + " b", "a" * 39),
    ],
)
def test_slugs_are_plain_letters(title: str, expected: str) -> None:
    """What people can type in a command, whatever script the title is in."""
    assert slug(title, "task") == expected


def test_ids_made_for_a_run_are_the_same_in_the_next() -> None:
    """In a folder that cannot be written to, pages still build the same, and ids are unlike."""
    text = b'format=1\n[[tasks]]\ntitle="A"\n[[tasks]]\ntitle="A"\n[[tasks]]\nid="x"\ntitle="A"\n'
    record, _ = parse_toml("tasks.toml", text, TasksFile)
    assert record is not None
    (first, count_first), (second, _) = filled(record, set()), filled(record, set())
    assert count_first == 2
    assert first == second
    made = [task.id for task in first.tasks]
    assert made[2] == "x"
    assert len(set(made)) == 3
    assert all(re.fullmatch(r"a-[a-z2-9]{4}", one) for one in made[:2])


def test_ids_made_for_a_run_do_not_meet_others() -> None:
    """What is taken elsewhere is left alone."""
    habits, _ = parse_toml("h", b'format=1\n[[habits]]\ntitle="A"\nperson="p"\n', HabitsFile)
    terms, _ = parse_toml(
        "t", b'format=1\n[[lessons]]\nsubject="A"\nchild="p"\ndays=["monday"]\n', TermsFile
    )
    assert habits is not None
    assert terms is not None
    taken: set[str] = set()
    one = filled(habits, taken)[0].habits[0].id
    other = filled(terms, taken)[0].lessons[0].id
    assert taken == {one, other}
    assert filled(habits, {one})[0].habits[0].id != one
