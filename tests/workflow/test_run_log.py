"""The log of a night: a line for each calendar and one for the run, at the level that fits."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.support.households import calendar, event, write_household
from weeksync.cli import main
from weeksync.lean import NOTE

FIRST, NEXT = "2027-03-24T04:00:00+00:00", "2027-03-25T04:00:00+00:00"
CALENDARS = """
[[calendars]]
id = "family"
path = "family.ics"

[[calendars]]
id = "school"
path = "school.ics"
"""
CHOIR, TRIP = (
    calendar(event("choir@home.arpa", "20270325T190000", "Choir")),
    calendar(
        event("trip@school.arpa", "20270326T080000", "Museum trip"),
        event("fair@school.arpa", "20270327T100000", "Book fair"),
    ),
)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two calendars that are files."""
    write_household(tmp_path, CALENDARS)
    (tmp_path / "family.ics").write_text(CHOIR)
    (tmp_path / "school.ics").write_text(TRIP)
    return tmp_path


def lines(text: str) -> list[str]:
    """Without what differs from run to run."""
    plain = re.sub(r"seconds=\d+\.\d", "seconds=…", text)
    return [line for line in plain.splitlines() if re.match(r"\S+ (info|warning|error) ", line)]


def night(home: Path, now: str, *more: str) -> int:
    """A night's exit status."""
    return main(["nightly", "--household", str(home), "--now", now, *more])


def test_a_night_says_how_each_calendar_was(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Kind, outcome, objects with their entries, changes, requests, seconds, age of the copy."""
    assert night(home, FIRST, "--log", "info") == 0
    assert lines(capsys.readouterr().err) == [
        f"{FIRST} info source=family kind=file outcome=changed objects=1 entries=1 changed=1 "
        "requests=0 seconds=… age=0",
        f"{FIRST} info source=school kind=file outcome=changed objects=1 entries=2 changed=1 "
        "requests=0 seconds=… age=0",
        f"{FIRST} info run=nightly status=0 sources=2 failed=0 problems=0 seconds=…",
    ]
    (home / "family.ics").write_text(CHOIR.replace("19", "18"))
    assert night(home, NEXT, "--log", "info") == 0
    assert [re.findall(r"outcome=\S+", one) for one in lines(capsys.readouterr().err)] == [
        ["outcome=changed"],
        ["outcome=same"],
        [],
    ]


def test_a_calendar_that_fails_is_a_warning_and_once_it_is_old_an_error(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One night is bad luck; after 36 hours the last good copy is older than a missed night."""
    assert night(home, FIRST) == 0
    (home / "school.ics").unlink()
    assert night(home, NEXT, "--log", "warning") == 1
    school, run = lines(capsys.readouterr().err)
    assert school.startswith(
        f"{NEXT} warning source=school kind=file outcome=failed objects=1 entries=2 "
    )
    assert re.search(r'age=86400 problems=1 why="\S+ does not exist; look at path', school)
    assert run.startswith(f"{NEXT} warning run=nightly status=1 sources=2 failed=1 problems=1 ")
    assert night(home, "2027-03-26T04:00:00+00:00", "--log", "error") == 1
    (school,) = lines(capsys.readouterr().err)
    assert school.startswith("2027-03-26T04:00:00+00:00 error source=school ")


def test_a_calendar_that_is_suddenly_empty_is_held(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It answered, and what it said waits for an answer."""
    many = (event(f"{n}@home.arpa", f"202704{n:02}T190000", "Choir") for n in range(1, 25))
    (home / "family.ics").write_text(calendar(*many))
    assert night(home, FIRST) == 0
    (home / "family.ics").write_text(calendar())
    assert night(home, NEXT, "--log", "warning") == 1
    family, _ = lines(capsys.readouterr().err)
    assert " warning source=family kind=file outcome=held objects=1 entries=24 " in family


def test_quiet_stays_the_rule(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without the option nothing is said of a night that went well, as cron wants it."""
    assert night(home, FIRST) == 0
    assert capsys.readouterr().err == ""
    assert not (home / "state" / "log.txt").exists()


def test_a_file_gets_the_lines_of_every_run_from_its_level_on(home: Path) -> None:
    """Also of a pull by hand."""
    config = home / "config.toml"
    config.write_text(config.read_text() + '\n[log]\nfile = "state/log.txt"\nlevel = "info"\n')
    assert night(home, FIRST) == 0
    assert night(home, NEXT) == 0
    assert main(["pull", "--household", str(home), "--now", NEXT, "--source", "school"]) == 0
    found = lines((home / "state" / "log.txt").read_text())
    assert [re.findall(r"(?:source|run)=(\S+)", one)[0] for one in found] == [
        *("family", "school", "nightly"),
        *("family", "school", "nightly"),
        *("school", "pull"),
    ]


def test_a_log_that_cannot_be_written_is_told_and_stops_nothing(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The pages are made; the night has a problem."""
    config = home / "config.toml"
    config.write_text(config.read_text() + '\n[log]\nfile = "nowhere/log.txt"\n')
    assert night(home, FIRST) == 1
    said = capsys.readouterr().err
    assert "the log nowhere/log.txt could not be written (No such file or directory)" in said
    assert (home / "output" / "site" / "index.html").is_file()


def test_a_run_that_is_stopped_has_its_line_too(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of the error its kind alone."""
    config = home / "config.toml"
    config.write_text(config.read_text() + '\n[log]\nfile = "state/log.txt"\n')
    assert night(home, FIRST) == 0
    (home / "state" / "store.sqlite3").write_bytes(b"no database at all" * 500)
    (home / "state" / NOTE).unlink(missing_ok=True)
    status = night(home, NEXT, "--log", "error")
    assert status in {1, 3}
    assert f"run=nightly status={status}" in (home / "state" / "log.txt").read_text()
