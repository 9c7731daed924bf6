"""Expansions in the database: of each source one window of days, part by part.

A part is what one UID gives; it can be replaced alone. Rows are read by span of days, in the order
of a whole expansion. Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from hashlib import sha256
from typing import NamedTuple
from zoneinfo import ZoneInfo

from weeksync.model.expanded import Change, KeptExpansion, KeptHead
from weeksync.model.limits import Spent
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.store import day_sums, parts, rows
from weeksync.store.day_sums import DaySums, number_of
from weeksync.zones import find_zone

Span = tuple[date, date]
"""The days [start, end)."""
Expanded = tuple[tuple[Occurrence, ...], tuple[TodoItem, ...], tuple[Problem, ...], Spent]

_COLUMNS = 'SELECT o.part, o.detail, d.payload, o.identity, o.start, o."end" FROM '
_JOINED = " JOIN part p ON p.id = o.part JOIN detail d ON d.part = o.part AND d.number = o.detail"
# What `calendar.expand.order` is, and then as its part has them.
_ORDER = " ORDER BY o.moment, p.uid, o.identity, p.collection, o.part, o.number"
_ALL = f"{_COLUMNS}occurrence o{_JOINED} WHERE p.expansion = ?1{_ORDER}"
# The index is named, and has all that is asked of a row: to have the order for free, SQLite would
# look at every row instead.
_SPANS = (
    # Materialized, or it is taken apart for each row.
    "WITH span (start, after) AS MATERIALIZED (SELECT json_extract(value, '$[0]'),"  # noqa: S608
    " json_extract(value, '$[1]') FROM json_each(?2)) "
    f"{_COLUMNS}(SELECT o.part, o.number FROM span"
    " CROSS JOIN occurrence o INDEXED BY occurrence_days WHERE o.expansion = ?1"
    " AND o.last_day >= span.start AND o.first_day < span.after"
    " UNION SELECT o.part, o.number FROM part p JOIN occurrence o ON o.part = p.id"
    " WHERE p.expansion = ?1 AND p.uid IN (SELECT value FROM json_each(?3))) t"
    f" CROSS JOIN occurrence o ON o.part = t.part AND o.number = t.number{_JOINED}{_ORDER}"
)
"""What touches any of the spans ?2, a JSON list of pairs, or is of one of the UIDs ?3."""


def heads(connection: sqlite3.Connection) -> dict[str, KeptHead]:
    """Source → what is known of its expansion; one of other records than today's is none."""
    found = connection.execute(
        'SELECT source, key, start, "end", spent, plain, EXISTS (SELECT 1 FROM touched t'
        " JOIN source s ON s.id = t.source WHERE s.name = e.source) FROM expansion e"
    )
    return {
        source: KeptHead(
            key.removeprefix(f"{rows.FIELDS} "),
            date.fromisoformat(start),
            date.fromisoformat(end),
            Spent(*map(int, spent.split())),
            bool(plain),
            bool(touched),
        )
        for source, key, start, end, spent, plain, touched in found
        if key.startswith(f"{rows.FIELDS} ")
    }


def save(connection: sqlite3.Connection, source: str, one: KeptExpansion) -> None:
    """Keep an expansion of `source`; an earlier one is replaced, and nothing is touched then."""
    connection.execute("DELETE FROM expansion WHERE source = ?", (source,))
    (number,) = connection.execute(
        'INSERT INTO expansion (source, key, start, "end", zone, plain, zones, problems, spent,'
        " days, rest) VALUES (?, ?, ?, ?, ?, ?, ?, ?, '', x'', x'') RETURNING id",
        (
            *(source, _full_key(one.key), *map(str, one.window), one.zone, int(one.plain)),
            *(rows.zones_text(one.zones), rows.problems_text(one.problems)),
        ),
    ).fetchone()
    sums = DaySums(*one.window)
    parts.insert(connection, source, number, one.zone, one.parts, sums)
    _close(connection, source, number, sums, one.spent)


