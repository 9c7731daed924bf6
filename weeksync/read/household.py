"""All files of a household as read, before they are put together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import TYPE_CHECKING, Any

from weeksync.lazy import dataclass
from weeksync.model.config import Config
from weeksync.read.marks import ParsedMarks
from weeksync.read.parsed import Parsed, is_id

if TYPE_CHECKING:
    from weeksync.read.checkins import ParsedCheckIn


@dataclass
class ReadFiles:
    """`config` is None where there is no such file; `files` are the other TOML files."""

    config: Parsed[Config] | None = None
    files: list[Parsed[Any]] = field(default_factory=list)
    marks: list[ParsedMarks] = field(default_factory=list)
    check_ins: list[ParsedCheckIn] = field(default_factory=list)

    def all(self) -> Iterator[Parsed[Any]]:
        """Every TOML file, `config.toml` first."""
        if self.config is not None:
            yield self.config
        yield from self.files

    def known(self, *arrays: str) -> set[str] | None:
        """The ids given in these arrays of any file, those of entries with mistakes too.

        None where a file that may hold some could not be read: then nobody can say what is
        unknown.
        """
        if self.config is None and set(arrays) & set(Config.field_names()):
            return None
        holders = [one for one in self.all() if set(arrays) & set(one.model.field_names())]
        if any(parsed.checked is None for parsed in holders):
            return None
        return {one for parsed in holders for array in arrays for one in parsed.ids(array)}

    def first_person(self) -> str:
        """The id of the first person of `config.toml`, whose check-ins need no name; "" if none."""
        entries = self.config.entries("people") if self.config is not None else ()
        return next((one["id"] for _, one in entries if is_id(one.get("id"))), "")
