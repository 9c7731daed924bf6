"""Faults of the machine itself: clock, state database, rights, runs at once, a calendar emptied.

Each is a function that plays one in a household of its own, checks that nothing is lost, and gives
the row that the table has of it.
"""

from __future__ import annotations

import io
import os
import re
import sqlite3
import stat
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout, suppress
from datetime import date, datetime
from pathlib import Path
from unittest.mock import patch

from tests.faults.at_once import Held
from tests.faults.crashes import Seen, seen
from tests.faults.home import EVENTS, SECRET_PATH, Kind
from tests.faults.playing import Row
from tests.faults.scenes import household
from tests.faults.stage import Stage
from tests.support.feeds import status
from tests.support.households import calendar, event
from tests.support.serving import Serving, mark_line
from weeksync.cli import main
from weeksync.model.household import latest_marks
from weeksync.store import Store
from weeksync.workflow.context import Context

Playing = Callable[[Stage, Path], Row]
AT_HOME: dict[str, Playing] = {}
"""Name of the fault → how it is played."""

NIGHT, NEXT = "2027-03-24T04:10:00+00:00", "2027-03-25T04:10:00+00:00"
FILE = "state/store.sqlite3"


def named(name: str) -> Callable[[Playing], Playing]:
    """Put a function into the list."""

    def keep(playing: Playing) -> Playing:
        AT_HOME[name] = playing
        return playing

    return keep


def played(name: str, stage: Stage, folder: Path) -> Row:
    """Play the fault of that name."""
    found = AT_HOME[name](stage, folder)
    return Row(name, "", found.status, found.told, found.kept)


def row(night: tuple[int, list[str]], kept: str) -> Row:
    """A row: how a night ended, and what is kept."""
    ended, said = night
    return Row("", "", str(ended), "<br>".join(map(_plain, said)) or "–", kept)


def _plain(line: str) -> str:
    line = re.sub(r"store\.sqlite3\.\d{8}T\d{6}Z", "store.sqlite3.…Z", line)
    line = re.sub(r"(localhost|127\.0\.0\.1):\d+", r"\1", line)
    return re.sub(r"(?:/[\w.-]+)+/state", "…/state", line)


def run(folder: Path, now: str, *words: str) -> tuple[int, list[str]]:
    """A night, or the command of `words`: its exit status and the lines it said."""
    out, errors = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(errors):
        ended = main([*(words or ("nightly",)), "--household", str(folder), "--now", now])
    return int(ended), errors.getvalue().splitlines()


def good(folder: Path, now: str) -> None:
    """A night in which all is well."""
    assert run(folder, now) == (0, [])


def at(folder: Path) -> Path:
    """A household there, after a good night."""
    household(folder)
    good(folder, NIGHT)
    return folder


def undisturbed(folder: Path, *nights: str) -> Seen:
    """What a household like that is after good nights."""
    household(folder)
    for now in nights:
        good(folder, now)
    return seen(folder)


def is_as(folder: Path, other: Seen) -> None:
    """Household files and pages are the same as those, to the byte."""
    mine = seen(folder)
    assert mine.own == other.own
    assert mine.trees == other.trees


# The clock ----------------------------------------------------------------------------------


def _jump(folder: Path, wrong: str) -> Row:
    home, other = at(folder / "a"), undisturbed(folder / "b", NIGHT, NEXT)
    before = seen(home).own
    night = run(home, wrong)
    assert run(home, wrong)[0] == night[0]  # perhaps a quiet one
    assert seen(home).own == before, "a household file has changed"
    good(home, NEXT)
    is_as(home, other)
    return row(night, "everything; when the clock is right, pages are as if it always had been")


@named("the clock is ten years ahead for a night")
def _ahead(_: Stage, folder: Path) -> Row:
    return _jump(folder, "2037-03-24T04:10:00+00:00")


@named("the clock is ten years behind for a night")
def _behind(_: Stage, folder: Path) -> Row:
    return _jump(folder, "2017-03-24T04:10:00+00:00")


@named("the clock is set back by an hour between two nights")
def _hour(_: Stage, folder: Path) -> Row:
    return _jump(folder, "2027-03-24T03:10:00+00:00")


@named("a mark is made while the clock is ten years ahead")
def _mark_ahead(_: Stage, folder: Path) -> Row:
    home = at(folder)
    ahead = "2037-03-24T20:00:00+00:00"
    assert run(home, ahead, "mark", "walk", "yes", "--day", "2027-03-24") == (0, [])
    text = (home / "marks" / "2027-W12.csv").read_text("utf-8")
    assert "walk,2027-03-24" in text
    back = run(home, NEXT, "mark", "walk", "no", "--day", "2027-03-24")
    assert back == (0, [])
    lines = (home / "marks" / "2027-W12.csv").read_text("utf-8").splitlines()
    assert "\n".join(lines).startswith(text.strip().replace("\r\n", "\n"))
    assert lines[-1].split(",")[3] == "no"
    night = run(home, NEXT)
    marks = Context.read(home, datetime.fromisoformat(NEXT)).files.marks
    assert latest_marks(marks)["walk", date(2027, 3, 24)].value == "no"
    return row(night, "both marks; one that is made by hand afterwards holds")


