"""`weeksync carry` at a real keyboard: what is asked, what is written, and what an end spares."""

from __future__ import annotations

import json
import signal
import tomllib
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import write_household
from tests.support.keyboard import Keyboard
from weeksync.cli import main

INSTANT = "2027-03-24T06:40:00Z"
TASKS = """\
format = 1 # ours

[[tasks]]
id = "sheet" # the long one
title = "Sales sheet"
person = "ann"
estimate = 90
carried = 4

[[tasks]]
id = "photos"
title = "Choose photographs"
carried = 3

# --- Later ---
[[tasks]]
id = "kite"
title = "Build the kite"
due = 2027-03-15
"""


def household(folder: Path) -> Path:
    """Three tasks left over, two of which are to be decided about."""
    return write_household(folder, tasks_toml=TASKS)


def at(folder: Path, *words: str, **environment: str) -> Keyboard:
    """Somebody who types `weeksync carry`."""
    return Keyboard("carry", *words, folder=folder, now=INSTANT, **environment)


def tasks(folder: Path) -> dict[str, dict[str, Any]]:
    """The entries of the file, by title."""
    data = tomllib.loads((folder / "tasks.toml").read_text())
    return {one["title"]: one for one in data["tasks"]}


def test_a_sitting_from_the_first_task_to_the_last(tmp_path: Path) -> None:
    """Each task is shown with what helps to decide; at the end stands what was decided."""
    folder = household(tmp_path)
    with at(folder) as keys:
        shown = keys.types("x")
        assert "2 tasks are to be decided about, of 3 left over." in shown
        assert "1/3  Sales sheet" in shown
        assert "Ann · carried 4 weeks · 90 minutes" in shown
        assert "room: Wed 24 Mar 08:" in shown
        assert "[d]o it  [s]plit it  [g]ive it a date  d[r]op it  [l]eave it  s[t]op" in shown
        assert "answer with one of d, s, g, r, l, t" in keys.types("D")
        assert "1  Wed 24 Mar   Ann: 720 free, 432 to plan, 0 planned" in keys.types("Fri")
        assert "[m]orning  [a]fternoon  [e]vening  [n]one in particular" in keys.types("evening")
        assert "“Sales sheet”: Fri 26 Mar" in keys.types("g")
        assert "Which day?" in keys.types("never")
        assert '"never" names no day' in keys.types("g")
        keys.types("12 Apr")
        assert "has a date, Mon, 12 Apr 2027" in keys.types("r")
        assert keys.end() == 0
        assert "3 decisions, written down:" in keys.seen
    assert tasks(folder)["Choose photographs"]["day"].isoformat() == "2027-04-12"
    assert tasks(folder)["Build the kite"]["dropped"].isoformat() == "2027-03-24"
    week = tomllib.loads((folder / "weeks" / "2027-W12.toml").read_text())
    [placed] = week["placed"]
    assert (placed["task"], placed["date"].isoformat()) == ("sheet", "2027-03-26")
    text = (folder / "tasks.toml").read_text()
    assert [line for line in TASKS.splitlines() if "#" in line] == [
        line for line in text.splitlines() if "#" in line
    ]


def test_splitting_asks_for_titles_and_minutes(tmp_path: Path) -> None:
    """One part alone is no splitting; minutes may be left open."""
    folder = household(tmp_path)
    with at(folder) as keys:
        for answer in ("s", "Only one", "20", ""):
            keys.types(answer)
        assert "Nothing was split." in keys.types("s")
        for answer in ("Enter the roll", "many", "45", "Compare", "", ""):
            keys.types(answer)
        keys.until("split into “Enter the roll” and “Compare”")
        keys.types("t")
        assert keys.end() == 0
        assert "write a number of minutes, at most 1440" in keys.seen
        assert "1 task still waits for a decision." in keys.seen
    found = tasks(folder)
    assert found["Enter the roll"]["estimate"] == 45
    assert "estimate" not in found["Compare"]
    assert found["Sales sheet"]["notes"] == "Split into “Enter the roll” and “Compare”."
    assert "Only one" not in found


def test_enter_takes_the_times_that_are_proposed(tmp_path: Path) -> None:
    """Where the week has room for it."""
    folder = household(tmp_path)
    with at(folder, "next") as keys:
        keys.types("d")
        assert "Enter: where there is room" in keys.types("")
        keys.types("t")
        assert keys.end() == 0
    [week] = (folder / "weeks").iterdir()
    [placed] = tomllib.loads(week.read_text())["placed"]
    assert placed["minutes"] == 90


def _interrupt(keys: Keyboard) -> int:
    keys.interrupts()
    return 130


def _end_input(keys: Keyboard) -> int:
    keys.ends_input()
    return 0


def _kill(keys: Keyboard) -> int:
    keys.kills()
    return -signal.SIGKILL


def _close(keys: Keyboard) -> int:
    keys.closes()
    return -signal.SIGHUP


