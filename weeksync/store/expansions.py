"""Expanded occurrences in the database: one window a source, readable by span of days.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterator, Sequence
from datetime import date

from weeksync.model.limits import Spent
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.store import rows
from weeksync.zones import find_zone

Expanded = tuple[tuple[Occurrence, ...], tuple[TodoItem, ...], tuple[Problem, ...], Spent]

_ALL = (
    'SELECT o.detail, d.payload, o.identity, o.start, o."end" FROM occurrence o'
    " JOIN detail d ON d.expansion = o.expansion AND d.number = o.detail"
    " WHERE o.expansion = ? ORDER BY o.position"
)
# The index is named: to have the order for free, SQLite would look at every row instead.
_SPAN = (
    'SELECT o.detail, d.payload, o.identity, o.start, o."end" FROM occurrence o'
    " INDEXED BY occurrence_days JOIN detail d"
    " ON d.expansion = o.expansion AND d.number = o.detail"
    " WHERE o.expansion = ? AND o.last_day >= ? AND o.first_day < ? ORDER BY o.position"
)

_OccurrenceRow = tuple[int, int, str, str, int, str, str, str]


def save(
    connection: sqlite3.Connection,
    source: str,
    key: str,
    window: tuple[date, date],
    expanded: tuple[Sequence[Occurrence], Sequence[TodoItem], Sequence[Problem], Spent],
) -> None:
    """Keep the expansion of `source` over `window` (half-open); an earlier one is replaced."""
    occurrences, todos, problems, spent = expanded
    home = rows.home_zone([*(one.start for one in occurrences), *(one.due for one in todos)])
    connection.execute("DELETE FROM expansion WHERE source = ?", (source,))
    (number,) = connection.execute(
        'INSERT INTO expansion (source, key, start, "end", zone, problems, spent)'
        " VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING id",
        (
            *(source, _full_key(key), *map(str, window), home, rows.problems_text(problems)),
            f"{spent.occurrences} {spent.steps} {spent.entries}",
        ),
    ).fetchone()
    _save_occurrences(connection, number, source, occurrences, home)
    connection.executemany(
        "INSERT INTO todo (expansion, position, payload) VALUES (?, ?, ?)",
        ((number, position, rows.todo_text(one, home)) for position, one in enumerate(todos)),
    )


def load(
    connection: sqlite3.Connection, source: str, key: str, start: date, end: date
) -> Expanded | None:
    """What touches the days from `start` to before `end`, or None where that is not stored.

    It is stored where key, fields of the records and zone are those of now and the stored
    window covers the asked one. To-dos and problems have no place in time: all are given.
    """
    found = connection.execute(
        'SELECT id, zone, problems, spent, start = ?3 AND "end" = ?4 FROM expansion'
        ' WHERE source = ?1 AND key = ?2 AND start <= ?3 AND "end" >= ?4',
        (source, _full_key(key), str(start), str(end)),
    ).fetchone()
    if found is None:
        return None
    number, zone, problems, spent, whole = found
    home = find_zone(zone) if zone else None
    if zone and home is None:
        return None  # zone data without that zone: expand again, which says so
    if whole:
        occurrence_rows = connection.execute(_ALL, (number,))
    else:
        occurrence_rows = connection.execute(_SPAN, (number, str(start), str(end)))
    return (
        tuple(rows.occurrences_of(source, occurrence_rows, home)),
        tuple(
            rows.todo_of(payload, home)
            for (payload,) in connection.execute(
                "SELECT payload FROM todo WHERE expansion = ? ORDER BY position", (number,)
            )
        ),
        rows.problems_of(problems),
        Spent(*map(int, spent.split())),
    )


def forget(connection: sqlite3.Connection, keep: Collection[str]) -> None:
    """Drop the expansions of sources not in `keep`; that of "", entered by hand, always stays."""
    names = [name for (name,) in connection.execute("SELECT source FROM expansion")]
    connection.executemany(
        "DELETE FROM expansion WHERE source = ?",
        ((name,) for name in names if name and name not in keep),
    )


def _full_key(key: str) -> str:
    return f"{rows.FIELDS} {key}"


def _save_occurrences(
    connection: sqlite3.Connection,
    expansion: int,
    source: str,
    occurrences: Sequence[Occurrence],
    home: str,
) -> None:
    details: dict[str, int] = {}

    def taken_apart() -> Iterator[_OccurrenceRow]:
        for position, one in enumerate(occurrences):
            if one.source != source:
                raise ValueError(f"an occurrence of {one.source!r} in the expansion of {source!r}")
            shared, identity, start, end = rows.occurrence_row(one, home)
            detail = details.setdefault(shared, len(details))
            yield expansion, position, *rows.days_of(one), detail, identity, start, end

    connection.executemany(
        "INSERT INTO occurrence"
        ' (expansion, position, first_day, last_day, detail, identity, start, "end")'
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        taken_apart(),
    )
    connection.executemany(
        "INSERT INTO detail (expansion, number, payload) VALUES (?, ?, ?)",
        ((expansion, number, shared) for shared, number in details.items()),
    )
