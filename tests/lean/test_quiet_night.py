"""Nights in which nothing has changed: what they say, and that no change is missed."""

from __future__ import annotations

import fcntl
import json
import math
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.lean import CLOCKS_APART, NOTE, quiet_night
from weeksync.lean.night import put
from weeksync.lean.note import read
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.quiet import note_quiet

FIRST, LATER = "2027-03-24T04:00:05+00:00", "2027-03-24T07:31:59+00:00"
UNTIL = datetime.fromisoformat("2027-03-24T08:00:00+00:00")
"""The hours that can be planned begin at eight in the demo household."""
LONG_AGO_ENOUGH = math.inf
"""As if the night had begun after everything was written."""


def at(moment: str) -> datetime:
    """That instant."""
    return datetime.fromisoformat(moment)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household after a night."""
    folder = demo.copy_to(tmp_path_factory.mktemp("quiet") / "home")
    outcome = nightly(Context.read(folder, at(FIRST)), started=LONG_AGO_ENOUGH)
    assert not outcome.problems
    assert read(str(folder / "state")) is not None
    return folder


@pytest.fixture
def home(made: Path) -> Iterator[Path]:
    """The same with a note that fits it as it is now; what a test changes is put right after it."""
    kept = made.parent / "kept"
    shutil.copytree(made, kept, symlinks=True)
    context = Context.read(made, at(FIRST), give_ids=False)
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
    yield made
    shutil.rmtree(made)
    kept.rename(made)


def asked(home: Path, now: str = LATER, *more: str) -> int | None:
    """A night's words at an instant."""
    return quiet_night(["--household", str(home), f"--now={now}", *more])


def files(folder: Path) -> dict[str, bytes]:
    """All that is shown, and the store's times."""
    found = {}
    for tree in ("site", "own"):
        for path in sorted((folder / "output" / tree).resolve().rglob("*")):
            if path.is_file():
                found[f"{tree}/{path.name}"] = path.read_bytes()
    with Store.open(folder / "state", write=False) as store:
        found |= {name: repr(state).encode() for name, state in store.states().items()}
    return found


def test_a_quiet_night_says_what_a_whole_one_would(home: Path, tmp_path: Path) -> None:
    """Pages, status and store are byte for byte those of a night that ran through."""
    before = files(home)
    assert asked(home) == 0
    quiet = files(home)
    assert quiet != before
    assert b"24 Mar 2027, 07:31" in quiet["site/index.html"]
    assert b"04:00" not in quiet["site/problems.html"]
    assert not nightly(Context.read(home, at(LATER))).problems
    assert files(home) == quiet


@pytest.mark.parametrize("nights", [1, 2], ids=["once", "again at the same instant"])
def test_a_night_that_made_few_pages_looks_through_few(home: Path, nights: int) -> None:
    """The files that say when it looked are found among those it made: the same as among all.

    Done again, as after one that was killed, there are pages that say so already.
    """
    (home / "notes.md").write_text("# Nothing that is on a page\n")
    for _ in range(nights):
        assert not nightly(Context.read(home, at(LATER)), started=LONG_AGO_ENOUGH).problems
    few = read(str(home / "state"))
    context = Context.read(home, at(LATER), give_ids=False)
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
    every = read(str(home / "state"))
    assert few is not None
    assert every is not None
    assert few.dated == every.dated
    assert len(few.dated) > 3


def test_rights_of_pages_stay(home: Path) -> None:
    """Whoever may read the pages may read them the next morning."""
    page = (home / "output" / "site").resolve() / "index.html"
    page.chmod(0o664)
    context = Context.read(home, at(FIRST), give_ids=False)
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
    before = os.umask(0o077)
    try:
        assert asked(home) == 0
    finally:
        os.umask(before)
    assert page.stat().st_mode & 0o777 == 0o664


def test_a_link_in_the_place_of_what_is_put_down_is_not_followed(tmp_path: Path) -> None:
    """A folder of pages may be written by others, too; whose file is written is the page."""
    victim, page = tmp_path / "victim", tmp_path / "index.html"
    victim.write_text("whole")
    page.write_text("a page")
    (tmp_path / ".index.html.tmp").symlink_to(victim)
    put(str(page), b"the page")
    assert victim.read_text() == "whole"
    assert page.read_text() == "the page"
    assert not page.is_symlink()
    assert {one.name for one in tmp_path.iterdir()} == {"victim", "index.html"}


def test_one_quiet_night_follows_another(home: Path) -> None:
    """Also at the same instant."""
    assert [asked(home), asked(home), asked(home, "2027-03-24T07:32:00Z")] == [0, 0, 0]
    assert b'"2027-03-24T07:32:00+00:00"' in files(home)["site/status.js"]


