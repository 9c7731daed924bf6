"""What a form has written is taken back, byte for byte, and never over somebody else's work."""

from __future__ import annotations

import json
import stat
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.workflow.context import Context
from weeksync.workflow.undo import (
    MOST_STEPS,
    NAME,
    inside,
    said,
    steps,
    take_back,
    undo_line,
    undoable,
)

TASKS = '# ours\nformat = 1\n\n[[tasks]]\nid = "gate"\ntitle = "Gate"\n'


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household with one task."""
    return write_household(tmp_path, tasks_toml=TASKS)


def at(home: Path, minutes: int = 0) -> Context:
    """The household as it is now, so many minutes after the morning of the tests."""
    return Context.read(home, NOW + timedelta(minutes=minutes))


def written(home: Path, name: str, text: str, *, only_for: tuple[str, ...] = ()) -> None:
    """A step that writes one file."""
    with undoable(at(home), message("Saved: {name}", name=name), only_for):
        (home / name).parent.mkdir(exist_ok=True)
        (home / name).write_text(text, "utf-8")


def last(home: Path) -> str:
    """The token of the last step."""
    return steps(at(home))[0].token


def test_a_step_is_taken_back_byte_for_byte(home: Path) -> None:
    """Files that were changed are as they were, one that was made is gone."""
    with undoable(at(home), message("Both")):
        (home / "tasks.toml").write_bytes(TASKS.replace("Gate", "Gate, by the shed – old").encode())
        (home / "weeks").mkdir()
        (home / "weeks" / "2027-W12.toml").write_text("format = 1\n")
    assert str(take_back(at(home), last(home))) == "Taken back: Both"
    assert (home / "tasks.toml").read_bytes() == TASKS.encode()
    assert not (home / "weeks" / "2027-W12.toml").exists()
    assert steps(at(home)) == ()


def test_a_file_that_has_changed_since_is_left_and_so_are_the_others_of_the_step(
    home: Path,
) -> None:
    """All of a step or nothing: the second file had been edited by hand."""
    with undoable(at(home), message("Both")):
        (home / "habits.toml").write_text("format = 1\n")
        (home / "tasks.toml").write_text(TASKS + "# new\n")
    (home / "tasks.toml").write_text(TASKS + "# by hand\n")
    with pytest.raises(UsageError, match=r"tasks\.toml has changed since"):
        take_back(at(home), last(home))
    assert (home / "habits.toml").exists()
    assert (home / "tasks.toml").read_text().endswith("# by hand\n")
    assert len(steps(at(home))) == 1


def test_a_step_that_was_taken_back_by_half_is_taken_back_again(home: Path) -> None:
    """A full disk stopped it after the first file: the second attempt does the rest."""
    with undoable(at(home), message("Both")):
        (home / "habits.toml").write_text("format = 1\n")
        (home / "tasks.toml").write_text(TASKS + "# new\n")
    (home / "habits.toml").unlink()
    take_back(at(home), last(home))
    assert not (home / "habits.toml").exists()
    assert (home / "tasks.toml").read_text() == TASKS


def test_what_was_written_is_no_error_where_its_step_cannot_be_kept(home: Path) -> None:
    """Who is told of an error sends the form again, and the entry would stand there twice."""
    (home / "state" / NAME).mkdir(parents=True)
    written(home, "tasks.toml", TASKS + "# new\n")
    assert (home / "tasks.toml").read_text().endswith("# new\n")
    assert steps(at(home)) == ()


def test_steps_are_taken_back_one_after_the_other(home: Path) -> None:
    """The older one of the same file has to wait for the newer one."""
    written(home, "tasks.toml", TASKS + "# one\n")
    written(home, "tasks.toml", TASKS + "# two\n")
    newest, oldest = steps(at(home))
    with pytest.raises(UsageError):
        take_back(at(home), oldest.token)
    take_back(at(home), newest.token)
    take_back(at(home), oldest.token)
    assert (home / "tasks.toml").read_text() == TASKS


def test_what_changes_nothing_leaves_no_step(home: Path) -> None:
    """Also where the same bytes are written again."""
    written(home, "tasks.toml", TASKS)
    assert steps(at(home)) == ()
    assert not (home / "state" / NAME).exists()


def test_a_block_that_fails_halfway_can_be_taken_back(home: Path) -> None:
    """What it had written by then."""

    def fails() -> None:
        with undoable(at(home), message("Half")):
            (home / "tasks.toml").write_text(TASKS + "# half\n")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fails()
    take_back(at(home), last(home))
    assert (home / "tasks.toml").read_text() == TASKS


def test_only_the_last_steps_are_kept_and_only_for_the_household(home: Path) -> None:
    """The file holds what is only for some: nobody else on the machine reads it."""
    for number in range(MOST_STEPS + 2):
        written(home, "tasks.toml", f"{TASKS}# {number}\n")
    assert len(steps(at(home))) == MOST_STEPS
    mode = (home / "state" / NAME).stat().st_mode
    assert stat.S_IMODE(mode) == 0o600


def test_what_is_only_for_some_is_told_and_taken_back_by_nobody_else(home: Path) -> None:
    """Neither the sentence nor the button, and the token alone is not enough."""
    written(home, "tasks.toml", TASKS + "# secret\n", only_for=("ann",))
    assert steps(at(home)) == ()
    assert undo_line(at(home), None, "/edit/") is None
    assert undo_line(at(home), "bo", "/edit/") is None
    token = steps(at(home), "ann")[0].token
    with pytest.raises(UsageError):
        take_back(at(home), token, "bo")
    line = undo_line(at(home), "ann", "/edit/tasks")
    assert line is not None
    assert (line.token, line.next) == (token, "/edit/tasks")
    take_back(at(home), token, "ann")
    assert said(at(home), "bo") == ""
    assert said(at(home), "ann") == "Taken back: Saved: tasks.toml"


def test_a_page_offers_the_last_step_for_half_a_day_and_while_it_can_be_taken_back(
    home: Path,
) -> None:
    """A button that could only fail is no help."""
    written(home, "tasks.toml", TASKS + "# x\n")
    assert undo_line(at(home), None, "/edit/") is not None
    assert undo_line(at(home, 13 * 60), None, "/edit/") is None
    (home / "tasks.toml").write_text(TASKS + "# y\n")
    assert undo_line(at(home), None, "/edit/") is None


def test_that_something_was_taken_back_is_said_for_a_minute(home: Path) -> None:
    """And the step before it is offered beside it."""
    written(home, "habits.toml", "format = 1\n")
    written(home, "tasks.toml", TASKS + "# x\n")
    take_back(at(home), last(home))
    assert said(at(home), None) == "Taken back: Saved: tasks.toml"
    line = undo_line(at(home), None, "/edit/")
    assert line is not None
    assert line.text == "Saved: habits.toml"
    assert said(at(home, 2), None) == ""


@pytest.mark.parametrize("content", ["", "{", '{"format": 1}', '{"format": 2, "steps": []}', "[]"])
def test_a_file_of_steps_that_cannot_be_read_is_as_none(home: Path, content: str) -> None:
    """And the next step begins it anew."""
    (home / "state").mkdir()
    (home / "state" / NAME).write_text(content)
    assert steps(at(home)) == ()
    written(home, "tasks.toml", TASKS + "# x\n")
    assert len(json.loads((home / "state" / NAME).read_text())["steps"]) == 1


def test_a_form_leads_back_to_forms_alone() -> None:
    """`next` comes from the browser: it is no way out."""
    assert inside("/plan/2027-W12#priorities") == "/plan/2027-W12#priorities"
    for wrong in ("//elsewhere.example/", "https://elsewhere.example", "/own/lock", "", "/"):
        assert inside(wrong) == "/edit/"


def test_another_language_says_it_in_its_own_words(home: Path) -> None:
    """The sentence is kept as a sentence, not as text: what it says is filled in when read."""
    written(home, "tasks.toml", TASKS + "# x\n")
    (step,) = steps(at(home))
    assert (step.what.text, dict(step.what.values)) == ("Saved: {name}", {"name": "tasks.toml"})
    assert replace(step, only_for=()) == step