@pytest.mark.parametrize("end", [_interrupt, _end_input, _kill, _close])
def test_what_was_decided_before_the_end_is_there(
    tmp_path: Path, end: Callable[[Keyboard], int]
) -> None:
    """Ctrl-C, Ctrl-D, kill -9, a window that is closed: the next sitting goes on from there."""
    folder = household(tmp_path)
    with at(folder) as keys:
        keys.types("r")
        assert "“Sales sheet”: dropped" in keys.until("[d]o it")
        status = end(keys)
        assert keys.end() == status
        if status >= 0:
            assert "1 decision, written down:" in keys.seen
            assert "1 task still waits for a decision." in keys.seen
    assert tasks(folder)["Sales sheet"]["dropped"].isoformat() == "2027-03-24"
    assert not (folder / "weeks").exists()
    assert sorted(one.name for one in folder.iterdir()) == ["config.toml", "tasks.toml"]
    with at(folder) as keys:
        assert "1/2  Choose photographs" in keys.types("t")
        assert keys.end() == 0
        assert "Nothing was decided; every file is as it was." in keys.seen


def test_a_kill_while_it_is_written_leaves_a_whole_file(tmp_path: Path) -> None:
    """At whatever moment: the file reads, and holds the decision or does not."""
    folder = household(tmp_path)
    for number in range(4):
        (folder / "tasks.toml").write_text(TASKS)
        with at(folder) as keys:
            keys.types("r")
            keys.kills(after="r" if number % 2 else "dropped")
            keys.end()
        entry = tasks(folder)["Sales sheet"]
        entry.pop("dropped", None)
        assert entry == tomllib.loads(TASKS)["tasks"][0]


def test_a_file_changed_in_an_editor_meanwhile_is_left_alone(tmp_path: Path) -> None:
    """It is said, and the sitting goes on with the next task."""
    folder = household(tmp_path)
    with at(folder) as keys:
        keys.until("s[t]op")
        changed = TASKS.replace("estimate = 90", "estimate = 95")
        (folder / "tasks.toml").write_text(changed)
        keys.types("r")
        assert "2/3  Choose photographs" in keys.types("t")
        assert keys.end() == 0
        assert "“Sales sheet” has been changed in its file meanwhile" in keys.seen
    assert (folder / "tasks.toml").read_text() == changed


def test_without_a_terminal_it_only_lists(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Asking nobody is wrong use; the message names what works there."""
    words = ["--household", str(household(tmp_path)), "--now", INSTANT]
    assert main(["carry", *words]) == 2
    assert "carry --list or --json" in capsys.readouterr().err
    assert main(["carry", "--list", *words]) == 0
    out = capsys.readouterr().out
    assert "! Sales sheet\n" in out
    assert "- Build the kite\n" in out
    assert main(["carry", "--json", *words]) == 0
    record = json.loads(capsys.readouterr().out)
    assert [(one["id"], one["decision_due"]) for one in record["tasks"]] == [
        ("sheet", True),
        ("photos", True),
        ("kite", False),
    ]
    assert record["week"] == "2027-W12"
    [piece] = record["tasks"][0]["proposed"]
    start, end = (datetime.fromisoformat(piece[key]) for key in ("start", "end"))
    assert end - start == timedelta(minutes=90)
    assert (tmp_path / "tasks.toml").read_text() == TASKS


def test_nobody_of_that_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Wrong use, with the names there are."""
    words = ["--household", str(household(tmp_path)), "--now", INSTANT]
    assert main(["carry", "--list", "--person", "zed", *words]) == 2
    assert "ann, bo" in capsys.readouterr().err


def after_flu(folder: Path) -> Path:
    """What piled up while Ann was ill."""
    write_household(folder, tasks_toml=TASKS.replace("due", 'person = "ann"\ndue'))
    (folder / "weeks").mkdir()
    lighter = '[[lighter]]\nperson = "ann"\nstart = 2027-03-14\nend = 2027-03-20\n'
    (folder / "weeks" / "2027-W11.toml").write_text(f"format = 1\n{lighter}")
    return folder


def test_what_piled_up_is_shown_and_written_only_after_yes(tmp_path: Path) -> None:
    """No leaves every file as it was; --yes asks nothing."""
    folder = after_flu(tmp_path)
    before = (folder / "tasks.toml").read_text()
    with at(folder, "--park", "5 Apr") as keys:
        assert "Mon 5 Apr    Build the kite" in keys.types("n")
        assert keys.end() == 0
    assert (folder / "tasks.toml").read_text() == before
    with at(folder, "--park", "5 Apr") as keys:
        keys.types("y")
        assert keys.end() == 0
        assert "1 task set aside." in keys.seen
    assert tasks(folder)["Build the kite"]["not_before"].isoformat() == "2027-04-05"


def test_spreading_without_a_terminal_needs_yes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """For a script; a second time there is nothing left to spread."""
    words = ["--household", str(after_flu(tmp_path)), "--now", INSTANT]
    assert main(["carry", "--spread", *words]) == 2
    assert "--yes" in capsys.readouterr().err
    assert not (tmp_path / "weeks" / "2027-W12.toml").exists()
    assert main(["carry", "--spread", "--yes", *words]) == 0
    assert "1 task put on a day." in capsys.readouterr().out
    assert main(["carry", "--spread", *words]) == 0
    assert "Nothing piled up" in capsys.readouterr().out