@named("a calendar loses an entry while the clock is ten years ahead")
def _gone_ahead(_: Stage, folder: Path) -> Row:
    home, other = at(folder / "a"), at(folder / "b")
    text = calendar(event("choir", "20270326T190000", "Choir"))
    for one in (home, other):
        (one / "family.ics").write_text(text, newline="")
    night = run(home, "2037-03-24T04:10:00+00:00")
    assert run(home, "2037-03-25T04:10:00+00:00")[0] == night[0]
    for one in (home, other):
        good(one, NEXT)
    assert "Dentist" not in (home / "output" / "site" / "2027-W12.html").read_text("utf-8")
    is_as(home, seen(other))
    return row(
        night,
        "everything but that entry: after a leap of more than a year the clock is believed in a"
        " week, and until then nothing is taken for past by it",
    )


# The state database -------------------------------------------------------------------------


def _settled(home: Path) -> Path:
    """The database without a log beside it."""
    file = home / FILE
    with sqlite3.connect(file) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    for end in ("-wal", "-shm"):
        Path(f"{file}{end}").unlink(missing_ok=True)
    return file


def _damaged(folder: Path, damage: Callable[[Path], None]) -> Row:
    """Damaged between two nights: the night says so, the next one is as if nothing had been."""
    home, other = at(folder / "a"), undisturbed(folder / "b", NIGHT, NEXT)
    before = seen(home).own
    damage(_settled(home))
    night = run(home, "2027-03-24T05:10:00+00:00")
    assert night[0] in {0, 1}
    assert seen(home).own == before, "a household file has changed"
    assert "Dentist" in (home / "output" / "site" / "2027-W12.html").read_text("utf-8")
    asides = list((home / "state").glob("store.sqlite3.2*Z"))
    assert len(asides) == (night[0] == 1), "the damaged file is kept, once"
    good(home, NEXT)
    is_as(home, other)
    return row(night, "everything; the damaged file is kept beside the new one")


@named("the state database is no database any more")
def _garbage(_: Stage, folder: Path) -> Row:
    return _damaged(folder, lambda file: _write(file, b"no database at all" * 900))


