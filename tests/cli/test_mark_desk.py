"""`weeksync mark` at a real keyboard: a week from paper, and what an end of the sitting spares."""

from __future__ import annotations

import json
import signal
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import write_household
from tests.support.keyboard import Keyboard
from weeksync import demo
from weeksync.cli import main
from weeksync.household import read_household
from weeksync.model.household import latest_marks

MONDAY_AFTER = "2027-03-29T06:40:00Z"
WEDNESDAY = "2027-03-24T18:40:00Z"

PAPER = (
    ("sleep-ines", "7+76+7766+", "7.5 7 6.5 7 7 6 6.5"),
    ("sleep-dov", "77677", "7 7 6 7 7"),
    ("stretch", "x13457", "yes no yes yes yes no yes"),
    ("day-card", "*5", "yes yes yes yes no"),
    ("read-aloud", "30152020", "30 15 20 20"),
    ("sight-singing", "101510", "10 - 15 - 10"),
    ("out-of-doors", "45103030209060", "45 10 30 30 20 90 60"),
    ("long-walk", "134", "yes - yes yes -"),
    ("skipping", "100=95 120", "100 100 95 120"),
    ("clear-table", "*36", "yes yes no yes yes no yes"),
    ("cash-tin", "*", "- - - - - yes"),
    ("latin-cards", "x1235", "yes yes yes - yes"),
    ("lamp-out", "1246", "yes yes no yes no yes no"),
    ("letter-drawer", "7", "- - - - - - yes"),
    ("water", "6577668", "6 5 7 7 6 6 8"),
    ("steps", "28907169549872*100", "2800 9000 7100 6900 5400 9800 7200"),
    ("sweet", "1245", "yes yes no yes yes no no"),
    ("day-as-a-whole", "4434454", "4 4 3 4 4 5 4"),
)
"""(habit, what is typed, what is then recorded from Monday on) in the order of the printed rows.

Empty boxes among ticks are said to be missed at the end, but for habits so many times a week.
"""

LISTS: tuple[tuple[str, list[str], list[str]], ...] = (
    ("1", ["juno-maths"], []),
    ("*5", ["pell-english", "pell-maths", "juno-reading"], ["term-report-pell"]),
    (
        "*",
        ["pell-english", "pell-history", "juno-nature", "juno-reading", "juno-maths"],
        ["order-jars", "term-report-juno", "easter-parcel"],
    ),
    ("*6", ["pell-maths", "pell-science", "juno-maths", "juno-reading"], ["cousin-room"]),
    ("*", [], ["stall-float"]),
    ("", [], []),
)
"""(what is typed, lessons held, tasks done) of the days from Monday to Saturday."""


def day(number: int) -> date:
    """A day of the week by its number, from Monday the first."""
    return date(2027, 3, 21 + number)


def expected() -> dict[tuple[str, date], str]:
    """What the paper says, by thing and day."""
    found = {
        (habit, day(number)): value
        for habit, _, values in PAPER
        for number, value in enumerate(values.split(), 1)
        if value != "-"
    }
    for number, (_, lessons, _) in enumerate(LISTS, 1):
        found |= {(lesson, day(number)): "yes" for lesson in lessons}
    return found


def recorded(folder: Path) -> dict[tuple[str, date], str]:
    """What the files of marks say now, of the week of 22 March."""
    held = latest_marks(read_household(folder).marks)
    return {key: mark.value for key, mark in held.items() if day(1) <= key[1] <= day(7)}


def test_the_demos_week_in_at_most_150_keystrokes(tmp_path: Path) -> None:
    """Eighteen rows and six days from paper; each key counts, Enter too."""
    folder = demo.copy_to(tmp_path / "home")
    (folder / "marks" / "2027-W12.csv").unlink()
    typed = [*(text for _, text, _ in PAPER), *(text for text, _, _ in LISTS), "m"]
    with Keyboard("mark", "last", folder=folder, now=MONDAY_AFTER) as keys:
        for text in typed:
            keys.types(text)
        assert keys.end() == 0
        assert "11 boxes for ticks are empty. What does that say?" in keys.seen
        assert "weeksync build puts what is new on the pages." in keys.seen
    keystrokes = sum(len(text) + len("\n") for text in typed)
    assert keystrokes <= 150
    assert recorded(folder) == expected()
    done = {one.id: one.done for one in read_household(folder).tasks if one.done}
    for number, (_, _, tasks) in enumerate(LISTS, 1):
        assert {done[task] for task in tasks} == ({day(number)} if tasks else set())
    assert not {"stall-stock-count", "sales-sheet", "gate-latch", "bins-wash"} & done.keys()