def update(connection: sqlite3.Connection, source: str, change: Change) -> None:
    """Take a change into the expansion of `source`; KeyError, as of damage, where none is kept."""
    found = connection.execute(
        'SELECT id, zone, start, "end", days FROM expansion WHERE source = ?', (source,)
    ).fetchone()
    if found is None:
        raise KeyError(source)
    number, zone, start, end, days = found
    sums = DaySums(date.fromisoformat(start), date.fromisoformat(end), days)
    replaced = change.gone.union(part.name for part in change.parts)
    parts.drop(connection, source, number, replaced, sums)
    sums = sums.moved(*change.window)
    parts.insert(connection, source, number, zone, change.parts, sums)
    parts.set_places(connection, number, parts.in_order(connection, source, number))
    connection.execute(
        'UPDATE expansion SET start = ?, "end" = ?, zones = ? WHERE id = ?',
        (*map(str, change.window), rows.zones_text(change.zones), number),
    )
    _close(connection, source, number, sums, change.spent)


def load(
    connection: sqlite3.Connection,
    source: str,
    key: str,
    window: tuple[date, date],
    shared: Collection[str] = (),
    *,
    notes: bool = True,
) -> Expanded | None:
    """What touches the days of the half-open `window`, or None where that is not stored.

    It is stored where key, fields of the records and zone are those of now, the stored window
    covers the asked one and nothing has been touched since. To-dos and problems have no place in
    time: all are given. So are all occurrences of the UIDs in `shared`. `notes`: whether these are
    read, too.
    """
    kept = _kept(connection, source, key, window)
    if kept is None:
        return None
    if kept.window == window:
        occurrence_rows = connection.execute(_ALL, (kept.number,))
    else:
        occurrence_rows = _in_spans(connection, kept, [window], shared)
    return (
        tuple(rows.occurrences_of(source, occurrence_rows, kept.home, notes=notes)),
        tuple(rows.todo_of(payload, kept.home) for payload in parts.todos(connection, kept.number)),
        (*parts.problems(connection, kept.number), *rows.problems_of(kept.problems)),
        Spent(*map(int, kept.spent.split())),
    )


def load_spans(
    connection: sqlite3.Connection,
    source: str,
    key: str,
    spans: Sequence[Span],
    shared: Collection[str] = (),
    fill: rows.Fill | None = None,
) -> tuple[Occurrence, ...] | None:
    """The occurrences that touch any of these half-open spans, each once, without notes; and all
    of the UIDs in `shared`. None where `load` gives none for the days of all of them."""
    whole = min(start for start, _ in spans), max(end for _, end in spans)
    kept = _kept(connection, source, key, whole)
    if kept is None:
        return None
    found = _in_spans(connection, kept, spans, shared)
    return tuple(rows.occurrences_of(source, found, kept.home, notes=False, fill=fill))


class _Kept(NamedTuple):
    """An expansion that is stored, without its rows."""

    number: int
    home: ZoneInfo | None
    problems: str
    spent: str
    window: tuple[date, date]


def _kept(
    connection: sqlite3.Connection, source: str, key: str, window: tuple[date, date]
) -> _Kept | None:
    """The expansion of `source` where it covers the window and holds."""
    found = connection.execute(
        'SELECT id, zone, problems, spent, start, "end" FROM expansion'
        ' WHERE source = ?1 AND key = ?2 AND start <= ?3 AND "end" >= ?4 AND NOT EXISTS'
        " (SELECT 1 FROM touched t JOIN source s ON s.id = t.source WHERE s.name = ?1)",
        (source, _full_key(key), *map(str, window)),
    ).fetchone()
    if found is None:
        return None
    number, zone, problems, spent, start, end = found
    home = find_zone(zone) if zone else None
    if zone and home is None:
        return None  # zone data without that zone: expand again, which says so
    stored = date.fromisoformat(start), date.fromisoformat(end)
    return _Kept(number, home, problems, spent, stored)


def _in_spans(
    connection: sqlite3.Connection,
    kept: _Kept,
    spans: Iterable[Span],
    shared: Collection[str],
) -> sqlite3.Cursor:
    days = [[str(start), str(end)] for start, end in spans]
    return connection.execute(_SPANS, (kept.number, json.dumps(days), json.dumps([*shared])))


