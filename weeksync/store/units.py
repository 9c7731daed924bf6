"""What pages were made from: a row for each unit of pages, as a week with all its pages.

Every function works inside the transaction of its caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Mapping

Row = tuple[str, str, str, str]
"""(key, made_of, pages as JSON, gist as JSON)"""


def load(connection: sqlite3.Connection) -> dict[str, Row]:
    """Every unit by its name."""
    rows = connection.execute("SELECT name, key, made_of, pages, gist FROM unit ORDER BY name")
    return {name: (key, made_of, pages, gist) for name, key, made_of, pages, gist in rows}


def save(connection: sqlite3.Connection, changed: Mapping[str, Row], gone: Collection[str]) -> None:
    """Put these in the place of those of the same name, and drop those that are gone."""
    connection.executemany("DELETE FROM unit WHERE name = ?", ((name,) for name in gone))
    connection.executemany(
        "INSERT OR REPLACE INTO unit (name, key, made_of, pages, gist) VALUES (?, ?, ?, ?, ?)",
        ((name, *row) for name, row in changed.items()),
    )
