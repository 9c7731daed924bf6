"""State databases as each version of the schema left them, and the household they are of.

    python -m tests.store.old_stores

makes `data/store-v<n>.sql` for each version that has none; those that are there are never made
anew. Run it when a step has been added to `MIGRATIONS`: the version it makes is then the one that
the next step starts from. What is in them was brought by two nights of `write_home`: a folder of
calendar files of which one has since vanished, and a file that could not be read the second time.
"""

from __future__ import annotations

import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from tests.support.households import calendar, event, write_household
from weeksync.store.schema import MIGRATIONS, Migration, migrate
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly

DATA = Path(__file__).with_name("data")
FIRST = datetime(2027, 3, 23, 4, tzinfo=UTC)
SECOND = datetime(2027, 3, 24, 4, tzinfo=UTC)
_CONFIG = """
[[calendars]]
id = "family"
path = "family"
person = "ann"

[[calendars]]
id = "school"
path = "school.ics"
"""
FAMILY = {
    "choir.ics": calendar(
        event("choir@home.arpa", "20270107T190000", "Choir", "RRULE:FREQ=WEEKLY;BYDAY=TH")
    ),
    "dentist.ics": calendar(event("dentist@home.arpa", "20270326T093000", "Dentist")),
}
VANISHED = {"fair.ics": calendar(event("fair@home.arpa", "20270316T140000", "Book fair"))}
"""A file that was taken away after its day: the store keeps what it held."""
SCHOOL = calendar(event("trip@school.arpa", "20270325T080000", "Museum trip", "COLOR:not one"))


def write_home(folder: Path) -> Path:
    """The household without its calendars: what it shows can only come from the store."""
    return write_household(folder, _CONFIG)


def stored(version: int) -> Path:
    """The database of that version, as SQL."""
    return DATA / f"store-v{version}.sql"


def put_back(version: int, folder: Path) -> Path:
    """Make the state of that version in a household; the database file."""
    state = folder / "state"
    state.mkdir(mode=0o700)
    file = state / "store.sqlite3"
    connection = sqlite3.connect(file)
    connection.executescript(stored(version).read_text("utf-8"))
    connection.close()
    return file


def _two_nights(folder: Path) -> Path:
    """The household after both, with the database of today's code."""
    home = write_home(folder)
    (home / "family").mkdir()
    for name, text in {**FAMILY, **VANISHED}.items():
        (home / "family" / name).write_text(text, "utf-8", newline="")
    (home / "school.ics").write_text(SCHOOL, "utf-8", newline="")
    nightly(Context.read(home, FIRST))
    for name in VANISHED:
        (home / "family" / name).unlink()
    (home / "school.ics").unlink()
    nightly(Context.read(home, SECOND))
    return home / "state" / "store.sqlite3"


def _as_of(file: Path, steps: Sequence[Migration]) -> sqlite3.Connection:
    """What a database holds, in the tables and columns that there are after these steps."""
    older = sqlite3.connect(":memory:", isolation_level=None)
    migrate(older, steps)
    older.execute("ATTACH ? AS newer", (str(file),))
    for (table,) in older.execute("SELECT name FROM main.sqlite_schema WHERE type = 'table'"):
        here, there = (
            [row[1] for row in older.execute(f"PRAGMA {schema}.table_info({table})")]
            for schema in ("main", "newer")
        )
        columns = ", ".join(f'"{name}"' for name in here if name in there)
        if columns:
            older.execute(
                f"INSERT INTO main.{table} ({columns}) SELECT {columns} FROM newer.{table}"  # noqa: S608
            )
    older.execute("DETACH newer")
    return older


def main() -> int:
    """Make what is missing."""
    missing = [one for one in range(1, len(MIGRATIONS) + 1) if not stored(one).exists()]
    if not missing:
        print("every version has its database")
        return 0
    scratch = Path(tempfile.mkdtemp())
    try:
        file = _two_nights(scratch / "home")
        for version in missing:
            older = _as_of(file, MIGRATIONS[:version])
            lines = [*older.iterdump(), f"PRAGMA user_version = {version};"]
            text = "\n".join(lines).replace(str(scratch), "/home/ann")
            stored(version).write_text(text + "\n", "utf-8")
            print(f"made {stored(version).name}")
    finally:
        shutil.rmtree(scratch)
    return 0


if __name__ == "__main__":
    sys.exit(main())