def _edited(path: Path) -> None:
    """One letter, with size and time of change as they were."""
    about, content = path.stat(), path.read_bytes()
    path.write_bytes(content[:-2] + b"#" + content[-1:])
    os.utime(path, ns=(about.st_atime_ns, about.st_mtime_ns))


def _damaged(path: Path) -> None:
    path.write_text("{")


def _of_no_moment(path: Path) -> None:
    path.write_text(json.dumps(json.loads(path.read_text()) | {"until": None}))


def _in_store(home: Path) -> None:
    with sqlite3.connect(home / "state" / "store.sqlite3") as store:
        store.execute("UPDATE source SET problems = '[1]'")
    store.close()


CHANGES: dict[str, Callable[[Path], object]] = {
    "tasks": lambda home: _edited(home / "tasks.toml"),
    "config": lambda home: _edited(home / "config.toml"),
    "calendar": lambda home: _edited(next((home / "calendars").glob("*.ics"))),
    "new calendar file": lambda home: (home / "calendars" / "new.ics").write_text(""),
    "new marks": lambda home: (home / "marks" / "2027-W13.csv").write_text(""),
    "check-in gone": lambda home: next((home / "check-ins").glob("*.md")).unlink(),
    "a closed week": lambda home: _closed(home),
    "page": lambda home: _edited(home / "output" / "site" / "2027-W12.html"),
    "page gone": lambda home: (home / "output" / "own" / "index.html").unlink(),
    "link elsewhere": lambda home: _elsewhere(home / "output" / "site"),
    "store": _in_store,
    "store gone": lambda home: (home / "state" / "store.sqlite3").unlink(),
    "log of the store": lambda home: (home / "state" / "store.sqlite3-wal").write_bytes(b"x"),
    "note damaged": lambda home: _damaged(home / "state" / NOTE),
    "note of no moment": lambda home: _of_no_moment(home / "state" / NOTE),
    "a pipe": lambda home: os.mkfifo(home / "pipe"),
    "note gone": lambda home: (home / "state" / NOTE).unlink(),
}


def _closed(home: Path) -> None:
    (home / "archive").mkdir(exist_ok=True)
    (home / "archive" / "2027-W11.json").write_text("{}")


def _elsewhere(link: Path) -> None:
    target = link.readlink()
    link.unlink()
    link.symlink_to(target.parent.parent / "0" / target.name)


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_has_changed_the_night_runs(home: Path, change: str) -> None:
    """And nothing is touched by having looked."""
    CHANGES[change](home)
    note = (home / "state" / NOTE).read_bytes() if (home / "state" / NOTE).exists() else b""
    status = (home / "output" / "site" / "status.js").resolve()
    said = status.read_bytes() if status.exists() else b""
    assert asked(home) is None
    assert (home / "state" / NOTE).exists() == bool(note)
    if note:
        assert (home / "state" / NOTE).read_bytes() == note
    assert (status.read_bytes() if status.exists() else b"") == said


@pytest.mark.parametrize(
    "now", ["2027-03-25T04:00:00Z", "2027-03-24T08:00:00Z", "2027-03-24T04:00:04Z", "tomorrow"]
)
def test_another_hour_and_a_clock_set_back_are_no_quiet_night(home: Path, now: str) -> None:
    """Proposals move with the day; and what was seen later cannot be told to be from before."""
    assert asked(home, now) is None


def test_a_clock_that_ran_ahead_for_a_night_and_came_back(home: Path) -> None:
    """Two whole nights, then there is quiet again, on the pages of the right day."""
    ahead = "2031-01-01T00:00:30+00:00"
    assert asked(home, ahead) is None
    assert not nightly(Context.read(home, at(ahead)), started=LONG_AGO_ENOUGH).problems
    assert asked(home, FIRST) is None
    assert not nightly(Context.read(home, at(FIRST)), started=LONG_AGO_ENOUGH).problems
    assert asked(home) == 0
    assert "site/2027-W12.html" in files(home)


@pytest.mark.parametrize("seconds", [3600.0, -3600.0])
def test_a_clock_that_is_set_while_a_night_runs_leaves_no_note(
    home: Path, monkeypatch: pytest.MonkeyPatch, seconds: float
) -> None:
    """What was edited meanwhile may bear an earlier time than the night's beginning."""
    monkeypatch.setattr("weeksync.workflow.quiet.CLOCKS_APART", CLOCKS_APART + seconds)
    context = Context.read(home, at(FIRST), give_ids=False)
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
    assert not (home / "state" / NOTE).exists()


@pytest.mark.parametrize("more", [["--help"], ["--verbose"], ["--household"], ["other"]])
def test_other_words_are_for_the_whole_command(home: Path, more: list[str]) -> None:
    """It knows its options and explains what is wrong with them."""
    assert asked(home, LATER, *more) is None


