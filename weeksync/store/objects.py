"""Raw objects in the database: what is known of a source, and taking over what a pull brought.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime

from weeksync.model.problem import Problem
from weeksync.model.pulled import (
    IndexedObject,
    KnownCollection,
    Pulled,
    PulledCollection,
    SourceState,
    StoredObject,
)
from weeksync.store import pieces, uid_groups
from weeksync.store.faults import Misuse
from weeksync.store.rows import problems_of, problems_text
from weeksync.store.uid_groups import Indexed

_PACK_FROM = 16_384
"""Bytes from which content is compressed: a feed shrinks to a fifth for a tenth of the time of
writing it; objects of a kilobyte only halve, for three times their time."""

MOST_KEPT = 5_000
"""Objects of one source that are kept after they vanished from it: ten a week for ten years."""


def states(connection: sqlite3.Connection) -> dict[str, SourceState]:
    """How every source stands that was ever tried."""
    titles: dict[int, dict[str, str]] = {}
    for source, name, title in connection.execute(
        "SELECT source, name, title FROM collection ORDER BY name"
    ):
        titles.setdefault(source, {})[name] = title
    return {
        name: SourceState(
            name,
            _instant(last_tried),
            _instant(last_good),
            bool(failed),
            problems_of(problems),
            titles.get(number, {}),
        )
        for number, name, last_tried, last_good, failed, problems in connection.execute(
            "SELECT id, name, last_tried, last_good, failed, problems FROM source ORDER BY name"
        )
    }


def known(connection: sqlite3.Connection, source: str) -> dict[str, KnownCollection]:
    """Token and tags of each collection, without the kept objects the source no longer has."""
    tags: dict[str, dict[str, str]] = {}
    tokens: dict[str, str] = {}
    for number, name, token in connection.execute(
        "SELECT c.id, c.name, c.token FROM collection c JOIN source s ON s.id = c.source"
        " WHERE s.name = ? ORDER BY c.name",
        (source,),
    ):
        tokens[name] = token
        tags[name] = dict(
            connection.execute(
                "SELECT name, tag FROM object WHERE collection = ? AND kept = 0", (number,)
            )
        )
    return {name: KnownCollection(token, tags[name]) for name, token in tokens.items()}


def objects(
    connection: sqlite3.Connection, source: str, only: tuple[str, str] | None = None
) -> Iterator[StoredObject]:
    """Every object of a source, kept ones included, by collection and name.

    `only` names the collection and the object where just one is wanted.
    """
    for collection, name, tag, digest, number, packed, content in connection.execute(
        "SELECT c.name, o.name, o.tag, o.digest, o.id, b.packed, b.bytes"
        " FROM source s JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id"
        " JOIN content b ON b.object = o.id WHERE s.name = ?1"
        " AND (?2 IS NULL OR (c.name = ?2 AND o.name = ?3)) ORDER BY c.name, o.name",
        (source, *(only or (None, None))),
    ):
        if packed == pieces.PACKED:
            whole = pieces.whole(connection, number)
        else:
            whole = zlib.decompress(content) if packed else content
        yield StoredObject(source, collection, name, tag, digest, whole)


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """Source → how many objects of it are stored; read from the index of their names alone."""
    return dict(
        connection.execute(
            "SELECT s.name, sum(n.objects) FROM source s JOIN collection c ON c.source = s.id JOIN"
            " (SELECT collection, count(*) AS objects FROM object GROUP BY collection) n"
            " ON n.collection = c.id GROUP BY s.id"
        )
    )


def apply(
    connection: sqlite3.Connection,
    pulled: Pulled,
    indexed: Indexed,
    at: datetime,
    problems: Sequence[Problem],
    kept: Indexed,
) -> None:
    """Take over one pull of one source: objects, tokens and how the source stands."""
    now = text_of(at)
    connection.execute(
        "INSERT INTO source (name, last_tried, last_good, failed, problems) VALUES (?, ?, ?, 0, ?)"
        " ON CONFLICT (name) DO UPDATE SET last_tried = excluded.last_tried,"
        " last_good = excluded.last_good, failed = 0, problems = excluded.problems",
        (pulled.source, now, now, problems_text(problems)),
    )
    source = _source_id(connection, pulled.source)
    _move_kept(connection, source, pulled.collections)
    _drop_collections(connection, source, {one.name for one in pulled.collections})
    by_collection = _by_collection(pulled, indexed)
    remain = _by_collection(pulled, kept, whole=False)
    for one in pulled.collections:
        collection = _save_collection(connection, source, one)
        _drop_gone(connection, collection, one.gone)
        _save_tags(connection, source, one)
        save_objects(connection, collection, by_collection[one.name].values(), now)
        save_objects(connection, collection, remain[one.name].values(), now, kept=True)
    if indexed or kept:
        _drop_replaced(connection, source)
    _drop_oldest_kept(connection, source)


def latest_change(connection: sqlite3.Connection) -> datetime | None:
    """When the last object that is stored was pulled; None where there is none."""
    return _instant(connection.execute("SELECT max(pulled_at) FROM object").fetchone()[0])


def renew(
    connection: sqlite3.Connection,
    source: str,
    collections: Iterable[PulledCollection],
    at: datetime,
    problems: Sequence[Problem],
) -> None:
    """Note that a source was looked at and nothing in it had moved but tokens and tags."""
    connection.execute(
        "UPDATE source SET last_tried = ?1, last_good = ?1, failed = 0, problems = ?2"
        " WHERE name = ?3",
        (text_of(at), problems_text(problems), source),
    )
    number = _source_id(connection, source)
    for one in collections:
        connection.execute(
            "UPDATE collection SET token = ? WHERE name = ? AND source = ?",
            (one.token, one.name, number),
        )
        _save_tags(connection, number, one)


def record_failure(
    connection: sqlite3.Connection, source: str, problems: Sequence[Problem], at: datetime
) -> None:
    """Note that a source was tried and could not be pulled; its last good copy stays."""
    connection.execute(
        "INSERT INTO source (name, last_tried, failed, problems) VALUES (?, ?, 1, ?)"
        " ON CONFLICT (name) DO UPDATE SET last_tried = excluded.last_tried, failed = 1,"
        " problems = excluded.problems",
        (source, text_of(at), problems_text(problems)),
    )


def regroup(connection: sqlite3.Connection, source: str, indexed: Indexed) -> None:
    """Replace the groups of objects that are stored already."""
    numbers = {
        (collection, name): number
        for number, collection, name in connection.execute(
            "SELECT o.id, c.name, o.name FROM source s JOIN collection c ON c.source = s.id"
            " JOIN object o ON o.collection = c.id WHERE s.name = ?",
            (source,),
        )
    }
    known_here = [
        (numbers[collection, one.raw.name], one)
        for collection, one in indexed
        if (collection, one.raw.name) in numbers
    ]
    connection.executemany(
        "UPDATE content SET packed = ?, bytes = ? WHERE object = ?",
        ((*_packed(one), number) for number, one in known_here),
    )
    for number, one in known_here:
        uid_groups.replace(connection, number, one)
        pieces.replace(connection, number, one)


def forget(connection: sqlite3.Connection, keep: Collection[str]) -> bool:
    """Drop everything of the sources that are not in `keep`; whether there was anything."""
    names = [name for (name,) in connection.execute("SELECT name FROM source")]
    gone = [(name,) for name in names if name not in keep]
    connection.executemany("DELETE FROM source WHERE name = ?", gone)
    return bool(gone)


def _by_collection(
    pulled: Pulled, indexed: Indexed, *, whole: bool = True
) -> Mapping[str, dict[str, IndexedObject]]:
    """The objects by collection and name; ValueError where pull and index do not match.

    With `whole` the index must have every object that changed.
    """
    found: dict[str, dict[str, IndexedObject]] = {one.name: {} for one in pulled.collections}
    for collection, one in indexed:
        if collection not in found:
            raise Misuse(f"an object of {collection!r}, which the pull does not name")
        found[collection][one.raw.name] = one
    for collected in pulled.collections if whole else ():
        missing = {raw.name for raw in collected.changed} - found[collected.name].keys()
        if missing:
            raise Misuse(f"objects changed and not indexed: {sorted(missing)[:3]}")
    return found


def _source_id(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute("SELECT id FROM source WHERE name = ?", (name,)).fetchone()[0])


def _drop_collections(connection: sqlite3.Connection, source: int, present: set[str]) -> None:
    stored = connection.execute("SELECT id, name FROM collection WHERE source = ?", (source,))
    gone = [(number,) for number, name in stored if name not in present]
    connection.executemany("DELETE FROM collection WHERE id = ?", gone)


def _move_kept(
    connection: sqlite3.Connection, source: int, present: Sequence[PulledCollection]
) -> None:
    """Hand over what is kept where the calendar has moved, so that nothing of its place is there
    any more: what happened did so all the same."""
    stored = connection.execute("SELECT name FROM collection WHERE source = ?", (source,))
    before = {name for (name,) in stored}
    if not before or not present or before & {one.name for one in present}:
        return
    to = _save_collection(connection, source, present[0])
    touch = (
        "UPDATE uid_group SET digest = digest WHERE object IN (SELECT o.id FROM object o"
        " JOIN collection c ON c.id = o.collection WHERE o.kept = 1 AND c.source = ?)"
    )
    connection.execute(touch, (source,))  # of the old collection, and then of the new one
    connection.execute(
        "UPDATE OR IGNORE object SET collection = ? WHERE kept = 1"
        " AND collection IN (SELECT id FROM collection WHERE source = ?)",
        (to, source),
    )
    connection.execute(touch, (source,))


def _save_collection(connection: sqlite3.Connection, source: int, one: PulledCollection) -> int:
    connection.execute(
        "INSERT INTO collection (source, name, title, colour, token) VALUES (?, ?, ?, ?, ?)"
        " ON CONFLICT (source, name) DO UPDATE SET title = excluded.title,"
        " colour = excluded.colour, token = excluded.token",
        (source, one.name, one.title, one.colour, one.token),
    )
    row = connection.execute(
        "SELECT id FROM collection WHERE source = ? AND name = ?", (source, one.name)
    ).fetchone()
    return int(row[0])


def _save_tags(connection: sqlite3.Connection, source: int, one: PulledCollection) -> None:
    connection.executemany(
        "UPDATE object SET tag = ? WHERE name = ? AND kept = 0"
        " AND collection = (SELECT id FROM collection WHERE name = ? AND source = ?)",
        [(tag, name, one.name, source) for name, tag in one.tags.items()],
    )


def _drop_gone(connection: sqlite3.Connection, collection: int, gone: Collection[str]) -> None:
    """Drop what the source no longer has."""
    connection.executemany(
        "DELETE FROM object WHERE collection = ? AND name = ? AND kept = 0",
        ((collection, name) for name in gone),
    )


def save_objects(
    connection: sqlite3.Connection,
    collection: int,
    changed: Collection[IndexedObject],
    now: str,
    *,
    kept: bool = False,
) -> None:
    """Put objects into a collection, in the place of those of the same names."""
    if not changed:  # most have nothing new: twenty statements of nothing take their time
        return
    there = _numbers(connection, collection, changed)
    new = [one for one in changed if one.raw.name not in there]
    again = [(there[one.raw.name], one) for one in changed if one.raw.name in there]
    connection.executemany(
        "UPDATE object SET tag = ?, digest = ?, pulled_at = ?, kept = ? WHERE id = ?",
        ((one.raw.tag, one.digest, now, int(kept), number) for number, one in again),
    )
    connection.executemany(
        "UPDATE content SET packed = ?, bytes = ? WHERE object = ?",
        ((*_packed(one), number) for number, one in again),
    )
    for number, one in again:
        uid_groups.replace(connection, number, one)
        pieces.replace(connection, number, one)
    (last,) = connection.execute("SELECT coalesce(max(id), 0) FROM object").fetchone()
    numbered = list(enumerate(new, last + 1))
    connection.executemany(
        "INSERT INTO object (id, collection, name, tag, digest, pulled_at, kept)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            (number, collection, one.raw.name, one.raw.tag, one.digest, now, int(kept))
            for number, one in numbered
        ),
    )
    connection.executemany(
        "INSERT INTO content (object, packed, bytes) VALUES (?, ?, ?)",
        ((number, *_packed(one)) for number, one in numbered),
    )
    uid_groups.insert(connection, numbered)
    pieces.insert(connection, numbered)


_MANY = 50
"""Objects from which on all names of a collection are read at once."""


def _numbers(
    connection: sqlite3.Connection, collection: int, changed: Collection[IndexedObject]
) -> dict[str, int]:
    """Name → number of those that are stored already."""
    if len(changed) > _MANY:
        return dict(
            connection.execute("SELECT name, id FROM object WHERE collection = ?", (collection,))
        )
    found = {}
    for one in changed:
        row = connection.execute(
            "SELECT id FROM object WHERE collection = ? AND name = ?", (collection, one.raw.name)
        ).fetchone()
        if row is not None:
            found[one.raw.name] = int(row[0])
    return found


def _drop_replaced(connection: sqlite3.Connection, source: int) -> None:
    """Drop kept objects whose UID has come back under another name or in another collection."""
    connection.execute(
        "DELETE FROM object WHERE kept = 1"
        " AND collection IN (SELECT id FROM collection WHERE source = ?)"
        " AND EXISTS (SELECT 1 FROM uid_group mine JOIN uid_group other ON other.uid = mine.uid"
        " JOIN object o ON o.id = other.object JOIN collection c ON c.id = o.collection"
        " WHERE mine.object = object.id AND o.kept = 0 AND c.source = ?)",
        (source, source),
    )


def _drop_oldest_kept(connection: sqlite3.Connection, source: int) -> None:
    """Drop kept objects beyond MOST_KEPT, those first whose last day is longest ago."""
    connection.execute(
        "DELETE FROM object WHERE id IN (SELECT o.id FROM object o"
        " JOIN collection c ON c.id = o.collection LEFT JOIN uid_group g ON g.object = o.id"
        " WHERE c.source = ? AND o.kept = 1 GROUP BY o.id"
        " ORDER BY max(g.last_day) DESC, o.id LIMIT -1 OFFSET ?)",
        (source, MOST_KEPT),
    )


def _packed(one: IndexedObject) -> tuple[int, bytes]:
    if one.pieces:
        return pieces.PACKED, b""
    content = one.raw.content
    return (1, zlib.compress(content, 1)) if len(content) >= _PACK_FROM else (0, content)


def text_of(at: datetime) -> str:
    """An aware instant as it is kept."""
    if at.tzinfo is None:
        raise Misuse(f"{at} has no zone")
    return at.astimezone(UTC).isoformat()


def _instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)
