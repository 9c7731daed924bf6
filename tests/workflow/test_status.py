"""How a night went, from outside: `weeksync status`, `status.json`, the page of problems."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import calendar, event, write_household
from weeksync.cli import main

FIRST = datetime(2027, 3, 24, 4, tzinfo=UTC)
CALENDARS = """
[[calendars]]
id = "family"
path = "family.ics"

[[calendars]]
id = "school"
path = "school.ics"
"""
MANY = [event(f"{n}@home.arpa", f"202704{n:02}T190000", "Choir") for n in range(1, 25)]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two calendars that are files, after a night in which all was well."""
    write_household(tmp_path, CALENDARS)
    (tmp_path / "family.ics").write_text(calendar(*MANY))
    (tmp_path / "school.ics").write_text(calendar(*MANY))
    assert run(tmp_path, "nightly", FIRST) == 0
    return tmp_path


def run(home: Path, command: str, now: datetime, *more: str) -> int:
    """The exit status of a command."""
    return main([command, "--household", str(home), "--now", now.isoformat(), *more])


def record(home: Path) -> dict[str, Any]:
    """What `status.json` holds."""
    found: dict[str, Any] = json.loads((home / "output" / "status.json").read_text())
    return found


def hours(number: float) -> datetime:
    """So long after the first night."""
    return FIRST + timedelta(hours=number)


def test_a_good_night_is_told_in_a_line_for_each_calendar(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With its age, and the status is 0 until a night must have been missed."""
    assert run(home, "status", hours(5)) == 0
    said = capsys.readouterr()
    assert said.out.splitlines() == [
        "The last night was 5 hours ago, at 24 Mar 2027, 04:00.",
        "Calendar family: 24 entries, as of 24 Mar 2027, 04:00.",
        "Calendar school: 24 entries, as of 24 Mar 2027, 04:00.",
    ]
    assert said.err == ""


@pytest.mark.parametrize(
    ("after", "told"),
    [(0.5, "less than an hour ago"), (1, "1 hour ago"), (71, "71 hours ago"), (72, "3 days ago")],
)
def test_how_long_ago_it_was_is_told_as_people_do(
    home: Path, after: float, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """In hours, and after three days in days."""
    run(home, "status", hours(after))
    assert f"The last night was {told}, at 24 Mar 2027, 04:00." in capsys.readouterr().out


def test_a_night_with_a_problem_is_never_told_as_fine(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where nothing is left that says which it was."""
    file = home / "output" / "status.json"
    file.write_text(json.dumps(record(home) | {"status": 1, "problems": {"source": 1}}))
    assert run(home, "status", hours(1)) == 1
    assert "the last night ended with status 1" in capsys.readouterr().err


@pytest.mark.parametrize(("after", "status"), [(36, 0), (37, 1)])
def test_a_night_that_was_missed_is_a_problem(
    home: Path, after: int, status: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """After 36 hours, as `status.json` says for monitors of others."""
    assert record(home)["expected_within_hours"] == 36
    assert run(home, "status", hours(after)) == status
    assert ("no night has run since 24 Mar 2027, 04:00" in capsys.readouterr().err) == bool(status)


def test_before_the_first_night_there_is_nothing_to_tell(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says what to run."""
    write_household(tmp_path)
    assert run(tmp_path, "status", FIRST) == 2
    assert "weeksync nightly runs one" in capsys.readouterr().err


def _page(home: Path) -> str:
    return (home / "output" / "site" / "problems.html").read_text("utf-8")


def _as_on_the_page(home: Path) -> dict[str, int]:
    """Problems by kind, as listed."""
    page, found = _page(home), {}
    for kind in ("question", "source", "mistake", "object", "notice"):
        section = re.search(rf'<section class="group" id="{kind}">(.*?)</section>', page, re.S)
        if section is not None:
            found[kind] = section[1].count("<li>")
    return found


def test_file_command_and_page_say_the_same_of_a_bad_night(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A calendar that is gone, one that is suddenly empty, and a file that cannot be read."""
    (home / "family.ics").write_text(calendar())
    (home / "school.ics").unlink()
    (home / "tasks.toml").write_text('format = 1\n[[tasks]]\ntitle = "Sow"\ndue = 2027-02-30\n')
    assert run(home, "nightly", hours(24)) == 1
    found = record(home)
    assert found["problems"] == _as_on_the_page(home) == {"question": 1, "source": 1, "mistake": 1}
    page = _page(home)
    assert re.findall(r'<li><a href="#(\w+)">([^<]+)</a>', page) == [
        ("question", "1 question for you"),
        ("source", "2 problems"),
    ]
    assert f'asked last: <span class="good"><time datetime="{found["run_at"]}"' in page
    for source in found["sources"]:
        assert source["failed"]
        assert source["last_good"] == FIRST.isoformat()
        assert (source["objects"], source["entries"]) == (1, 24)
    assert page.count("24 entries, from files") == 2
    assert page.count(f'As of <time datetime="{FIRST.isoformat()}"') == 4  # at the top, too
    capsys.readouterr()
    assert run(home, "status", hours(25)) == 1
    lines = capsys.readouterr().err.splitlines()
    assert [line.partition(":")[0] for line in lines] == ["family", "school", "status.json"]
    assert "it held 24 entries, which are still shown" in lines[0]
    assert "school.ics does not exist; look at path" in lines[1]
    assert "1 thing in files and calendars could not be read" in lines[2]


def test_json_is_what_the_night_wrote(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Word for word, with the same exit status."""
    capsys.readouterr()
    assert run(home, "status", hours(1), "--json") == 0
    assert json.loads(capsys.readouterr().out) == record(home)
    assert run(home, "status", hours(40), "--json") == 1


@pytest.fixture
def told(home: Path, tmp_path: Path) -> Path:
    """What the command of `[notify]` was given, in a file."""
    script = tmp_path / "ring.sh"
    script.write_text('#!/bin/sh\ncat > "$(dirname "$0")/told.txt"\n')
    script.chmod(0o755)
    config = home / "config.toml"
    config.write_text(f'{config.read_text()}\n[notify]\nfailed_command = ["{script}"]\n')
    return tmp_path / "told.txt"


def test_a_night_that_is_stopped_is_told_and_written_down(
    home: Path, told: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no pages can be made: the command rings, and the status says with what it ended."""
    config = home / "config.toml"
    config.write_text(config.read_text().replace("[site]", '[site]\ntemplates = "templates"'))
    (home / "templates").mkdir()
    (home / "templates" / "week.html").write_text("{% if %}")
    assert run(home, "nightly", hours(24)) == 3
    assert told.read_text() == "weeksync nightly: status 3\n"
    assert (record(home)["status"], record(home)["run_at"]) == (3, hours(24).isoformat())
    assert run(home, "status", hours(25)) == 1
    assert "the last night ended with status 3" in capsys.readouterr().err


def test_a_night_without_any_calendar_that_answers_ends_as_it_is_written_down(
    tmp_path: Path,
) -> None:
    """Pages were made all the same: status 1, in the file as in the shell."""
    write_household(tmp_path, CALENDARS)
    assert run(tmp_path, "nightly", FIRST) == record(tmp_path)["status"] == 1
