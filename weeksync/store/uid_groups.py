"""The groups of objects in the database. Of an object that came again only those that differ are
written.

Every function works inside the transaction of its caller. What is written here is noted as
touched by the database itself (see `schema`), so a row that stays the same is not written again.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date

from weeksync.model.pulled import IndexedObject, PlacedGroup, Pulled, UidGroup

Indexed = Sequence[tuple[str, IndexedObject]]
"""(collection name, object) pairs."""
GroupsBy = dict[str, tuple[UidGroup, ...]]
Ahead = tuple[int, int]
"""How many groups there are, and how many of them are not over."""
_Row = tuple[str, str, str | None, str | None, int, str | None]
"""uid, digest, first and last day, components, other pieces"""
_COLUMNS = "uid, digest, first_day, last_day, components, others"


def groups(
    connection: sqlite3.Connection, source: str
) -> Iterator[tuple[str, str, bool, UidGroup]]:
    """(collection, object, whether kept, group) of a source, by collection, object and place."""
    for collection, name, kept, uid, digest, first, last, components in connection.execute(
        "SELECT c.name, o.name, o.kept, g.uid, g.digest, g.first_day, g.last_day, g.components"
        " FROM source s JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id"
        " JOIN uid_group g ON g.object = o.id WHERE s.name = ?"
        " ORDER BY c.name, o.name, g.position",
        (source,),
    ):
        yield (
            collection,
            name,
            bool(kept),
            UidGroup(uid, digest, _day(first), _day(last), components),
        )


def counts(connection: sqlite3.Connection) -> dict[str, int]:
    """Source → how many groups of it are stored."""
    return dict(
        connection.execute(
            "SELECT s.name, sum((SELECT count(*) FROM uid_group g WHERE g.object = o.id))"
            " FROM source s JOIN collection c ON c.source = s.id"
            " JOIN object o ON o.collection = c.id GROUP BY s.id"
        )
    )


def present_groups(connection: sqlite3.Connection, source: str) -> GroupsBy:
    """Collection → groups of the objects that the source still has; kept ones are left out."""
    found: dict[str, list[UidGroup]] = {}
    for collection, _, kept, group in groups(connection, source):
        if not kept:
            found.setdefault(collection, []).append(group)
    return {collection: tuple(its) for collection, its in found.items()}


def preview(connection: sqlite3.Connection, pulled: Pulled, indexed: Indexed) -> GroupsBy:
    """Collection → the groups that `present_groups` would give after `apply`."""
    present = {one.name for one in pulled.collections}
    moved = {(one.name, name) for one in pulled.collections for name in one.gone}
    moved |= {(collection, one.raw.name) for collection, one in indexed}
    found: dict[str, list[UidGroup]] = {}
    for collection, name, kept, group in groups(connection, pulled.source):
        if collection in present and (collection, name) not in moved and not kept:
            found.setdefault(collection, []).append(group)
    for collection, one in indexed:
        found.setdefault(collection, []).extend(one.groups)
    return {collection: tuple(its) for collection, its in found.items()}


def vanishing(
    connection: sqlite3.Connection,
    source: str,
    touched: Collection[tuple[str, str]],
    there: Collection[str],
) -> list[tuple[str, str, UidGroup]]:
    """(collection, object, group) of what these objects hold and the source still had."""
    if len(touched) > _MANY:
        return [
            (collection, name, group)
            for collection, name, kept, group in groups(connection, source)
            if not kept and (collection, name) in touched and group.uid not in there
        ]
    return [
        (collection, name, UidGroup(uid, digest, _day(first), _day(last), components))
        for collection, name in sorted(touched)
        for uid, digest, first, last, components in connection.execute(
            "SELECT g.uid, g.digest, g.first_day, g.last_day, g.components" + _OF_OBJECT,
            (source, collection, name),
        )
        if uid not in there
    ]


def collections(connection: sqlite3.Connection, source: str) -> frozenset[str]:
    """The names of all collections of a source."""
    found = connection.execute(
        "SELECT c.name FROM source s JOIN collection c ON c.source = s.id WHERE s.name = ?",
        (source,),
    )
    return frozenset(name for (name,) in found)


def counts_ahead(
    connection: sqlite3.Connection, source: str, day: date, touched: Collection[tuple[str, str]]
) -> dict[str, tuple[Ahead, Ahead]]:
    """Collection → (its groups, those of its touched objects), each with those from `day` on."""
    counts = f"SELECT count(*), {_AHEAD}"
    found: dict[str, tuple[Ahead, Ahead]] = {}
    for collection, *whole in connection.execute(
        f"SELECT c.name, count(g.uid), {_AHEAD} FROM source s"  # noqa: S608 - constants
        " JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id AND o.kept = 0"
        " JOIN uid_group g ON g.object = o.id WHERE s.name = ?2 GROUP BY c.id",
        (str(day), source),
    ):
        sums = [  # each asked to its end: thousands of open questions slow one another down
            connection.execute(
                counts + _OF_OBJECT_2, (str(day), source, collection, name)
            ).fetchone()
            for its, name in touched
            if its == collection
        ]
        all_of_them, ahead = (sum(one[at] or 0 for one in sums) for at in (0, 1))
        found[collection] = (whole[0], whole[1]), (all_of_them, ahead)
    return found


_MANY = 500
"""Objects from which on all of a source are gone through once."""
_AHEAD = "sum(g.last_day IS NULL OR g.last_day >= ?1)"
_JOINED = (
    " FROM source s JOIN collection c ON c.source = s.id JOIN object o ON o.collection = c.id"
    " JOIN uid_group g ON g.object = o.id WHERE o.kept = 0 AND"
)
_OF_OBJECT = f"{_JOINED} s.name = ? AND c.name = ? AND o.name = ? ORDER BY g.position"
_OF_OBJECT_2 = f"{_JOINED} s.name = ?2 AND c.name = ?3 AND o.name = ?4"


def placed(
    connection: sqlite3.Connection, number: int, which: str, values: Sequence[object] = ()
) -> list[PlacedGroup]:
    """The groups of an object, by its number in the database, for which a condition holds."""
    found = connection.execute(
        f"SELECT position, {_COLUMNS} FROM uid_group WHERE object = ? AND {which}",  # noqa: S608
        (number, *values),
    )
    return [
        PlacedGroup(
            UidGroup(uid, digest, _day(first), _day(last), components),
            position,
            tuple(map(int, others.split())) if others else (),
        )
        for position, uid, digest, first, last, components, others in found
    ]


def insert(connection: sqlite3.Connection, numbered: Iterable[tuple[int, IndexedObject]]) -> None:
    """Put in the groups of objects that have none, each with its number in the database."""
    _insert(connection, ((number, *row) for number, one in numbered for row in _rows(one).items()))


def replace(connection: sqlite3.Connection, number: int, one: IndexedObject) -> None:
    """Bring the groups of an object to those of its new text."""
    if one.replaced is None:
        found = connection.execute(
            f"SELECT position, {_COLUMNS} FROM uid_group WHERE object = ?",  # noqa: S608
            (number,),
        )
        before = {row[0]: (position, row) for position, row in map(_split, found)}
    else:
        before = {was.group.uid: (was.position, _row(was)) for was in one.replaced}
    after = {row[0]: (position, row) for position, row in _rows(one).items()}
    gone = [(number, before[uid][0]) for uid in before.keys() - after.keys()]
    connection.executemany("DELETE FROM uid_group WHERE object = ? AND position = ?", gone)
    stay = before.keys() & after.keys()
    moved = [(before[uid][0], after[uid][0]) for uid in stay if before[uid][0] != after[uid][0]]
    # Out of each other's way first: no two may have one position at any time.
    for steps in (
        [(-1 - was, number, was) for was, _ in moved],
        [(place, number, -1 - was) for was, place in moved],
    ):
        connection.executemany(
            "UPDATE uid_group SET position = ? WHERE object = ? AND position = ?", steps
        )
    connection.executemany(
        "UPDATE uid_group SET digest = ?, first_day = ?, last_day = ?, components = ?, others = ?"
        " WHERE object = ? AND position = ?",
        (
            (*after[uid][1][1:], number, after[uid][0])
            for uid in stay
            if before[uid][1] != after[uid][1]
        ),
    )
    _insert(connection, ((number, *after[uid]) for uid in after.keys() - before.keys()))


def _insert(connection: sqlite3.Connection, rows: Iterable[tuple[int, int, _Row]]) -> None:
    connection.executemany(
        f"INSERT INTO uid_group (object, position, {_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",  # noqa: S608
        ((number, position, *row) for number, position, row in rows),
    )


def _rows(one: IndexedObject) -> dict[int, _Row]:
    """The groups of an object as rows, by their positions."""
    if one.placed:
        return {each.position: _row(each) for each in one.placed}
    return {at: _row(PlacedGroup(group, at)) for at, group in enumerate(one.groups)}


def _row(one: PlacedGroup) -> _Row:
    group = one.group
    return (
        group.uid,
        group.digest,
        None if group.first_day is None else group.first_day.isoformat(),
        None if group.last_day is None else group.last_day.isoformat(),
        group.components,
        " ".join(map(str, one.others)) or None,
    )


def _split(row: tuple[int, str, str, str | None, str | None, int, str | None]) -> tuple[int, _Row]:
    return row[0], row[1:]


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
