"""What can still be read of a damaged database: objects whose bytes are what was once stored.

A calendar whose server is down on the very night on which the database breaks would otherwise
be gone from the pages. Every object is held against the SHA-256 that was noted beside it, so
nothing is taken over that damage has changed.
"""

from __future__ import annotations

import hashlib
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

from weeksync.lazy import dataclass
from weeksync.model.pulled import RawObject
from weeksync.store import pieces

_UNREADABLE = (sqlite3.Error, zlib.error, ValueError, TypeError, OverflowError)


@dataclass(frozen=True, slots=True)
class Saved:
    """One object of the last good copy of a source; `kept`: the source itself has it no more.

    `title` and `colour` are the collection's; `last_good` is when the source was last pulled well.
    """

    source: str
    collection: str
    title: str
    colour: str
    last_good: datetime
    kept: bool
    raw: RawObject


def salvage(file: Path) -> Iterator[Saved]:
    """The objects of a database that can be read and are whole; none where nothing can be."""
    if not file.exists():
        return
    try:
        connection = sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)
    except _UNREADABLE:
        return
    with closing(connection):
        try:
            numbers = [int(one) for (one,) in connection.execute("SELECT object FROM content")]
        except _UNREADABLE:
            numbers = []
        for number in numbers:
            saved = _saved(connection, number)
            if saved is not None:
                yield saved


def _saved(connection: sqlite3.Connection, number: int) -> Saved | None:
    try:
        row = connection.execute(
            "SELECT s.name, c.name, c.title, c.colour, s.last_good, o.kept, o.name, o.tag,"
            " o.digest, o.id, b.packed, b.bytes FROM object o"
            " JOIN collection c ON c.id = o.collection JOIN source s ON s.id = c.source"
            " JOIN content b ON b.object = o.id WHERE o.id = ?",
            (number,),
        ).fetchone()
        if row is None:
            return None
        *names, last_good, kept, name, tag, digest, number, packed, content = row
        if packed == pieces.PACKED:
            whole = pieces.whole(connection, number)
        else:
            whole = zlib.decompress(content) if packed else bytes(content)
        if hashlib.sha256(whole).hexdigest() != digest:
            return None
        source, collection, title, colour = map(str, names)
        good = datetime.fromisoformat(last_good)
        raw = RawObject(str(name), str(tag), whole)
        return Saved(source, collection, title, colour, good, bool(kept), raw)
    except _UNREADABLE:
        return None
