"""The tables of the state database, and the steps that bring an older one up to date.

`PRAGMA user_version` counts the steps a database has been through. A step that has been
released is never edited: a change is a new step at the end of `MIGRATIONS`.

Instants are ISO 8601 in UTC, days are ISO 8601 dates: they sort as text and read well in any
SQLite tool. Objects are numbered so that fifty thousand rows do not repeat the names of their
source and collection.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from weeksync.errors import StoreTooNew
from weeksync.message import message

Migration = tuple[str, ...]
"""The statements of one step, run together in one transaction."""

_FIRST: Migration = (
    """
    CREATE TABLE source (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL UNIQUE,
        last_tried TEXT,
        last_good TEXT,
        failed INTEGER NOT NULL DEFAULT 0,
        problems TEXT NOT NULL DEFAULT '[]'
    )
    """,
    """
    CREATE TABLE collection (
        id INTEGER PRIMARY KEY,
        source INTEGER NOT NULL REFERENCES source ON DELETE CASCADE,
        name TEXT NOT NULL,
        title TEXT NOT NULL,
        colour TEXT NOT NULL,
        token TEXT NOT NULL,
        UNIQUE (source, name)
    )
    """,
    # kept: gone from the source after its last day; shown in past weeks, unknown to the pull.
    """
    CREATE TABLE object (
        id INTEGER PRIMARY KEY,
        collection INTEGER NOT NULL REFERENCES collection ON DELETE CASCADE,
        name TEXT NOT NULL,
        tag TEXT NOT NULL,
        digest TEXT NOT NULL,
        pulled_at TEXT NOT NULL,
        kept INTEGER NOT NULL DEFAULT 0,
        UNIQUE (collection, name)
    )
    """,
    # Apart from `object`, so that listing tags does not read through megabytes of text.
    """
    CREATE TABLE content (
        object INTEGER PRIMARY KEY REFERENCES object ON DELETE CASCADE,
        packed INTEGER NOT NULL,
        bytes BLOB NOT NULL
    )
    """,
    """
    CREATE TABLE uid_group (
        object INTEGER NOT NULL REFERENCES object ON DELETE CASCADE,
        position INTEGER NOT NULL,
        uid TEXT NOT NULL,
        digest TEXT NOT NULL,
        first_day TEXT,
        last_day TEXT,
        components INTEGER NOT NULL,
        PRIMARY KEY (object, position)
    ) WITHOUT ROWID
    """,
    "CREATE INDEX uid_group_uid ON uid_group (uid)",
    # No reference to `source`: what was entered by hand is expanded under the source "".
    """
    CREATE TABLE expansion (
        id INTEGER PRIMARY KEY,
        source TEXT NOT NULL UNIQUE,
        key TEXT NOT NULL,
        start TEXT NOT NULL,
        "end" TEXT NOT NULL,
        zone TEXT NOT NULL,
        problems TEXT NOT NULL
    )
    """,
    # What all occurrences of a series share is kept once.
    """
    CREATE TABLE detail (
        expansion INTEGER NOT NULL REFERENCES expansion ON DELETE CASCADE,
        number INTEGER NOT NULL,
        payload TEXT NOT NULL,
        PRIMARY KEY (expansion, number)
    ) WITHOUT ROWID
    """,
    """
    CREATE TABLE occurrence (
        expansion INTEGER NOT NULL REFERENCES expansion ON DELETE CASCADE,
        position INTEGER NOT NULL,
        first_day TEXT NOT NULL,
        last_day TEXT NOT NULL,
        detail INTEGER NOT NULL,
        identity TEXT NOT NULL,
        start TEXT NOT NULL,
        "end" TEXT NOT NULL,
        PRIMARY KEY (expansion, position)
    ) WITHOUT ROWID
    """,
    "CREATE INDEX occurrence_days ON occurrence (expansion, last_day, first_day)",
    """
    CREATE TABLE todo (
        expansion INTEGER NOT NULL REFERENCES expansion ON DELETE CASCADE,
        position INTEGER NOT NULL,
        payload TEXT NOT NULL,
        PRIMARY KEY (expansion, position)
    ) WITHOUT ROWID
    """,
    "CREATE TABLE page_digest (page TEXT PRIMARY KEY, digest TEXT NOT NULL) WITHOUT ROWID",
    "CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
)

_SPENT: Migration = (
    # What an expansion took of the limits of its run: occurrences, steps, entries.
    "ALTER TABLE expansion ADD COLUMN spent TEXT NOT NULL DEFAULT '0 0 0'",
)

_UNITS: Migration = (
    # What pages were made from. All of it can be made again; a row that is missing means that.
    """
    CREATE TABLE unit (
        name TEXT PRIMARY KEY,
        key TEXT NOT NULL,
        made_of TEXT NOT NULL,
        pages TEXT NOT NULL,
        gist TEXT NOT NULL
    ) WITHOUT ROWID
    """,
)

_TOUCHED_GROUP = (
    "{row}.uid FROM object o JOIN collection c ON c.id = o.collection WHERE o.id = {row}.object"
)
_TOUCHED_OBJECT = "'' FROM collection c WHERE c.id = new.collection"
_TOUCHING = (
    ("group_in", "AFTER INSERT ON uid_group", _TOUCHED_GROUP.format(row="new")),
    ("group_out", "AFTER DELETE ON uid_group", _TOUCHED_GROUP.format(row="old")),
    (
        "group_new",
        "AFTER UPDATE OF uid, digest, first_day, last_day, components ON uid_group",
        _TOUCHED_GROUP.format(row="new"),
    ),
    ("object_in", "AFTER INSERT ON object", _TOUCHED_OBJECT),
    ("object_new", "AFTER UPDATE OF name, digest ON object", _TOUCHED_OBJECT),
    # Before they are gone: their groups go with them, and then nothing says whose they were.
    (
        "object_out",
        "BEFORE DELETE ON object",
        "g.uid FROM collection c JOIN (SELECT '' AS uid UNION ALL"
        " SELECT uid FROM uid_group WHERE object = old.id) g WHERE c.id = old.collection",
    ),
    (
        "collection_out",
        "BEFORE DELETE ON collection",
        "g.uid FROM (SELECT old.source AS source, old.name AS name) c JOIN"
        " (SELECT '' AS uid UNION ALL SELECT uid FROM uid_group"
        " WHERE object IN (SELECT id FROM object WHERE collection = old.id)) g",
    ),
)
"""(name, event, what it touches: the rest of a SELECT after the source and the collection)"""

_PARTS: Migration = (
    # Expansions part by part, a part being what one UID gives. What was kept before is made anew.
    "DROP TABLE occurrence",
    "DROP TABLE detail",
    "DROP TABLE todo",
    "DROP TABLE expansion",
    # days: a sum for each day from `start` on (see `day_sums`); rest: the digest of the others.
    """
    CREATE TABLE expansion (
        id INTEGER PRIMARY KEY,
        source TEXT NOT NULL UNIQUE,
        key TEXT NOT NULL,
        start TEXT NOT NULL,
        "end" TEXT NOT NULL,
        zone TEXT NOT NULL,
        plain INTEGER NOT NULL,
        zones TEXT NOT NULL,
        problems TEXT NOT NULL,
        spent TEXT NOT NULL,
        days BLOB NOT NULL,
        rest BLOB NOT NULL
    )
    """,
    # place: its rank among the parts that have to-dos or problems; the others are found by day.
    """
    CREATE TABLE part (
        id INTEGER PRIMARY KEY,
        expansion INTEGER NOT NULL REFERENCES expansion ON DELETE CASCADE,
        collection TEXT NOT NULL,
        uid TEXT NOT NULL,
        first_day TEXT,
        last_day TEXT,
        fine INTEGER NOT NULL,
        room INTEGER NOT NULL,
        steps INTEGER NOT NULL,
        place INTEGER,
        digest BLOB NOT NULL
    )
    """,
    "CREATE INDEX part_name ON part (expansion, uid, collection)",
    "CREATE INDEX part_uid ON part (uid)",
    "CREATE INDEX part_place ON part (expansion, place) WHERE place IS NOT NULL",
    # What all occurrences of a series share is kept once.
    """
    CREATE TABLE detail (
        part INTEGER NOT NULL REFERENCES part ON DELETE CASCADE,
        number INTEGER NOT NULL,
        payload TEXT NOT NULL,
        PRIMARY KEY (part, number)
    ) WITHOUT ROWID
    """,
    # moment: what they are sorted by (see `rows.moment_number`).
    """
    CREATE TABLE occurrence (
        part INTEGER NOT NULL REFERENCES part ON DELETE CASCADE,
        number INTEGER NOT NULL,
        expansion INTEGER NOT NULL,
        moment INTEGER NOT NULL,
        first_day TEXT NOT NULL,
        last_day TEXT NOT NULL,
        detail INTEGER NOT NULL,
        identity TEXT NOT NULL,
        start TEXT NOT NULL,
        "end" TEXT NOT NULL,
        PRIMARY KEY (part, number)
    ) WITHOUT ROWID
    """,
    "CREATE INDEX occurrence_days ON occurrence (expansion, last_day, first_day)",
    """
    CREATE TABLE todo (
        part INTEGER NOT NULL REFERENCES part ON DELETE CASCADE,
        number INTEGER NOT NULL,
        payload TEXT NOT NULL,
        PRIMARY KEY (part, number)
    ) WITHOUT ROWID
    """,
    """
    CREATE TABLE part_problem (
        part INTEGER PRIMARY KEY REFERENCES part ON DELETE CASCADE,
        payload TEXT NOT NULL
    )
    """,
    # What has changed since the expansion of its source was made: the UID of a group that came,
    # went or changed, "" for an object. Noted by the database itself, whoever changes it. No
    # reference to `source`: what goes with its source is noted after that.
    """
    CREATE TABLE touched (
        source INTEGER NOT NULL,
        collection TEXT NOT NULL,
        uid TEXT NOT NULL,
        PRIMARY KEY (source, collection, uid)
    ) WITHOUT ROWID
    """,
    *(
        f"""
        CREATE TRIGGER touched_{name} {event} WHEN EXISTS (SELECT 1 FROM expansion) BEGIN
            INSERT OR IGNORE INTO touched SELECT c.source, c.name, {what};
        END
        """  # noqa: S608 - the names are those above
        for name, event, what in _TOUCHING
    ),
)

_BLOCKS: Migration = (
    # The texts of an object's groups, packed: number 0 is their head, block n has number n + 1.
    # Filled where an object is indexed; one that has none is read whole.
    """
    CREATE TABLE block (
        id INTEGER PRIMARY KEY,
        object INTEGER NOT NULL REFERENCES object ON DELETE CASCADE,
        number INTEGER NOT NULL,
        digest BLOB NOT NULL,
        bytes BLOB NOT NULL
    )
    """,
    "CREATE UNIQUE INDEX block_number ON block (object, number)",
)

_PIECES: Migration = (
    # A large text in pieces, packed; then `content` has packed = 2 and no bytes of its own. Those
    # that are stored whole become pieces when they are indexed anew.
    "DROP TABLE block",
    """
    CREATE TABLE piece (
        id INTEGER PRIMARY KEY,
        object INTEGER NOT NULL REFERENCES object ON DELETE CASCADE,
        number INTEGER NOT NULL,
        size INTEGER NOT NULL,
        digest BLOB NOT NULL,
        marks INTEGER NOT NULL,
        entries INTEGER NOT NULL,
        bytes BLOB NOT NULL
    )
    """,
    # All but the bytes, which then are not gone through to list the others.
    "CREATE UNIQUE INDEX piece_number ON piece (object, number, size, digest, marks, entries)",
    # The numbers of the pieces in which a group has more than where it begins.
    "ALTER TABLE uid_group ADD COLUMN others TEXT",
)

MIGRATIONS: tuple[Migration, ...] = (_FIRST, _SPENT, _UNITS, _PARTS, _BLOCKS, _PIECES)
"""Every step there is; a database that has been through all of them is up to date."""


def version_of(connection: sqlite3.Connection) -> int:
    """How many steps the database has been through; 0 for a new one."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def require_known(version: int, steps: Sequence[Migration], file: Path) -> None:
    """Raise StoreTooNew where a later weeksync has written the database."""
    if version > len(steps):
        raise StoreTooNew(
            message(
                "{file} was written by a later weeksync (its version is {found}, this one knows"
                " {known}); update weeksync, or move the file away and pull again",
                file=str(file),
                found=version,
                known=len(steps),
            )
        )


def migrate(connection: sqlite3.Connection, steps: Sequence[Migration] = MIGRATIONS) -> None:
    """Run the steps the database has not been through, each in a transaction of its own."""
    for number in range(version_of(connection), len(steps)):
        connection.execute("BEGIN IMMEDIATE")
        try:
            for statement in steps[number]:
                connection.execute(statement)
            # A pragma takes no parameters; the number is ours.
            connection.execute(f"PRAGMA user_version = {number + 1}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