def shared_uids(connection: sqlite3.Connection) -> frozenset[str]:
    """The UIDs that stand in several parts: which of them is shown cannot be told from some."""
    found = connection.execute("SELECT uid FROM part GROUP BY uid HAVING count(*) > 1")
    return frozenset(uid for (uid,) in found)


def day_digests(
    connection: sqlite3.Connection,
    sources: Collection[str],
    start: date,
    end: date,
    shared: Collection[str],
) -> tuple[dict[date, bytes], bytes] | None:
    """(a digest of each day of the stored window, one of what has no day) of these sources.

    None where the expansion of one is not of the days [start, end). A day has to do with all
    occurrences of a UID in `shared` where any of them touches it.
    """
    kept = {
        source: (days, rest)
        for source, days, rest in connection.execute(
            'SELECT source, days, rest FROM expansion WHERE start = ? AND "end" = ?',
            (str(start), str(end)),
        )
    }
    if not kept.keys() >= set(sources):
        return None
    size = (end - start).days
    total = day_sums.added((kept[source][0] for source in sources), size)
    companions = _companions(connection, shared, start, end)
    digests = {}
    for at in range(size):
        day = date.fromordinal(start.toordinal() + at)
        lane = total[at * day_sums.LANE : (at + 1) * day_sums.LANE]
        others = companions.get(day)
        digests[day] = lane + others.to_bytes(day_sums.LANE, "big") if others else lane
    rest = sha256()
    for source in sources:
        rest.update(f"{source}\n".encode() + kept[source][1])
    return digests, rest.digest()


def forget(connection: sqlite3.Connection, keep: Collection[str]) -> None:
    """Drop the expansions of sources not in `keep`; that of "", entered by hand, always stays."""
    names = [name for (name,) in connection.execute("SELECT source FROM expansion")]
    connection.executemany(
        "DELETE FROM expansion WHERE source = ?",
        ((name,) for name in names if name and name not in keep),
    )
    connection.execute("DELETE FROM touched WHERE source NOT IN (SELECT id FROM source)")


def _full_key(key: str) -> str:
    return f"{rows.FIELDS} {key}"


def _close(
    connection: sqlite3.Connection, source: str, number: int, sums: DaySums, spent: Spent
) -> None:
    """Note what was worked out of the parts; what was touched before is in them now."""
    (problems,) = connection.execute(
        "SELECT problems FROM expansion WHERE id = ?", (number,)
    ).fetchone()
    rest = sha256(problems.encode("utf-8", "replace"))
    for text in (*parts.todos(connection, number), *parts.problem_texts(connection, number)):
        rest.update(b"\0" + text.encode("utf-8", "replace"))
    connection.execute(
        "UPDATE expansion SET spent = ?, days = ?, rest = ? WHERE id = ?",
        (
            f"{spent.occurrences} {spent.steps} {spent.entries}",
            *(sums.packed(), rest.digest(), number),
        ),
    )
    connection.execute(
        "DELETE FROM touched WHERE source = (SELECT id FROM source WHERE name = ?)", (source,)
    )


def _companions(
    connection: sqlite3.Connection, shared: Collection[str], start: date, end: date
) -> dict[date, int]:
    """Day → a number of all parts of the UIDs in `shared` that touch it."""
    digests: dict[str, dict[int, int]] = {}
    days: dict[str, set[date]] = {}
    for uid, part, digest, first, last in connection.execute(
        "SELECT p.uid, p.id, p.digest, o.first_day, o.last_day FROM part p JOIN occurrence o"
        " ON o.part = p.id WHERE p.uid IN (SELECT value FROM json_each(?))",
        (json.dumps([*shared]),),
    ):
        digests.setdefault(uid, {})[part] = int.from_bytes(digest, "big")
        low = max(date.fromisoformat(first), start).toordinal()
        high = min(date.fromisoformat(last).toordinal() + 1, end.toordinal())
        days.setdefault(uid, set()).update(map(date.fromordinal, range(low, high)))
    found: dict[date, int] = {}
    for uid, touched in days.items():
        number = number_of(uid, str(sum(digests[uid].values())))
        for day in touched:
            found[day] = found.get(day, 0) + number
    return found
