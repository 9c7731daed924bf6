"""Large texts in pieces in the database, so that some are read and written without all others.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Callable, Collection, Iterable, Sequence
from contextlib import AbstractContextManager

from weeksync.model.pulled import ROOM, IndexedObject, Piece, PlacedGroup
from weeksync.store import uid_groups
from weeksync.store.faults import Misuse

Reading = Callable[[], AbstractContextManager[object]]
PACKED = 2
"""`content.packed` of a text that is kept in pieces."""


def insert(connection: sqlite3.Connection, numbered: Iterable[tuple[int, IndexedObject]]) -> None:
    """Put in the pieces of objects that have none, each with its number in the database."""
    _insert(connection, ((number, piece) for number, one in numbered for piece in one.pieces))


def replace(connection: sqlite3.Connection, number: int, one: IndexedObject) -> None:
    """Bring the pieces of an object to those of its new text; those that are the same stay."""
    before = {piece.number: piece for piece in _listed(connection, number)}
    changed = [
        piece
        for piece in one.pieces
        if (was := before.pop(piece.number, None)) is None
        or (was.size, was.digest) != (piece.size, piece.digest)
    ]
    gone = [*before, *(piece.number for piece in changed)]
    connection.executemany(
        "DELETE FROM piece WHERE object = ? AND number = ?", ((number, at) for at in gone)
    )
    _insert(connection, ((number, piece) for piece in changed))


def whole(connection: sqlite3.Connection, number: int) -> bytes:
    """The text of an object that is kept in pieces."""
    found = connection.execute(
        "SELECT bytes FROM piece WHERE object = ? ORDER BY number", (number,)
    )
    return b"".join([zlib.decompress(packed) for (packed,) in found])


def some(
    connection: sqlite3.Connection, number: int, places: Iterable[tuple[int, str | None]]
) -> bytes:
    """A text that has the groups of these (position, other pieces) as the whole has them."""
    (first, last) = connection.execute(
        "SELECT min(number), max(number) FROM piece WHERE object = ?", (number,)
    ).fetchone()
    wanted = {first, last}
    for position, others in places:
        wanted |= {position // ROOM, *map(int, (others or "").split())}
    return b"".join(_contents(connection, number, wanted).values())


class KeptPieces:
    """A text as it was stored last; see `calendar.pieces.Before`. `reading` is around each look."""

    def __init__(self, connection: sqlite3.Connection, number: int, reading: Reading) -> None:
        self._connection, self._number, self._reading = connection, number, reading
        with reading():
            self.pieces = _listed(connection, number)

    def groups_in(self, numbers: Collection[int]) -> list[PlacedGroup]:
        """The groups that have anything in these pieces."""
        with self._reading():
            found = [
                one
                for number in numbers
                for one in self._placed(
                    "position >= ? AND position < ?", (number * ROOM, (number + 1) * ROOM)
                )
            ]
            begun = {one.position for one in found}
            found += (
                one
                for one in self._placed("others IS NOT NULL")
                if one.position not in begun and not {*one.others}.isdisjoint(numbers)
            )
            return found

    def groups_of(self, uids: Collection[str]) -> list[PlacedGroup]:
        """The groups of these UIDs."""
        with self._reading():
            return [one for uid in sorted(uids) for one in self._placed("uid = ?", (uid,))]

    def contents(self, numbers: Collection[int]) -> dict[int, bytes]:
        """The bytes of these pieces."""
        with self._reading():
            return _contents(self._connection, self._number, numbers)

    def _placed(self, which: str, values: Sequence[object] = ()) -> list[PlacedGroup]:
        return uid_groups.placed(self._connection, self._number, which, values)


def kept(
    connection: sqlite3.Connection, place: tuple[str, str, str], reading: Reading
) -> KeptPieces | None:
    """What is known of an object by source, collection and name; None where it has no pieces."""
    row = connection.execute(
        "SELECT o.id FROM source s JOIN collection c ON c.source = s.id"
        " JOIN object o ON o.collection = c.id JOIN content b ON b.object = o.id"
        " WHERE s.name = ? AND c.name = ? AND o.name = ? AND b.packed = ? AND o.kept = 0",
        (*place, PACKED),
    ).fetchone()
    return None if row is None else KeptPieces(connection, int(row[0]), reading)


def _listed(connection: sqlite3.Connection, number: int) -> list[Piece]:
    return [
        Piece(*row)
        for row in connection.execute(
            "SELECT number, size, digest, marks, entries FROM piece WHERE object = ?"
            " ORDER BY number",
            (number,),
        )
    ]


def _contents(
    connection: sqlite3.Connection, number: int, wanted: Collection[int]
) -> dict[int, bytes]:
    found = {}
    for at in sorted(wanted):
        (packed,) = connection.execute(
            "SELECT bytes FROM piece WHERE object = ? AND number = ?", (number, at)
        ).fetchone()
        found[at] = zlib.decompress(packed)
    return found


def _insert(connection: sqlite3.Connection, pieces: Iterable[tuple[int, Piece]]) -> None:
    connection.executemany(
        "INSERT INTO piece (object, number, size, digest, marks, entries, bytes)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            (number, one.number, one.size, one.digest, one.marks, one.entries, _packed(one))
            for number, one in pieces
        ),
    )


def _packed(one: Piece) -> bytes:
    if one.content is None:
        raise Misuse(f"piece {one.number} is new and has no content")
    return zlib.compress(one.content, 1)
