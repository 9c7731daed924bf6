"""Which parts of a kept expansion are to be made again: what has changed, what a moved window asks.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from datetime import date

from weeksync.model.expanded import DueParts, PartName
from weeksync.model.pulled import StoredObject
from weeksync.store import objects, parts, pieces, rows

_FIRST = "CASE WHEN count(g.first_day) = count(*) THEN min(g.first_day) END"
_LAST = "CASE WHEN count(g.last_day) = count(*) THEN max(g.last_day) END"
# A part that has no bound on a side has one on none of that side's objects.
_MEETING = (
    f"SELECT c.name, g.uid, {_FIRST} AS low, {_LAST} AS high"  # noqa: S608 - constants
    " FROM source s JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id"
    " JOIN uid_group g ON g.object = o.id WHERE s.name = ?1 GROUP BY c.id, g.uid"
    " HAVING (low IS NULL OR low < ?3) AND (high IS NULL OR high >= ?2)"
    " AND NOT (low IS NOT NULL AND high IS NOT NULL AND low >= ?4 AND high < ?5)"
)
_SUMS = (
    "SELECT count(*), coalesce(sum(p.room), 0), coalesce(sum(p.steps), 0),"
    " coalesce(sum(json_array_length(r.payload)), 0)"
    " FROM part p LEFT JOIN part_problem r ON r.part = p.id"
)
_HAS = (
    # By the UID first: by the collection, each of 10,000 objects would be looked at 10,000 times.
    "SELECT 1 FROM uid_group g CROSS JOIN object o ON o.id = g.object"
    " CROSS JOIN collection c ON c.id = o.collection JOIN source s ON s.id = c.source"
    " WHERE s.name = ?1 AND c.name = ?2 AND g.uid = ?3"
)


def find(
    connection: sqlite3.Connection,
    source: str,
    window: tuple[date, date],
    inside: tuple[date, date] | None,
) -> DueParts:
    """What has to be expanded so that the kept expansion of `source` is one of `window`.

    That is what has been touched, what has problems where anything has been touched (their lines
    may be others now), and, unless `inside` is None, what meets the window and does not lie in the
    days of `inside` with all of its bounds. KeyError where no expansion is kept.
    """
    head = connection.execute(
        "SELECT id, zones, spent FROM expansion WHERE source = ?", (source,)
    ).fetchone()
    if head is None:
        raise KeyError(source)
    number, zones, spent = head
    touched = set(
        connection.execute(
            "SELECT t.collection, t.uid FROM touched t JOIN source s ON s.id = t.source"
            " WHERE s.name = ?",
            (source,),
        )
    )
    count = int(spent.split()[2])
    if touched:
        touched |= _with_problems(connection, number)
        count = entries(connection, source)
    made = {name for name in touched if name[1] and _has(connection, source, name)}
    gone = {name for name in touched if name[1]} - made
    if inside is not None:
        bounds = (source, *map(str, window), *map(str, inside))
        made |= {(collection, uid) for collection, uid, *_ in connection.execute(_MEETING, bounds)}
        gone |= _beyond(connection, number, window) - made
    made_, gone_ = frozenset(made), frozenset(gone)
    sums = _staying(connection, number, made_ | gone_)
    return DueParts(made_, gone_, *sums, count, rows.zones_of(zones))


def objects_with(
    connection: sqlite3.Connection, source: str, names: Collection[PartName], *, some: bool = False
) -> list[StoredObject]:
    """The objects that hold these parts, by collection and name.

    With `some`, of those that are kept in pieces only the pieces that these parts are in.
    """
    found: dict[tuple[str, str, int, int], list[tuple[int, str | None]]] = {}
    for collection, name, number, packed, position, others in connection.execute(
        "SELECT c.name, o.name, o.id, b.packed, g.position, g.others"
        " FROM json_each(?2) j CROSS JOIN uid_group g"
        " ON g.uid = json_extract(j.value, '$[1]') CROSS JOIN object o ON o.id = g.object"
        " CROSS JOIN collection c ON c.id = o.collection"
        " AND c.name = json_extract(j.value, '$[0]') JOIN source s ON s.id = c.source"
        " JOIN content b ON b.object = o.id WHERE s.name = ?1",
        (source, json.dumps([*names])),
    ):
        found.setdefault((collection, name, number, packed), []).append((position, others))
    objects_: list[StoredObject] = []
    for (collection, name, number, packed), places in sorted(found.items()):
        if some and packed == pieces.PACKED:
            text = pieces.some(connection, number, places)
            objects_.append(StoredObject(source, collection, name, "", "", text))
        else:
            objects_ += objects.objects(connection, source, (collection, name))
    return objects_


def _with_problems(connection: sqlite3.Connection, expansion: int) -> set[PartName]:
    return set(
        connection.execute(
            "SELECT p.collection, p.uid FROM part p JOIN part_problem r ON r.part = p.id"
            " WHERE p.expansion = ?",
            (expansion,),
        )
    )


def _has(connection: sqlite3.Connection, source: str, name: PartName) -> bool:
    return connection.execute(_HAS, (source, *name)).fetchone() is not None


def _beyond(
    connection: sqlite3.Connection, expansion: int, window: tuple[date, date]
) -> set[PartName]:
    return set(
        connection.execute(
            "SELECT collection, uid FROM part WHERE expansion = ?"
            " AND (last_day < ? OR first_day >= ?)",
            (expansion, *map(str, window)),
        )
    )


def _staying(
    connection: sqlite3.Connection, expansion: int, replaced: Collection[PartName]
) -> tuple[int, int, int, int]:
    """(number, room, steps, problems) of the parts that are not replaced."""
    total = list(connection.execute(f"{_SUMS} WHERE p.expansion = ?", (expansion,)).fetchone())
    less = connection.execute(f"{_SUMS}{parts.NAMED}", (expansion, json.dumps([*replaced])))
    total = [one - its for one, its in zip(total, less.fetchone(), strict=True)]
    count, room, steps, problems = total
    return count, room, steps, problems


def entries(connection: sqlite3.Connection, source: str) -> int:
    """The entries of all texts of a source, at least one each, as reading counts them."""
    found = connection.execute(
        "SELECT coalesce(sum(n), 0) FROM (SELECT max(coalesce(sum(g.components), 0), 1) AS n"
        " FROM source s JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id"
        " LEFT JOIN uid_group g ON g.object = o.id WHERE s.name = ? GROUP BY o.id)",
        (source,),
    ).fetchone()
    return int(found[0])