@named("the state database is cut in half")
def _half(_: Stage, folder: Path) -> Row:
    return _damaged(
        folder, lambda file: _write(file, file.read_bytes()[: file.stat().st_size // 2])
    )


@named("the head of the state database is overwritten")
def _head(_: Stage, folder: Path) -> Row:
    return _damaged(folder, lambda file: _write(file, bytes(4096) + file.read_bytes()[4096:]))


@named("the middle of the state database is overwritten")
def _middle(_: Stage, folder: Path) -> Row:
    def damage(file: Path) -> None:
        content = bytearray(file.read_bytes())
        content[8192:-4096] = b"\x55" * (len(content) - 12288)
        _write(file, bytes(content))

    return _damaged(folder, damage)


@named("a row of the state database says nonsense")
def _nonsense(_: Stage, folder: Path) -> Row:
    def damage(file: Path) -> None:
        with sqlite3.connect(file) as connection:
            connection.execute("UPDATE source SET problems = '{', last_good = 'soon'")
        connection.close()

    return _damaged(folder, damage)


@named("the state database is gone")
def _gone(_: Stage, folder: Path) -> Row:
    found = _damaged(folder, lambda file: file.unlink())
    return Row("", "", found.status, found.told, "everything: all calendars are pulled again")


def _write(file: Path, content: bytes) -> None:
    file.write_bytes(content)


@named("the state database is damaged on a night on which a server is down")
def _damaged_and_down(stage: Stage, _: Path) -> Row:
    home = stage.another()
    file = _settled(home.folder)
    with sqlite3.connect(file) as connection:
        connection.execute("UPDATE source SET problems = '{'")
    connection.close()
    shown = home.edition
    home.edit()
    home.answers(Kind.FEED, status(503))
    home.answers(Kind.ACCOUNT, status(503))
    night = home.night()
    assert night.status == 1
    for kind in (Kind.FEED, Kind.ACCOUNT):
        assert all(home.shows(word, shown) for word in EVENTS[kind]), kind
    home.well()
    home.edit()
    home.good_night()
    said = [line for line in night.said if "database" in line]
    return row((night.status, said), "the last good copies too, as far as they can be read")


# Rights -------------------------------------------------------------------------------------


@named("a password file that others can read")
def _open_password(stage: Stage, _: Path) -> Row:
    home = stage.another()
    (home.folder / ".password").chmod(0o644)
    home.edit()
    (home.folder / ".password").chmod(0o644)
    night = home.night()
    assert night.status == 0
    checked = run(home.folder, home.now.isoformat(), "check")
    told = [line for line in checked[1] if "chmod 600 .password" in line]
    assert len(told) == 2, checked
    return Row(
        "", "", "0", f"by `weeksync check`: {told[0]}", "the calendar is pulled all the same"
    )


@named("a password file that is gone")
def _no_password(stage: Stage, _: Path) -> Row:
    home = stage.another()
    shown = home.edition
    home.edit()
    (home.folder / ".password").unlink()
    night = home.night()
    assert home.shows("School", shown)
    assert home.shows("Home", shown)
    assert home.shows("Kitchen", home.edition)
    home.edit()
    home.good_night()
    return row((night.status, night.about("school")), "the last good copies, with their time")


@named("a state folder that others can read")
def _open_state(_: Stage, folder: Path) -> Row:
    home = at(folder)
    (home / "state").chmod(0o755)
    night = run(home, NEXT)
    assert stat.S_IMODE((home / "state").stat().st_mode) == 0o700
    assert stat.S_IMODE((home / FILE).stat().st_mode) == 0o600
    return row(night, "it is its owner's alone again")


@named("a folder of pages that others may not read, under umask 077")
def _private_pages(_: Stage, folder: Path) -> Row:
    old = os.umask(0o077)
    try:
        home = at(folder)
        night = run(home, NEXT)
    finally:
        os.umask(old)
    site = (home / "output" / "site").resolve()
    assert all(not path.stat().st_mode & 0o077 for path in site.rglob("*"))
    return row(night, "pages are made with the rights that the umask leaves")


# A calendar that is suddenly empty ----------------------------------------------------------


@named("a calendar is emptied, and that is right")
def _emptied(stage: Stage, _: Path) -> Row:
    home = stage.another()
    shown = home.edition
    home.edit()
    home.web[SECRET_PATH] = home.feed_answer(calendar().encode())
    first = home.night()
    (line,) = first.about("school")
    again = home.night()
    assert again.about("school") == [line], "it is asked each night until there is an answer"
    assert home.shows("School", shown)
    asked = re.search(r"run: weeksync (.*)$", line)
    assert asked is not None
    accepted = home.night(*asked[1].split())
    assert (accepted.status, accepted.said) == (0, ())
    last = home.night()
    assert (last.status, last.said) == (0, ())
    assert "School" not in home.page()
    return row((first.status, [line]), "until the command has been run; then it is taken as it is")


# Two at once --------------------------------------------------------------------------------


@named("a second run while a night is at work")
def _two_runs(stage: Stage, _: Path) -> Row:
    home = stage.another()
    home.edit()
    with Held(home) as held:
        with patch("weeksync.workflow.nightly.WAIT", 0.2), patch("weeksync.cli.runs.WAIT", 0.2):
            second = run(home.folder, home.now.isoformat(), "pull")
        marked = run(home.folder, home.now.isoformat(), "mark", "walk", "yes")
        assert marked == (0, [])
        assert "walk,2027-03-24" in (home.folder / "marks" / "2027-W12.csv").read_text("utf-8")
        assert held.finish() == (0, "")
    home.edit()
    home.good_night()
    return row(second, "the first one goes on; marks are taken meanwhile and are on the next pages")


@named("a mark on the tablet while a night is at work")
def _served(stage: Stage, _: Path) -> Row:
    home = stage.another()
    with Serving(home.folder, now=home.now.isoformat()) as served:
        home.edit()
        with Held(home) as held:
            code, answer = served.post("/marks", mark_line("walk", "yes"))
            assert (code, answer["new"], answer["refused"]) == (200, 1, [])
            assert "walk,2027-03-24" in (home.folder / "marks" / "2027-W12.csv").read_text("utf-8")
            assert served.get("/2027-W12.html")[0] == 200
            assert held.finish() == (0, "")
        code, said, complaints = served.end()
    assert (code, said) == (0, "")
    home.edit()
    home.good_night()
    return row((code, complaints.splitlines()), "the mark is in its file before it is answered")


@named("a night begun while another is at work")
def _two_nights(stage: Stage, _: Path) -> Row:
    home = stage.another()
    home.edit()
    with Held(home) as first, Held(home, waits=True) as second:
        assert first.finish() == (0, "")
        ended = second.finish()
    assert all(home.shows(word, home.edition) for kind in Kind for word in EVENTS[kind])
    home.edit()
    home.good_night()
    with suppress(FileNotFoundError), Store.open(home.folder / "state", write=False) as store:
        assert all(not one.failed for one in store.states().values())
    return row(
        (ended[0], ended[1].splitlines()),
        "it waits for the first one, up to a minute, and ends well",
    )