def test_who_watches_is_told(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At a terminal the command says where the pages are."""
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    assert asked(home) is None


def test_another_run_is_waited_for_by_the_whole_command(home: Path) -> None:
    """Nothing is written while it writes."""
    with (home / "state" / "lock").open("r+b") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        assert asked(home) is None
    assert asked(home) == 0


def test_what_weeksync_is_made_of_counts(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new version of it, of Python or of zone data makes new pages."""
    monkeypatch.setattr(sys, "version", "3.99")
    assert asked(home) is None


@pytest.mark.parametrize("broken", range(1, 8))
def test_cut_short_anywhere_it_leaves_whole_files_and_a_whole_night_next(
    home: Path, monkeypatch: pytest.MonkeyPatch, broken: int
) -> None:
    """A full disk at each of its writes; what was not reached stays as it was."""
    before, count, real = files(home), 0, os.replace

    def replace(old: str, new: str) -> None:
        nonlocal count
        count += 1
        if count == broken:
            raise OSError(28, "No space left on device")
        real(old, new)

    monkeypatch.setattr(os, "replace", replace)
    status = asked(home)
    monkeypatch.undo()
    after = files(home)
    assert set(after) == set(before)
    assert all(len(after[one]) == len(before[one]) for one in before if "/" in one)
    assert (status, asked(home)) == ((None, None) if count >= broken else (0, 0))


def test_a_household_edited_while_the_night_ran_is_looked_at_again(home: Path) -> None:
    """What was written after the night had begun may not be on its pages."""
    context = Context.read(home, at(FIRST), give_ids=False)
    (home / "tasks.toml").touch()
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), datetime.now(UTC).timestamp(), UNTIL)
    assert not (home / "state" / NOTE).exists()


def test_a_copied_household_is_not_taken_for_the_one_it_was_copied_from(
    home: Path, tmp_path: Path
) -> None:
    """Its note speaks of the other's files and pages, and these are nobody's here."""
    copy = tmp_path / "copy"
    shutil.copytree(home, copy, symlinks=True)
    before = files(home)
    assert asked(copy) is None
    assert files(home) == before
    assert asked(home) == 0


def test_hidden_templates_leave_no_note(home: Path) -> None:
    """The look passes over what is hidden, and a page may include it all the same."""
    text = (home / "config.toml").read_text()
    own = '[site]\ntemplates = "mine"\n'
    (home / "config.toml").write_text(text.replace("[site]\n", own, 1))
    (home / "mine").mkdir()
    context = Context.read(home, at(FIRST), give_ids=False)
    for hidden in (False, True):
        if hidden:
            (home / "mine" / ".part.html").write_text("")
        with open_store(context) as store:
            note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
        assert (read(str(home / "state")) is None) == hidden


def test_a_night_with_problems_leaves_no_note(home: Path) -> None:
    """Its complaint has to be made each night, until it is seen to."""
    (home / "tasks.toml").write_text("format = 1\n[[tasks]]\ntitle = 3\n")
    assert nightly(Context.read(home, at(LATER)), started=LONG_AGO_ENOUGH).problems
    assert not (home / "state" / NOTE).exists()


def test_what_a_server_has_can_only_be_asked(home: Path) -> None:
    """With one calendar that is no file every night runs."""
    config = (home / "config.toml").read_text()
    place = config.index("path = ")
    line = config[place : config.index("\n", place)]
    (home / "config.toml").write_text(config.replace(line, 'url = "http://127.0.0.1:9/x.ics"', 1))
    context = Context.read(home, at(FIRST), give_ids=False)
    with open_store(context) as store:
        note_quiet(context, store, Outcome(()), LONG_AGO_ENOUGH, UNTIL)
    assert not (home / "state" / NOTE).exists()


def test_the_command_needs_the_standard_library_only(home: Path) -> None:
    """Seen from the process itself: nothing of pages, calendars or settings is imported."""
    program = (
        "import sys; from weeksync.cli import main; status = main(sys.argv[1:]); "
        "print(status, *sorted(one for one in sys.modules if one.startswith('weeksync')), "
        "*({'pydantic', 'jinja2', 'babel', 'icalendar', 'argparse'} & set(sys.modules)))"
    )
    words = ["nightly", "--household", str(home), "--now", LATER]
    done = subprocess.run(
        [sys.executable, "-c", program, *words], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == [
        "0", "weeksync", "weeksync.cli", "weeksync.lean", "weeksync.lean.doubt",
        "weeksync.lean.night", "weeksync.lean.note", "weeksync.lean.prints",
    ]  # fmt: skip
    assert done.stderr == ""
