"""One household file as read: its record, its problems, and the way back to its lines."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any, Generic, TypeVar

from weeksync.message import Message
from weeksync.model.problem import Problem
from weeksync.model.record import Record
from weeksync.read.positions import Path, Positions
from weeksync.read.syntax import Loaded
from weeksync.read.text import mistake

R = TypeVar("R", bound=Record)
Table = Mapping[str, Any]
"""A table as the file has it, before it is a record."""


def is_id(value: object) -> bool:
    """Whether it is written as ids are."""
    return isinstance(value, str) and _ID.fullmatch(value) is not None


_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,63}", re.ASCII)


class Parsed(Generic[R]):
    """One file as read.

    `record` is None where the file cannot be used; `checked` then still holds what is right in
    it, for the checks between files. `kept` says which entry of an array of the file (from 0)
    each entry of the record was.
    """

    def __init__(self, name: str, model: type[R], loaded: Loaded, first_line: int = 1) -> None:
        self.name = name
        self.model = model
        self.loaded = loaded
        self.record: R | None = None
        self.checked: R | None = None
        self.kept: dict[str, list[int]] = {}
        self.problems: list[Problem] = loaded.problems
        self._first_line = first_line

    @cached_property
    def positions(self) -> Positions:
        """Where keys and values stand; worked out when first asked for."""
        return Positions(self.loaded.text, self._first_line)

    def line(self, path: Path) -> int:
        """The line of the value at `path` of the record."""
        if len(path) > 1 and isinstance(path[1], int) and path[0] in self.kept:
            path = (path[0], self.kept[str(path[0])][path[1]], *path[2:])
        return self.positions.line(path)

    def ids(self, array: str) -> set[str]:
        """The ids in an array of the file, those of entries with mistakes too."""
        found = {entry["id"] for _, entry in self.entries(array) if is_id(entry.get("id"))}
        return found | self.loaded.lost_ids

    def entries(self, array: str) -> Iterator[tuple[int, Table]]:
        """(place, entry) of each table in an array of the file, with mistakes or not."""
        found = self.loaded.data.get(array)
        for index, entry in enumerate(found if isinstance(found, list) else []):
            if isinstance(entry, dict):
                yield index, entry

    def tables(self) -> Iterator[tuple[Path, Table]]:
        """Every table of the file, at whatever depth, with its place in the file."""
        yield from _inside((), self.loaded.data)

    def report(self, line: int, what: Message, remedy: Message) -> None:
        """Adds a mistake."""
        self.problems.append(mistake(self.name, line, what, remedy))


def _inside(path: Path, value: object) -> Iterator[tuple[Path, Table]]:
    if isinstance(value, dict):
        yield path, value
        for key, inner in value.items():
            yield from _inside((*path, key), inner)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _inside((*path, index), inner)


def unread(name: str, model: type[R]) -> Parsed[R]:
    """A file that is there and could not be read: it may hold anything."""
    return Parsed(name, model, Loaded(usable=False))
