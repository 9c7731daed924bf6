"""Snapshots in a household folder: kept whole, one for a week, read with the rest."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support.readings import CONFIG
from weeksync.errors import HouseholdError
from weeksync.household import read_household, write_snapshot
from weeksync.model.snapshot import Snapshot
from weeksync.model.week import IsoWeek

PRINTED = datetime(2027, 3, 21, 18, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A household with nothing but its configuration."""
    (tmp_path / "config.toml").write_text(CONFIG)
    return tmp_path


def snapshot(week: str, hour: int = 18) -> Snapshot:
    """An empty snapshot of a week, taken at that hour."""
    return Snapshot(format=1, week=week, taken_at=PRINTED.replace(hour=hour))


def test_a_snapshot_is_kept_and_read(folder: Path) -> None:
    """The folder is made where it is missing; the later snapshot of a week takes the place."""
    write_snapshot(folder, snapshot("2027-W12"))
    path = write_snapshot(folder, snapshot("2027-W12", 19))
    write_snapshot(folder, snapshot("2027-W13"))
    assert path == folder / "snapshots" / "2027-W12.json"
    files = read_household(folder)
    assert files.problems == ()
    assert files.snapshots == {
        IsoWeek(2027, 12): snapshot("2027-W12", 19),
        IsoWeek(2027, 13): snapshot("2027-W13"),
    }
    assert {"snapshots/2027-W12.json", "snapshots/2027-W13.json"} <= files.digests.keys()
    assert sorted(one.name for one in path.parent.iterdir()) == ["2027-W12.json", "2027-W13.json"]


def test_a_broken_snapshot_costs_itself_alone(folder: Path) -> None:
    """It is told with its place among the problems of the household; the others are used."""
    write_snapshot(folder, snapshot("2027-W12")).write_text("{")
    write_snapshot(folder, snapshot("2027-W13"))
    files = read_household(folder)
    (problem,) = files.problems
    assert problem.place.file == "snapshots/2027-W12.json"
    assert list(files.snapshots) == [IsoWeek(2027, 13)]


def test_a_place_that_cannot_be_written_is_told(folder: Path) -> None:
    """A file in place of the folder is an error that names it."""
    (folder / "snapshots").write_text("mine")
    with pytest.raises(HouseholdError, match="snapshots"):
        write_snapshot(folder, snapshot("2027-W12"))
    assert (folder / "snapshots").read_text() == "mine"
