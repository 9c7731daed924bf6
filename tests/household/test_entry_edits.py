"""One entry at a time: what it is known by, what would be wrong, and files put back."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.support.households import write_household
from weeksync.errors import EditRefused
from weeksync.household.entry_edits import (
    EntryEdit,
    edited,
    entries_of,
    holder_of,
    key_of,
    place_of,
    write,
)
from weeksync.household.restoring import contents, differences, restore
from weeksync.household.toml_edits import CannotEdit, Value
from weeksync.household.would_be import new_mistakes
from weeksync.model.files import TasksFile, TermsFile

TERMS = """\
format = 1

[[breaks]] # one week
name = "Half-term"
start = 2027-02-15
end = 2027-02-19
"""
TASKS = 'format = 1\n\n[[tasks]]\nid = "gate"\ntitle = "Gate"\nperson = "nobody-here"\n'


def test_an_entry_without_an_id_is_known_by_all_that_it_says() -> None:
    """In whatever order; another word makes another entry of it."""
    (entry,) = entries_of(TERMS, "breaks")
    turned = dict(reversed(entry.items()))
    assert key_of(entry) == key_of(turned)
    assert place_of(TERMS, "breaks", key_of(entry)) == 0
    assert place_of(TERMS.replace("19", "20"), "breaks", key_of(entry)) is None
    assert key_of({"id": "gate", "title": "x"}) == "gate"


def test_lists_of_tables_and_days_are_written_on_one_line() -> None:
    """As pauses are, and days on which nothing happens."""
    values: dict[str, Value] = {
        "id": "x",
        "title": "X",
        "pauses": ({"start": date(2027, 2, 1), "reason": 'a "b"'},),
        "not_on": (),
    }
    edit = EntryEdit("habits", None, values)
    new = edited("format = 1\n", edit)
    assert new.endswith(
        'title = "X"\npauses = [{ start = 2027-02-01, reason = "a \\"b\\"" }]\nnot_on = []\n'
    )


def test_a_comment_in_what_is_replaced_is_never_lost() -> None:
    """It is left to somebody with an editor."""
    text = 'format = 1\n[[tasks]]\nid = "a"\nonly_for = [ # us\n  "ann",\n]\n'
    with pytest.raises(CannotEdit):
        edited(text, EntryEdit("tasks", 0, {"only_for": ("bo",)}))


def test_the_file_that_has_an_entry_is_found(tmp_path: Path) -> None:
    """Done tasks stand in a file for their year."""
    home = write_household(tmp_path, tasks_toml="format = 1\n")
    (home / "tasks-2026.toml").write_text(TASKS)
    assert holder_of(home, "tasks", "gate", TasksFile) == "tasks-2026.toml"
    assert holder_of(home, "tasks", "other", TasksFile) is None
    assert holder_of(home, "tasks", "gate", TermsFile) is None


def test_only_what_would_be_wrong_anew_is_told(tmp_path: Path) -> None:
    """A mistake that stands there already is nobody's of now, also when its line moves."""
    home = write_household(tmp_path, tasks_toml=TASKS)
    assert new_mistakes(home, "tasks.toml", f"# moved\n{TASKS}".encode()) == ()
    again = TASKS + '[[tasks]]\nid = "beans"\ntitle = "Beans"\nperson = "nobody-here"\n'
    (found,) = new_mistakes(home, "tasks.toml", again.encode())
    assert (found.place.file, found.place.line) == ("tasks.toml", 10)
    assert (home / "tasks.toml").read_text() == TASKS


def test_a_mistake_in_a_file_that_would_be_made_is_told(tmp_path: Path) -> None:
    """There need be no file yet."""
    home = write_household(tmp_path)
    (found,) = new_mistakes(home, "tasks.toml", TASKS.encode())
    assert "is nobody of config.toml" in str(found.what)


def test_nothing_is_written_over_somebody_else_s_work(tmp_path: Path) -> None:
    """The text must be the one that was looked at."""
    home = write_household(tmp_path, tasks_toml=TASKS)
    with pytest.raises(EditRefused, match="changed meanwhile"):
        write(home, "tasks.toml", TasksFile, "format = 1\n", TASKS)
    write(home, "tasks.toml", TasksFile, TASKS, TASKS.replace("Gate", "The gate"))
    assert "The gate" in (home / "tasks.toml").read_text()


def test_files_are_put_back_all_or_none(tmp_path: Path) -> None:
    """Changed, made and taken away: each is as it was, or nothing is touched."""
    home = write_household(tmp_path, tasks_toml=TASKS, terms_toml=TERMS)
    before = contents(home)
    (home / "tasks.toml").write_text("format = 1\n")
    (home / "terms.toml").unlink()
    (home / "money.toml").write_text("format = 1\n")
    changes = differences(before, contents(home))
    assert set(changes) == {"tasks.toml", "terms.toml", "money.toml"}
    (home / "money.toml").write_text("format = 1 # by hand\n")
    with pytest.raises(EditRefused):
        restore(home, changes)
    assert not (home / "terms.toml").exists()
    (home / "money.toml").write_text("format = 1\n")
    restore(home, changes)
    assert contents(home) == before
