"""Objects that we have written to their server, put in the place of those that were pulled.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from weeksync.lazy import dataclass
from weeksync.model.problem import Problem
from weeksync.model.pulled import IndexedObject
from weeksync.store import objects
from weeksync.store.rows import problems_of, problems_text


@dataclass(frozen=True, slots=True)
class WrittenObject:
    """An object as its server has it now; `token` is that of its collection from now on.

    It is taken over where the store still has one of the tags in `instead_of`: else a pull has
    been there meanwhile, and what it brought is as new or newer.
    """

    collection: str
    one: IndexedObject
    instead_of: Collection[str]
    token: str


def take_written(
    connection: sqlite3.Connection,
    source: str,
    written: Iterable[WrittenObject],
    problems: Sequence[Problem],
    at: datetime,
) -> None:
    """Put these in their places, and add to what there is to know of the source.

    Text, tag and token change together, so that the next pull finds nothing that it knows under
    another tag. When the source was pulled last stays as it was.
    """
    for one in written:
        found = connection.execute(
            "SELECT c.id, o.tag FROM collection c JOIN source s ON s.id = c.source"
            " JOIN object o ON o.collection = c.id"
            " WHERE s.name = ? AND c.name = ? AND o.name = ? AND o.kept = 0",
            (source, one.collection, one.one.raw.name),
        ).fetchone()
        if found is not None and found[1] in one.instead_of:
            objects.save_objects(connection, found[0], [one.one], objects.text_of(at))
            connection.execute(
                "UPDATE collection SET token = ? WHERE id = ?", (one.token, found[0])
            )
    if problems:
        row = connection.execute("SELECT problems FROM source WHERE name = ?", (source,)).fetchone()
        if row is not None:
            known = {str(each): each for each in (*problems_of(row[0]), *problems)}
            connection.execute(
                "UPDATE source SET problems = ? WHERE name = ?",
                (problems_text(known.values()), source),
            )
