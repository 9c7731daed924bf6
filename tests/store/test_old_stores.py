"""The way up from the state database of every earlier version: nothing is lost on it."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.store.old_stores import (
    FAMILY,
    FIRST,
    SCHOOL,
    SECOND,
    VANISHED,
    put_back,
    stored,
    write_home,
)
from weeksync.store import Store
from weeksync.store.schema import MIGRATIONS
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Status

THIRD = datetime(2027, 3, 25, 4, tzinfo=UTC)
VERSIONS = range(1, len(MIGRATIONS) + 1)
HELD = {name: text.encode() for name, text in {**FAMILY, **VANISHED}.items()}


@pytest.mark.parametrize("version", VERSIONS)
def test_each_version_has_its_stored_database(version: int) -> None:
    """A step that is added needs the database it leaves: python -m tests.store.old_stores."""
    assert stored(version).is_file(), "run: python -m tests.store.old_stores"
    older = sqlite3.connect(":memory:")
    older.executescript(stored(version).read_text("utf-8"))
    assert older.execute("PRAGMA user_version").fetchone() == (version,)
    assert older.execute("SELECT count(*) FROM object").fetchone()[0] >= 4
    older.close()


@pytest.mark.parametrize("write", [True, False], ids=["written to", "only read"])
@pytest.mark.parametrize("version", VERSIONS)
def test_an_older_database_opens_with_all_that_was_in_it(
    version: int, write: bool, tmp_path: Path
) -> None:
    """Objects byte for byte, how each source stands, and what its next pull is handed."""
    file = put_back(version, tmp_path)
    before = file.read_bytes()
    with Store.open(file.parent, write=write) as store:
        held = {one.name: one.content for one in store.objects("family")}
        assert {name: held[name] for name in HELD} == HELD
        assert [one.content for one in store.objects("school")] == [SCHOOL.encode()]
        family, school = (store.states()[name] for name in ("family", "school"))
        assert (family.last_tried, family.last_good, family.failed) == (SECOND, SECOND, False)
        assert (school.last_tried, school.last_good, school.failed) == (SECOND, FIRST, True)
        assert [one.place.source for one in school.problems] == ["school"]
        assert [set(one.tags) for one in store.known("family").values()] == [set(FAMILY)]
        uids = {group.uid for groups in store.groups("family").values() for group in groups}
        assert uids == {"choir@home.arpa", "dentist@home.arpa"}
        now = store.connection.execute("PRAGMA user_version").fetchone()[0]
        assert now == len(MIGRATIONS)
    assert write or file.read_bytes() == before


@pytest.mark.parametrize("version", VERSIONS)
def test_a_night_after_it_shows_what_was_kept(version: int, tmp_path: Path) -> None:
    """No calendar can be had that night, so all that pages show was in the older database."""
    home = write_home(tmp_path)
    put_back(version, home)
    outcome = nightly(Context.read(home, THIRD))
    assert outcome.status is Status.PROBLEMS
    assert {one.place.source for one in outcome.problems} == {"family", "school"}
    site = home / "output" / "site"
    this, last = ((site / f"2027-W{week}.html").read_text("utf-8") for week in (12, 11))
    assert all(title in this for title in ("Choir", "Dentist", "Museum trip"))
    assert last.count("Book fair") >= 1
    assert "Choir" in last


@pytest.mark.parametrize("version", VERSIONS)
def test_a_night_with_calendars_goes_on_from_it(version: int, tmp_path: Path) -> None:
    """What has not changed is known by its tag, and what had vanished stays kept."""
    home = write_home(tmp_path)
    file = put_back(version, home)
    (home / "family").mkdir()
    for name, text in FAMILY.items():
        (home / "family" / name).write_text(text, "utf-8", newline="")
    (home / "school.ics").write_text(SCHOOL, "utf-8", newline="")
    outcome = nightly(Context.read(home, THIRD))
    assert {one for one in outcome.problems if one.counts} == set()
    with Store.open(file.parent, write=False) as store:
        assert set(HELD) <= {one.name for one in store.objects("family")}
        assert all(state.last_good == THIRD for state in store.states().values())