HABITS = """\
format = 1
[[habits]]
id = "walk"
title = "Walk"
person = "ann"
order = 1
[[habits]]
id = "water"
title = "Water"
person = "bo"
kind = "count"
unit = "glasses"
order = 2
[[habits]]
id = "cards"
title = "Word cards"
person = "ann"
times_a_week = 2
order = 3
"""
TERMS = """\
format = 1
[[terms]]
id = "spring"
name = "Spring"
start = 2027-01-05
end = 2027-03-25
[[lessons]]
id = "maths"
child = "bo"
subject = "Maths"
days = ["tuesday"]
"""
TASKS = """\
format = 1 # ours

[[tasks]]
id = "gate"
title = "Mend the gate"
day = 2027-03-23

[[tasks]]
id = "bins"
title = "Wash the bins"
due = 2027-03-23
repeats = "FREQ=WEEKLY;BYDAY=TU"

[[tasks]]
id = "kite"
title = "Build the kite"
"""


def household(folder: Path) -> Path:
    """Three habits, a lesson and three tasks."""
    return write_household(folder, habits_toml=HABITS, terms_toml=TERMS, tasks_toml=TASKS)


def at(folder: Path, *words: str, **environment: str) -> Keyboard:
    """Somebody who types `weeksync mark` on Wednesday evening."""
    return Keyboard("mark", *words, folder=folder, now=WEDNESDAY, **environment)


def tasks(folder: Path) -> dict[str, dict[str, Any]]:
    """The entries of `tasks.toml`, by id."""
    return {one["id"]: one for one in tomllib.loads((folder / "tasks.toml").read_text())["tasks"]}


def test_a_sitting_with_slips(tmp_path: Path) -> None:
    """What is typed wrongly is said and asked for again; days to come are no boxes."""
    folder = household(tmp_path)
    with at(folder) as keys:
        shown = keys.types("14")
        assert "1/5  Walk · Ann · ticks\n     1 Mon  2 Tue  3 Wed\n" in shown
        assert "4 is no box here; there are 1, 2, 3" in keys.types("?")
        assert "1457      boxes 1, 4, 5 and 7 are ticked" in keys.types("13")
        assert "     x      ·      x\n" in keys.until("Water · Bo · glasses")
        keys.types("seven")
        assert "write a figure for each day, as 30 45 - 20" in keys.types("7 7.5")
        shown = keys.types("7 8")
        assert '"7.5" does not fit here' in shown
        assert "write a whole number up to 1000000" in shown
        keys.types("2")
        shown = keys.types("*2")
        assert "4/5  Tue 23 Mar\n   1 · Maths · Bo\n   2 · Wash the bins\n" in shown
        assert "5/5  Without a day\n   1 · Build the kite\n" in keys.types("/1")
        assert "1 box for a tick is empty. What does that say?" in keys.types("n")
        assert keys.end() == 0
        assert "8 marks, written down." in keys.seen
    assert recorded(folder) == {
        ("walk", day(1)): "yes",
        ("walk", day(3)): "yes",
        ("water", day(1)): "7",
        ("water", day(2)): "8",
        ("cards", day(2)): "yes",
        ("maths", day(2)): "yes",
    }
    assert tasks(folder)["gate"]["done"] == day(2)
    assert tasks(folder)["kite"]["dropped"] == day(3)
    assert "done" not in tasks(folder)["bins"]


def test_going_back_mends_a_row(tmp_path: Path) -> None:
    """What was recorded first stays in the file; the later one counts, and ~ takes back."""
    folder = household(tmp_path)
    with at(folder, "--person", "ann") as keys:
        keys.types("123")
        assert "Word cards" in keys.types("<")
        assert "     x      x      x\n" in keys.types("1/2~3")
        assert "     x      /      ·\n" in keys.until("Word cards")
        keys.ends_input()
        assert keys.end() == 0
    lines = (folder / "marks" / "2027-W12.csv").read_text().splitlines()[1:]
    assert [line.split(",")[3] for line in lines] == ["yes", "yes", "yes", "no", ""]
    assert recorded(folder) == {
        ("walk", day(1)): "yes",
        ("walk", day(2)): "no",
        ("walk", day(3)): "",
    }
    with at(folder, "--person", "ann") as keys:
        keys.types("12/3")
        keys.types("")
        keys.until("3/4")
        keys.ends_input()
        assert keys.end() == 0
        assert "2 marks, written down." in keys.seen


