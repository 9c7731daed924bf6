"""The parts of an expansion in the database: what each UID of a source gives, and which are due.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Iterator
from datetime import date

from weeksync.model.expanded import Part, PartName
from weeksync.model.problem import Problem
from weeksync.store import rows
from weeksync.store.day_sums import LANE, DaySums, number_of
from weeksync.store.faults import Misuse

_ROWS = (
    'SELECT o.first_day, o.last_day, d.payload, o.identity, o.start, o."end" FROM part p'
    " JOIN occurrence o ON o.part = p.id JOIN detail d ON d.part = p.id AND d.number = o.detail"
)
# CROSS: the few names one by one, each by its index.
NAMED = (
    " WHERE p.id IN (SELECT n.id FROM json_each(?2) j CROSS JOIN part n"
    " WHERE n.expansion = ?1 AND n.uid = json_extract(j.value, '$[1]')"
    " AND n.collection = json_extract(j.value, '$[0]'))"
)
"""Behind `FROM part p`: the parts of expansion ?1 whose names are in ?2, a JSON list of pairs."""


def insert(
    connection: sqlite3.Connection,
    source: str,
    expansion: int,
    home: str,
    found: Iterable[Part],
    sums: DaySums,
) -> None:
    """Put parts into an expansion, and the numbers of their rows into `sums`."""
    (last,) = connection.execute("SELECT coalesce(max(id), 0) FROM part").fetchone()
    taken = _Taken(source, expansion, home, sums)
    for number, part in enumerate(found, last + 1):
        taken.part(number, part)
    for statement, values in taken.statements():
        connection.executemany(statement, values)


class _Taken:
    """Parts taken apart into rows."""

    def __init__(self, source: str, expansion: int, home: str, sums: DaySums) -> None:
        self._source, self._expansion, self._home, self._sums = source, expansion, home, sums
        self._parts: list[tuple[object, ...]] = []
        self._details: list[tuple[int, int, str]] = []
        self._occurrences: list[tuple[object, ...]] = []
        self._todos: list[tuple[int, int, str]] = []
        self._problems: list[tuple[int, str]] = []

    def part(self, number: int, part: Part) -> None:
        """Take one part apart."""
        digest = self._rows(number, part)
        has_place = bool(part.todos or part.problems)
        self._parts.append(
            (
                *(number, self._expansion, part.collection, part.uid),
                *(_text(part.first), _text(part.last), int(part.fine), part.room, part.steps),
                *(part.place if has_place else None, digest.to_bytes(LANE, "big")),
            )
        )
        self._todos += (
            (number, at, rows.todo_text(one, self._home)) for at, one in enumerate(part.todos)
        )
        if part.problems:
            self._problems.append((number, rows.problems_text(part.problems)))

    def _rows(self, number: int, part: Part) -> int:
        """Its occurrences; the sum of their numbers."""
        total = 0
        details: dict[str, int] = {}
        taken = rows.occurrence_rows(part.occurrences, self._home)
        for at, (one, row) in enumerate(zip(part.occurrences, taken, strict=True)):
            if one.source != self._source:
                text = f"an occurrence of {one.source!r} in the expansion of {self._source!r}"
                raise Misuse(text)
            shared, identity, start, end = row
            detail = details.setdefault(shared, len(details))
            first, last = rows.days_of(one)
            self._occurrences.append(
                (
                    *(number, at, self._expansion, rows.moment_number(one)),
                    *(first, last, detail, identity, start, end),
                )
            )
            its_number = number_of(self._source, *row)
            self._sums.add(its_number, first, last)
            total += its_number
        self._details += ((number, detail, shared) for shared, detail in details.items())
        return total % (1 << (8 * LANE))

    def statements(self) -> Iterator[tuple[str, list[tuple[object, ...]]]]:
        """(statement, rows of values) in the order in which they have to run."""
        for table, found in (
            (
                "part (id, expansion, collection, uid, first_day, last_day, fine, room, steps,"
                " place, digest)",
                self._parts,
            ),
            ("detail (part, number, payload)", self._details),
            (
                "occurrence (part, number, expansion, moment, first_day, last_day, detail,"
                ' identity, start, "end")',
                self._occurrences,
            ),
            ("todo (part, number, payload)", self._todos),
            ("part_problem (part, payload)", self._problems),
        ):
            marks = ", ".join("?" * (table.count(",") + 1))
            # All names are those above.
            yield f"INSERT INTO {table} VALUES ({marks})", [*found]  # noqa: S608


def drop(
    connection: sqlite3.Connection,
    source: str,
    expansion: int,
    names: Collection[PartName],
    sums: DaySums,
) -> None:
    """Take parts out of an expansion, and their rows out of `sums`; it need not have them."""
    of = (expansion, json.dumps([*names]))
    for first, last, payload, identity, start, end in connection.execute(_ROWS + NAMED, of):
        sums.add(-number_of(source, payload, identity, start, end), first, last)
    ids = f"SELECT p.id FROM part p{NAMED}"  # noqa: S608 - constants
    gone = connection.execute(ids, of).fetchall()
    connection.executemany("DELETE FROM part WHERE id = ?", gone)


def set_places(connection: sqlite3.Connection, expansion: int, order: Iterable[PartName]) -> None:
    """Number the parts that have to-dos or problems in that order of the parts of the source."""
    connection.executemany(
        "UPDATE part SET place = ? WHERE expansion = ? AND uid = ? AND collection = ?"
        " AND place IS NOT NULL",
        ((place, expansion, uid, collection) for place, (collection, uid) in enumerate(order)),
    )


def in_order(connection: sqlite3.Connection, source: str, expansion: int) -> list[PartName]:
    """The parts with to-dos or problems, by where in the source they first appear."""
    found = connection.execute(
        "SELECT c.name, o.name, g.position, p.uid FROM part p"
        " JOIN source s ON s.name = ?1 JOIN collection c ON c.source = s.id"
        " AND c.name = p.collection JOIN uid_group g ON g.uid = p.uid"
        " JOIN object o ON o.id = g.object AND o.collection = c.id"
        " WHERE p.expansion = ?2 AND p.place IS NOT NULL",
        (source, expansion),
    )
    names = dict.fromkeys((collection, uid) for collection, _, _, uid in sorted(found))
    return [*names]


def todos(connection: sqlite3.Connection, expansion: int) -> list[str]:
    """The texts of all to-dos of an expansion, in its order: what comes often a day comes last."""
    found = connection.execute(
        "SELECT t.payload FROM part p JOIN todo t ON t.part = p.id"
        " WHERE p.expansion = ? AND p.place IS NOT NULL ORDER BY p.fine, p.place, t.number",
        (expansion,),
    )
    return [text for (text,) in found]


def problem_texts(connection: sqlite3.Connection, expansion: int) -> list[str]:
    """The texts of the problems of each part, in the order of the source."""
    found = connection.execute(
        "SELECT r.payload FROM part p JOIN part_problem r ON r.part = p.id"
        " WHERE p.expansion = ? AND p.place IS NOT NULL ORDER BY p.place",
        (expansion,),
    )
    return [text for (text,) in found]


def problems(connection: sqlite3.Connection, expansion: int) -> tuple[Problem, ...]:
    """The problems of all parts, in the order of the source."""
    texts = problem_texts(connection, expansion)
    return tuple(one for text in texts for one in rows.problems_of(text))


def _text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
