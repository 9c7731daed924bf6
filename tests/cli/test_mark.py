"""`weeksync mark` as a command: one mark, or a file of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.households import write_household
from weeksync.cli import main

HABITS = """\
format = 1
[[habits]]
id = "water"
title = "Water"
person = "ann"
kind = "count"
[[habits]]
id = "walk"
title = "Walk"
person = "bo"
kind = "hours"
"""
TASKS = 'format = 1\n[[tasks]]\nid = "gate"\ntitle = "Mend the gate"\n'


@pytest.fixture
def words(tmp_path: Path) -> list[str]:
    """The options that name a household, on Wednesday morning."""
    write_household(tmp_path, habits_toml=HABITS, tasks_toml=TASKS)
    return ["--household", str(tmp_path), "--now", "2027-03-24T06:40:00Z"]


def rows(folder: Path) -> list[list[str]]:
    """(id, day, person, value, device) of the marks of the week."""
    lines = (folder / "marks" / "2027-W12.csv").read_text().splitlines()[1:]
    return [[*line.split(",")[:4], line.split(",")[6]] for line in lines]


def test_one_mark_and_its_undoing(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """What was marked is said, and which command puts it on the pages."""
    assert main(["mark", "water", "7", *words]) == 0
    assert capsys.readouterr().out == (
        "“Water”, Wed, 24 Mar 2027: 7\nweeksync build puts what is new on the pages.\n"
    )
    assert main(["mark", "water", "7", *words]) == 0
    assert capsys.readouterr().out == "“Water”, Wed, 24 Mar 2027: stands there already\n"
    assert main(["mark", "water", "--undo", *words]) == 0
    assert "taken back, not recorded" in capsys.readouterr().out
    day = "2027-03-24"
    assert rows(tmp_path) == [
        ["water", day, "ann", "7", "terminal"],
        ["water", day, "ann", "", "terminal"],
    ]


@pytest.mark.parametrize(
    ("named", "day"),
    [
        ("yesterday", "2027-03-23"),
        ("Wed", "2027-03-24"),
        ("Thu", "2027-03-18"),
        ("25 Mar", "2026-03-25"),
        ("22 Mar", "2027-03-22"),
        ("2027-03-01", "2027-03-01"),
    ],
)
def test_a_day_is_one_that_has_come(tmp_path: Path, words: list[str], named: str, day: str) -> None:
    """Who marks looks back: Thursday is the last one, a day without a year lies behind."""
    assert main(["mark", "walk", "1,5", "--day", named, *words]) == 0
    [file] = (tmp_path / "marks").iterdir()
    assert f"walk,{day},bo,1.5," in file.read_text()


def test_a_task_is_done_and_open_again(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """In its own file, where it was before it was done."""
    assert main(["mark", "gate", "Done", "--day", "Mon", *words]) == 0
    assert "done = 2027-03-22" in (tmp_path / "tasks.toml").read_text()
    assert main(["mark", "gate", "--undo", *words]) == 0
    assert (tmp_path / "tasks.toml").read_text() == TASKS
    assert "“Mend the gate” is open again" in capsys.readouterr().out


def test_a_task_is_put_off_and_a_break_ticked(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Both are said, and the week shows them: on a day that is over the task stands as put off."""
    (tmp_path / "weeks").mkdir()
    (tmp_path / "weeks/2027-W12.toml").write_text(
        'format = 1\n[[placed]]\ntask = "gate"\ndate = 2027-03-23\n'
        '[[breaks]]\nid = "tea"\ndate = 2027-03-24\nstart = 10:30:00\nwhat = "Tea"\n'
    )
    assert main(["mark", "gate", "later", *words]) == 0
    assert main(["mark", "tea", "yes", *words]) == 0
    out = capsys.readouterr().out
    assert "“Mend the gate” is carried to the next week\n" in out
    assert "“Tea”, Wed, 24 Mar 2027: yes\n" in out
    main(["show", *words])
    shown = capsys.readouterr().out
    assert "  [>] Mend the gate\n" in shown
    assert "  [x] 10:30  Tea\n" in shown
    assert main(["mark", "gate", "--undo", *words]) == 0
    assert (tmp_path / "tasks.toml").read_text() == TASKS


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (["water", "lots"], 'value = "lots" is no mark for “Water”; write a whole number'),
        (["watr", "7"], "did you mean water?"),
        (["water", "-3"], 'value = "-3" is no mark'),
        (["water", "7", "--day", "2027-03-25"], "date = 2027-03-25 has not come yet"),
        (["water", "7", "--day", "never"], '"never" names no day'),
        (["water", "7", "--person", "bo"], "“Water” is not for bo"),
        (["water", "7", "8"], "weeksync mark water 7"),
        (["water", "7", "--undo"], "weeksync mark water 7"),
        (["--from", "nowhere.csv"], "there is no file nowhere.csv"),
        (["--from", "nowhere.csv", "--undo"], "--from takes a file as it is"),
    ],
)
def test_what_cannot_be_marked_is_wrong_use(
    tmp_path: Path,
    words: list[str],
    capsys: pytest.CaptureFixture[str],
    command: list[str],
    said: str,
) -> None:
    """Value and remedy are said, and nothing is written."""
    assert main(["mark", *command, *words]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "marks").exists()


def test_a_file_of_marks(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Status 1 where lines were refused: somebody has to look at them."""
    saved = tmp_path / "saved.csv"
    head = "id,date,person,value,recorded_at,received_at,device\n"
    good = "water,2027-03-22,,7,2027-03-22T21:00:00Z,,tablet\n"
    saved.write_text(head + good)
    assert main(["mark", "--from", str(saved), *words]) == 0
    assert capsys.readouterr().out == (
        "1 mark is new.\n0 were there already.\nweeksync build puts what is new on the pages.\n"
    )
    saved.write_text(head + good + good.replace("water", "wine"))
    assert main(["mark", "--from", str(saved), *words]) == 1
    out, err = capsys.readouterr()
    assert out == "0 marks are new.\n1 was there already.\n"
    assert f'{saved}:3: id = "wine" is no habit' in err
    assert "1 line was refused and is kept in" in err