def test_a_task_that_cannot_be_dropped_is_asked_about_again(tmp_path: Path) -> None:
    """One that repeats would end with all later times; what was ticked beside it is kept."""
    folder = household(tmp_path)
    with at(folder) as keys:
        for _ in range(3):
            keys.types("")
        keys.types("13/2")
        shown = keys.types("")
        assert "“Wash the bins” repeats, and of one time it can only be done" in shown
        keys.types("")
        keys.types("n")
        assert keys.end() == 0
    assert tasks(folder)["gate"]["done"] == day(2)
    assert {"done", "dropped"}.isdisjoint(tasks(folder)["bins"])
    assert recorded(folder) == {("maths", day(2)): "yes"}


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
def test_rows_typed_before_the_end_are_there(
    tmp_path: Path, end: Callable[[Keyboard], int]
) -> None:
    """Ctrl-C, Ctrl-D, kill -9, a window that is closed; the next sitting shows what is there."""
    folder = household(tmp_path)
    with at(folder) as keys:
        keys.types("*")
        keys.until("Water")
        status = end(keys)
        assert keys.end() == status
        if status >= 0:
            assert "3 marks, written down." in keys.seen
    assert recorded(folder) == {("walk", day(number)): "yes" for number in (1, 2, 3)}
    with at(folder) as keys:
        assert "     x      x      x\n" in keys.types("")
        keys.until("Water")
        keys.ends_input()
        assert keys.end() == 0
        assert "Nothing was marked; every file is as it was." in keys.seen


def test_a_file_that_cannot_be_written_is_told_and_the_row_asked_for_again(
    tmp_path: Path,
) -> None:
    """A folder in the place of the file; once it is away, the same row is taken."""
    folder = household(tmp_path)
    (folder / "marks" / "2027-W12.csv").mkdir(parents=True)
    with at(folder) as keys:
        keys.types("1")
        keys.until("it is no file")
        keys.until("3 Wed")
        (folder / "marks" / "2027-W12.csv").rmdir()
        keys.types("1")
        keys.until("Water")
        keys.ends_input()
        assert keys.end() == 0
    assert recorded(folder) == {("walk", day(1)): "yes"}


def test_the_same_row_again_writes_nothing(tmp_path: Path) -> None:
    """A week that a tablet has marked already can be typed over from paper."""
    folder = household(tmp_path)
    for number in range(2):
        with at(folder, "--person", "bo") as keys:
            keys.types("7 8 9")
            keys.until("2/")
            keys.ends_input()
            assert keys.end() == 0
            said = "Nothing was marked" if number else "3 marks, written down."
            assert said in keys.seen
    assert len((folder / "marks" / "2027-W12.csv").read_text().splitlines()) == 4


def test_without_a_terminal_it_only_lists(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Reading only: no file is written; what is recorded is in its box."""
    words = ["--household", str(household(tmp_path)), "--now", WEDNESDAY]
    assert main(["mark", *words]) == 2
    assert "weeksync mark --list or --json" in capsys.readouterr().err
    assert main(["mark", "water", "7", *words]) == 0
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.*")}
    capsys.readouterr()
    assert main(["mark", "--list", *words]) == 0
    out = capsys.readouterr().out
    assert "2/5  Water · Bo · glasses\n     1 Mon  2 Tue  3 Wed\n     ·      ·      7\n" in out
    assert "8 boxes are empty." in out
    assert main(["mark", "this", "--json", *words]) == 0
    record = json.loads(capsys.readouterr().out)
    assert (record["kind"], record["week"]) == ("weeksync.marks", "2027-W12")
    assert [box["value"] for box in record["habits"][1]["boxes"]] == ["", "", "7"]
    assert [one["shown_on"] for one in record["lists"]] == ["2027-03-23", None]
    assert [one["id"] for one in record["lists"][0]["items"]] == ["maths", "bins", "gate"]
    assert main(["mark", "--signs", *words]) == 0
    assert "all but 3 and 6" in capsys.readouterr().out
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.*")} == before


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (["next"], "2027-W13 has not begun"),
        (["water"], "weeksync mark water yes"),
        (["never"], '"never" names no week'),
        (["--list", "--person", "zed"], "ann, bo"),
        (["water", "7", "--json"], "weeksync mark water 7"),
        (["--list", "--from", "x"], "--from takes a file as it is"),
    ],
)
def test_wrong_use_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str], said: str
) -> None:
    """With what to write instead."""
    words = ["--household", str(household(tmp_path)), "--now", WEDNESDAY]
    assert main(["mark", *command, *words]) == 2
    assert said in capsys.readouterr().err


def test_a_week_in_german(tmp_path: Path) -> None:
    """Weekdays follow the household's language; figures take its decimal comma."""
    folder = household(tmp_path)
    config = (folder / "config.toml").read_text().replace("en_GB", "de_DE")
    (folder / "config.toml").write_text(config)
    (folder / "habits.toml").write_text(HABITS.replace('"count"', '"hours"'))
    with at(folder, "--person", "bo") as keys:
        assert "1 Mo   2 Di   3 Mi" in keys.types("7,5 8")
        keys.ends_input()
        assert keys.end() == 0
    assert recorded(folder) == {("water", day(1)): "7.5", ("water", day(2)): "8"}
