"""One household file as read: its record, its problems, and the way back to its lines."""

from __future__ import annotations

from functools import cached_property
from typing import Generic, TypeVar

from weeksync.message import Message
from weeksync.model.fields import Record
from weeksync.model.problem import Problem
from weeksync.read.positions import Path, Positions
from weeksync.read.syntax import Loaded
from weeksync.read.text import mistake

R = TypeVar("R", bound=Record)


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
        entries = self.loaded.data.get(array)
        found = {
            entry["id"]
            for entry in (entries if isinstance(entries, list) else [])
            if isinstance(entry, dict) and isinstance(entry.get("id"), str)
        }
        return found | self.loaded.lost_ids

    def report(self, line: int, what: Message, remedy: Message) -> None:
        """Adds a mistake."""
        self.problems.append(mistake(self.name, line, what, remedy))


def unread(name: str, model: type[R]) -> Parsed[R]:
    """A file that is there and could not be read: it may hold anything."""
    return Parsed(name, model, Loaded(usable=False))
