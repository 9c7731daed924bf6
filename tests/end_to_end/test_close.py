"""Closing a week of the demo from end to end: commands as typed, and another release of zone data.

Each command is a process of its own, as the household runs them.
"""

from __future__ import annotations

import importlib
import json
import os
import re
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from weeksync import demo

NOW = demo.NOW
LATER = datetime(2029, 3, 25, 6, 40, tzinfo=UTC)


def weeksync(
    home: Path, *words: str, now: datetime = NOW, status: int = 0, path: Path | None = None
) -> str:
    """What a command says; `path` is where packages are looked for first."""
    line = [sys.executable, "-m", "weeksync", *words]
    line += ["--household", str(home), "--now", now.isoformat()]
    env = dict(os.environ) | ({"PYTHONPATH": str(path)} if path is not None else {})
    done = subprocess.run(line, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=env)
    assert done.returncode == status, done.stderr
    return done.stdout + done.stderr


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo household, pulled and built."""
    folder = demo.copy_to(tmp_path / "household")
    weeksync(folder, "nightly")
    return folder


@pytest.fixture
def other_zones(tmp_path: Path) -> Path:
    """A folder with another `tzdata`: London has the clocks of Athens."""
    installed = importlib.import_module("tzdata").__file__
    assert installed is not None
    copied = Path(shutil.copytree(Path(installed).parent, tmp_path / "newer" / "tzdata"))
    zones = copied / "zoneinfo" / "Europe"
    shutil.copyfile(zones / "Athens", zones / "London")
    init = copied / "__init__.py"
    text = re.sub(r'IANA_VERSION = "\w+"', 'IANA_VERSION = "2099z"', init.read_text("utf-8"))
    init.write_text(text, "utf-8")
    return copied.parent


def test_a_sunday_evening_at_the_keyboard(home: Path) -> None:
    """Closed, closed again, listed, marked, shown, reopened, and closed once more."""
    assert "The week 2027-W11 is closed" in weeksync(home, "close")
    assert "is closed since 24 Mar 2027, 06:40" in weeksync(home, "close", "last")
    assert "2027-W12 is not over" in weeksync(home, "close", "this", status=2)
    assert weeksync(home, "close", "--list").strip() == "2027-W11  24 Mar 2027, 06:40"
    marked = weeksync(home, "mark", "water", "5", "--day", "2027-03-17")
    assert "2027-W11 is closed; the mark is kept, and counts when the week is reopened" in marked
    saved = home / "saved.txt"
    saved.write_text(
        '{"id":"water","date":"2027-03-18","person":"ines","value":"6",'
        '"recorded_at":"2027-03-24T06:12:03.123Z","device":"kitchen"}\n'
    )
    told = weeksync(home, "mark", "--from", str(saved))
    assert "2027-W11 is closed" in told
    assert weeksync(home, "show", "2027-W11").startswith("The week 2027-W11 is closed since")
    data = json.loads(weeksync(home, "show", "2027-W11", "--json"))
    assert data["closed_at"] == "2027-03-24T06:40:00+00:00"
    assert "archive/2027-W11.1.json" in weeksync(home, "close", "last", "--reopen")
    assert "2027-W11 is not closed" in weeksync(home, "close", "last", "--reopen", status=2)
    weeksync(home, "close")
    assert json.loads(weeksync(home, "close", "--json")) == [
        {
            "week": "2027-W11",
            "closed_at": "2027-03-24T06:40:00Z",
            "reopened": ["2027-03-24T06:40:00Z"],
        }
    ]
    assert "--list and --json only list" in weeksync(home, "close", "last", "--list", status=2)
    assert "no week" in weeksync(home, "close", "sometime", status=2)


def test_no_release_of_zone_data_moves_a_closed_week(home: Path, other_zones: Path) -> None:
    """The other weeks follow the new clocks; the closed one is the same bytes, made anew.

    The site is made from nothing, so no page is there to be taken over, and years later, too.
    """
    weeksync(home, "close")
    weeksync(home, "build")
    site = home / "output" / "site"
    own = home / "output" / "own"
    frozen = [(tree / "2027-W11.html").read_bytes() for tree in (site, own)]
    live = (site / "2027-W13.html").read_bytes()
    for now in (NOW, LATER):
        shutil.rmtree(home / "output")
        weeksync(home, "build", now=now, path=other_zones)
        assert [(tree / "2027-W11.html").read_bytes() for tree in (site, own)] == frozen
        if now == NOW:
            assert (site / "2027-W13.html").read_bytes() != live


def test_a_damaged_record_ends_a_night_with_a_status_and_a_word(home: Path) -> None:
    """Listed with a question mark, told with its line, and put right by the command it names."""
    weeksync(home, "close")
    record = home / "archive" / "2027-W11.json"
    text = record.read_text("utf-8")
    record.write_text(text.replace('{"date": "2027-03-17"', '{"date": "the 17th"'), "utf-8")
    told = weeksync(home, "build", status=1)
    assert re.search(r"archive/2027-W11\.json:\d+: ", told)
    assert "weeksync close 2027-W11 --reopen" in told
    assert "2027-W11  ?" in weeksync(home, "close", "--list", status=1)
    weeksync(home, "close", "2027-W11", "--reopen")
    weeksync(home, "close", "2027-W11")
    weeksync(home, "build")
    assert "the 17th" in (home / "archive" / "2027-W11.1.json").read_text("utf-8")
