"""`weeksync add`: an entry by its options, what is asked for, and what is said of mistakes."""

from __future__ import annotations

import json
import tomllib
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import write_household
from tests.support.keyboard import Keyboard
from weeksync.cli import main

INSTANT = "2027-03-24T06:40:00Z"
MONEY = 'format = 1\ncurrency = "GBP" # pounds\n'


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Ann and Bo, with a currency and nothing else."""
    return write_household(tmp_path / "home", money_toml=MONEY)


def add(home: Path, *words: str) -> int:
    """The exit status of the command."""
    return main(["add", *words, "--household", str(home), "--now", INSTANT])


def entries(home: Path, file: str, array: str) -> list[dict[str, Any]]:
    """The entries of a file, without their ids."""
    found = tomllib.loads((home / file).read_text("utf-8"))[array]
    return [{key: value for key, value in one.items() if key != "id"} for one in found]


CASES: list[tuple[list[str], str, str, dict[str, Any]]] = [
    (
        ["task", "Mend the gate", "--due", "Fri", "--estimate", "45", "--person", "ann"],
        "tasks.toml",
        "tasks",
        {"title": "Mend the gate", "due": date(2027, 3, 26), "estimate": 45, "person": "ann"},
    ),
    (
        ["task", "Bins", "--due", "29 Mar", "--repeats", "week", "--repeats-on", "mon,thu"],
        "tasks.toml",
        "tasks",
        {"title": "Bins", "due": date(2027, 3, 29), "repeats": "FREQ=WEEKLY;BYDAY=MO,TH"},
    ),
    (
        ["appointment", "Chimney sweep", "--day", "2 Apr", "--from", "10:00", "--until", "11:30",
         "--person", "ann,bo", "--not-busy", "--not-on", "9 Apr", "--not-on", "16 Apr",
         "--repeats", "FREQ=WEEKLY;COUNT=5"],
        "appointments.toml",
        "appointments",
        {"title": "Chimney sweep", "start": datetime(2027, 4, 2, 10),
         "end": datetime(2027, 4, 2, 11, 30), "person": ["ann", "bo"], "busy": False,
         "not_on": [date(2027, 4, 9), date(2027, 4, 16)], "repeats": "FREQ=WEEKLY;COUNT=5"},
    ),
    (
        ["habit", "Water", "--person", "bo", "--kind", "count", "--unit", "glasses",
         "--target", "6", "--days", "monday,tuesday", "--health"],
        "habits.toml",
        "habits",
        {"title": "Water", "person": "bo", "kind": "count", "unit": "glasses", "target": 6,
         "days": ["monday", "tuesday"], "health": True},
    ),
    (
        ["bill", "Swim club", "--amount", "£24.50", "--first", "2027-04-01",
         "--repeats", "month-day", "--not-collected"],
        "money.toml",
        "bills",
        {"title": "Swim club", "amount": 2450, "first": date(2027, 4, 1),
         "repeats": "FREQ=MONTHLY;BYMONTHDAY=1", "collected": False},
    ),
    (
        ["routine", "Dog walk", "--from", "07:00", "--until", "07:30", "--person", "ann"],
        "routines.toml",
        "routines",
        {"title": "Dog walk", "hours": "07:00-07:30", "person": "ann"},
    ),
    (
        ["lesson", "Latin", "--child", "bo", "--days", "mon,wed"],
        "terms.toml",
        "lessons",
        {"subject": "Latin", "child": "bo", "days": ["monday", "wednesday"]},
    ),
]  # fmt: skip


@pytest.mark.parametrize(("words", "file", "array", "wanted"), CASES)
def test_an_entry_is_added_by_its_options(
    home: Path, words: list[str], file: str, array: str, wanted: dict[str, Any]
) -> None:
    """Days are named as people do, amounts typed as the language writes them."""
    assert add(home, *words) == 0
    assert entries(home, file, array) == [wanted]


def test_json_says_what_it_is_known_by_from_now_on(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its id, which marks are made with, and its file."""
    assert add(home, "task", "Beans", "--json") == 0
    said = json.loads(capsys.readouterr().out)
    given = said.pop("id")
    assert said == {"format": 1, "kind": "weeksync.add", "what": "task", "file": "tasks.toml"}
    assert tomllib.loads((home / "tasks.toml").read_text())["tasks"][0]["id"] == given


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["task"], '"title" is missing'),
        (["habit", "Walk"], "--person is missing"),
        (["task", "x", "--due", "soon"], '"soon" names no day'),
        (["task", "x", "--estimate", "long"], "--estimate: “long” is no number"),
        (["task", "x", "--person", "cy"], '--person: person = "cy" is nobody of config.toml'),
        (["lesson", "x", "--child", "bo", "--days", "m"], '--days: "m" is no day of the week'),
        (["bill", "x", "--first", "Fri", "--repeats", "FREQ=HOURLY"], "--repeats: repeats = "),
        (["bill", "x", "--first", "Fri", "--amount", "4,5"], "--amount: “4,5” is no amount"),
    ],
)
def test_what_cannot_be_is_told_with_its_option(
    home: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written, and the exit status says so."""
    before = {path.name: path.read_bytes() for path in home.iterdir()}
    assert add(home, *words) == 2
    assert said in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in home.iterdir()} == before


def test_at_a_keyboard_what_is_missing_is_asked_for(home: Path) -> None:
    """And asked for again where it cannot be."""
    with Keyboard("add", "lesson", folder=home, now=INSTANT) as keys:
        keys.types("Latin", after="What is taught: ")
        keys.types("bo", after="Who is taught: ")
        keys.types("never", after="On these days: ")
        assert '"never" is no day of the week' in keys.types("mon, wed", after="On these days: ")
        keys.until("“Latin” stands in terms.toml now.")
        assert keys.end() == 0
    wanted = {"subject": "Latin", "child": "bo", "days": ["monday", "wednesday"]}
    assert entries(home, "terms.toml", "lessons") == [wanted]


def test_what_check_refuses_is_asked_for_again_too(home: Path) -> None:
    """Also where only the files together show that it cannot be."""
    with Keyboard("add", "task", "Gate", "--person", "cy", folder=home, now=INSTANT) as keys:
        assert "is nobody of config.toml" in keys.types("bo", after="Who does it: ")
        keys.until("“Gate” stands in tasks.toml now.")
        assert keys.end() == 0
    assert entries(home, "tasks.toml", "tasks") == [{"title": "Gate", "person": "bo"}]
