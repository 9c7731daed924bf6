"""The texts of an object's groups in the database, so that some can be read without all others.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Collection, Iterable
from hashlib import sha256

from weeksync.model.pulled import IndexedObject

Blocks = tuple[bytes, dict[int, bytes]]
"""The head, and blocks by their number."""


def insert(connection: sqlite3.Connection, numbered: Iterable[tuple[int, IndexedObject]]) -> None:
    """Put in the blocks of objects that have none, each with its number in the database."""
    _insert(
        connection,
        ((number, at, text) for number, one in numbered for at, text in enumerate(one.blocks)),
    )


def replace(connection: sqlite3.Connection, number: int, one: IndexedObject) -> None:
    """Bring the blocks of an object to those of its new text; those that are the same stay."""
    before = dict(
        connection.execute("SELECT number, digest FROM block WHERE object = ?", (number,))
    )
    changed = [
        (number, at, text)
        for at, text in enumerate(one.blocks)
        if before.pop(at, None) != _digest(text)
    ]
    gone = [*before, *(at for _, at, _ in changed)]
    connection.executemany(
        "DELETE FROM block WHERE object = ? AND number = ?", ((number, at) for at in gone)
    )
    _insert(connection, changed)


def load(connection: sqlite3.Connection, number: int, wanted: Collection[int]) -> Blocks | None:
    """The head of an object and these blocks; None where they are not all there."""
    found: dict[int, bytes] = {}
    for at in (-1, *wanted):
        row = connection.execute(
            "SELECT bytes FROM block WHERE object = ? AND number = ?", (number, at + 1)
        ).fetchone()
        if row is None:
            return None
        found[at] = zlib.decompress(row[0])
    return found.pop(-1), found


def _insert(connection: sqlite3.Connection, texts: Iterable[tuple[int, int, bytes]]) -> None:
    connection.executemany(
        "INSERT INTO block (object, number, digest, bytes) VALUES (?, ?, ?, ?)",
        ((number, at, _digest(text), zlib.compress(text, 1)) for number, at, text in texts),
    )


def _digest(text: bytes) -> bytes:
    return sha256(text).digest()[:16]
