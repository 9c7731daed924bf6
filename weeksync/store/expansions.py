"""Expanded occurrences in the database: one window a source, readable by span of days.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterator, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.store import rows
from weeksync.zones import find_zone

Expanded = tuple[tuple[Occurrence, ...], tuple[TodoItem, ...], tuple[Problem, ...]]
_OccurrenceRow = tuple[int, int, str, str, int, str, str, str]


def save(
    connection: sqlite3.Connection,
    source: str,
    key: str,
    window: tuple[date, date],
    expanded: tuple[Sequence[Occurrence], Sequence[TodoItem], Sequence[Problem]],
) -> None:
    """Keep the expansion of `source` over `window` (half-open); an earlier one is replaced."""
    occurrences, todos, problems = expanded
    home = rows.home_zone([*(one.start for one in occurrences), *(one.due for one in todos)])
    connection.execute("DELETE FROM expansion WHERE source = ?", (source,))
    (number,) = connection.execute(
        'INSERT INTO expansion (source, key, start, "end", zone, problems)'
        " VALUES (?, ?, ?, ?, ?, ?) RETURNING id",
        (source, _full_key(key), *map(str, window), home, rows.problems_text(problems)),
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
        "SELECT id, zone, problems FROM expansion"
        ' WHERE source = ? AND key = ? AND start <= ? AND "end" >= ?',
        (source, _full_key(key), str(start), str(end)),
    ).fetchone()
    if found is None:
        return None
    number, zone, problems = found
    home = find_zone(zone) if zone else None
    if zone and home is None:
        return None  # zone data without that zone: expand again, which says so
    return (
        tuple(_load_occurrences(connection, number, source, (start, end), home)),
        tuple(
            rows.todo_of(payload, home)
            for (payload,) in connection.execute(
                "SELECT payload FROM todo WHERE expansion = ? ORDER BY position", (number,)
            )
        ),
        rows.problems_of(problems),
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


def _load_occurrences(
    connection: sqlite3.Connection,
    expansion: int,
    source: str,
    window: tuple[date, date],
    home: ZoneInfo | None,
) -> Iterator[Occurrence]:
    asked = (expansion, str(window[0]), str(window[1]))
    shared = {
        number: rows.shared_of(payload)
        for number, payload in connection.execute(
            "SELECT number, payload FROM detail WHERE expansion = ?1 AND number IN (SELECT detail"
            " FROM occurrence WHERE expansion = ?1 AND last_day >= ?2 AND first_day < ?3)",
            asked,
        )
    }
    for detail, identity, start, end in connection.execute(
        'SELECT detail, identity, start, "end" FROM occurrence'
        " WHERE expansion = ? AND last_day >= ? AND first_day < ? ORDER BY position",
        asked,
    ):
        yield rows.occurrence_of(
            source,
            shared[detail],
            identity,
            rows.moment_of(start, home),
            rows.moment_of(end, home),
        )
