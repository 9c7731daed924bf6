"""The archive on disk: written whole, once, by one of two; set aside and never lost."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import threading
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.read.test_archive import GOLDEN, golden
from weeksync.errors import HouseholdError
from weeksync.household import Archive, keep_closed, set_aside
from weeksync.model.week import IsoWeek

W11 = IsoWeek(2027, 11)
LATER = datetime(2027, 4, 2, 19, tzinfo=UTC)


def names(folder: Path) -> list[str]:
    """What lies in the archive."""
    return sorted(path.name for path in (folder / "archive").iterdir())


def test_a_closed_week_is_read_as_it_was_kept(tmp_path: Path) -> None:
    """For its owner's eyes alone: amounts and check-ins are in it."""
    path = keep_closed(tmp_path, golden())
    assert path == tmp_path / "archive" / "2027-W11.json"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    archive = Archive(tmp_path)
    assert archive.weeks == {W11}
    assert dict(archive) == {W11: golden()}
    assert (W11 in archive, IsoWeek(2027, 12) in archive, len(archive)) == (True, False, 1)
    assert archive.problems == ()


def test_a_household_without_an_archive_has_no_closed_week(tmp_path: Path) -> None:
    """And nothing to say about it."""
    archive = Archive(tmp_path)
    assert (archive.weeks, list(archive), archive.problems) == (frozenset(), [], ())
    assert set_aside(tmp_path, W11, LATER) is None


def test_closed_twice_it_stays_as_it_was_closed_first(tmp_path: Path) -> None:
    """The second record is not written."""
    keep_closed(tmp_path, golden())
    before = (tmp_path / "archive" / "2027-W11.json").read_bytes()
    assert keep_closed(tmp_path, replace(golden(), version="9")) is None
    assert (tmp_path / "archive" / "2027-W11.json").read_bytes() == before


def test_of_runs_that_close_at_once_one_does(tmp_path: Path) -> None:
    """Eight at the same moment: one file, whole, of one of them, and nothing beside it."""
    ready, kept = threading.Barrier(8), []

    def close(number: int) -> None:
        ready.wait()
        kept.append(keep_closed(tmp_path, replace(golden(), version=str(number))))

    threads = [threading.Thread(target=close, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(path is not None for path in kept) == 1
    assert names(tmp_path) == ["2027-W11.json"]
    assert Archive(tmp_path)[W11].version in set("01234567")


def test_reopened_it_leaves_its_trace_and_its_record(tmp_path: Path) -> None:
    """Twice over; what is closed afterwards knows both times."""
    for number, hour in ((1, 19), (2, 20)):
        keep_closed(tmp_path, golden())
        beside = set_aside(tmp_path, W11, LATER.replace(hour=hour))
        assert beside == tmp_path / "archive" / f"2027-W11.{number}.json"
        assert stat.S_IMODE(beside.stat().st_mode) == 0o600
        assert Archive(tmp_path).weeks == frozenset()
    keep_closed(tmp_path, golden())
    assert names(tmp_path) == ["2027-W11.1.json", "2027-W11.2.json", "2027-W11.json"]
    closed = Archive(tmp_path)[W11]
    assert closed.reopened == (LATER, LATER.replace(hour=20))
    assert replace(closed, reopened=()) == golden()


def test_a_damaged_record_is_told_and_set_aside_as_it_is(tmp_path: Path) -> None:
    """It counts as closed, is not in the mapping, and not a byte of it is lost."""
    keep_closed(tmp_path, golden())
    path = tmp_path / "archive" / "2027-W11.json"
    path.write_bytes(GOLDEN.read_bytes()[:5_000])
    archive = Archive(tmp_path)
    assert (archive.weeks, list(archive)) == (frozenset({W11}), [])
    (problem,) = archive.problems
    assert problem.place.file == "archive/2027-W11.json"
    assert set_aside(tmp_path, W11, LATER) == tmp_path / "archive" / "2027-W11.1.json"
    assert (tmp_path / "archive" / "2027-W11.1.json").read_bytes() == GOLDEN.read_bytes()[:5_000]


def test_files_of_other_names_are_left_alone(tmp_path: Path) -> None:
    """Copies of editors and of file sync, and a week that there is not."""
    keep_closed(tmp_path, golden())
    for name in ("2027-W11 (copy).json", ".2027-W10.json", "2027-W99.json", "notes.json"):
        (tmp_path / "archive" / name).write_text("{}")
    archive = Archive(tmp_path)
    assert (archive.weeks, archive.problems) == (frozenset({W11}), ())


def test_a_file_in_the_place_of_the_archive_is_told(tmp_path: Path) -> None:
    """Nothing is written over it."""
    (tmp_path / "archive").write_text("mine")
    with pytest.raises(HouseholdError, match="archive"):
        keep_closed(tmp_path, golden())
    assert (tmp_path / "archive").read_text() == "mine"


FULL = """
import os, resource, signal, sys
from pathlib import Path
from tests.read.test_archive import golden
from weeksync.errors import HouseholdError
from weeksync.household import keep_closed, set_aside
from weeksync.model.week import IsoWeek
from datetime import datetime, UTC
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
try:
    if sys.argv[2] == "close":
        keep_closed(Path(sys.argv[1]), golden())
    else:
        set_aside(Path(sys.argv[1]), IsoWeek(2027, 11), datetime.now(UTC))
except HouseholdError as error:
    print(error)
"""
"""A file may not grow over 4 KiB: the system refuses as it does on a full disk, in the middle."""


def without_room(folder: Path, what: str) -> str:
    """What is said where there is no room."""
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(folder), what],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(root)},
    )
    return done.stdout


def test_without_room_the_week_is_not_closed(tmp_path: Path) -> None:
    """Said with the reason; nothing half is left."""
    assert "could not be written" in without_room(tmp_path, "close")
    assert names(tmp_path) == []
    assert keep_closed(tmp_path, golden()) is not None


def test_without_room_the_week_stays_closed(tmp_path: Path) -> None:
    """What is set aside is written before what is closed goes."""
    keep_closed(tmp_path, golden())
    assert "could not be written" in without_room(tmp_path, "reopen")
    assert names(tmp_path) == ["2027-W11.json"]
    assert Archive(tmp_path)[W11] == golden()
