"""Units of pages: what is made together, from what it was made, and which pages came of it.

A unit is a week with all its pages, a month, a span that is looked back on, a year, or one page
alone. Its `key` stands for all that goes into it, its `made_of` for what was worked out of that
before anything was rendered. Pages are taken over only where the file that is shown still is, byte
for byte, the page that was noted; what cannot be read, or was damaged, is made again.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import field
from pathlib import Path
from typing import Any

from weeksync.errors import StoreError
from weeksync.lazy import dataclass
from weeksync.site.tree_files import Kept
from weeksync.store import Store
from weeksync.store.units import Row

Gist = list[Any]
"""The little of a unit that other pages need; plain JSON."""


@dataclass(frozen=True, slots=True)
class Unit:
    """What came of a unit when it was made last; `pages`: place in the output → SHA-256 in hex."""

    key: str
    made_of: str = ""
    pages: Mapping[str, str] = field(default_factory=dict)
    gist: Gist = field(default_factory=list)


class Units:
    """The units of a household: those of the last run, and those of this one."""

    def __init__(self, store: Store, output: Path) -> None:
        self._store = store
        self._output = os.fspath(output)
        self._rows = store.units()
        self._now: dict[str, Unit] = {}
        self._before: dict[str, Unit | None] = {}
        self._shown: dict[str, tuple[Kept, str] | None] = {}

    @property
    def is_new(self) -> bool:
        """Whether nothing was made yet that could stay."""
        return not self._rows

    def before(self, name: str) -> Unit | None:
        """The unit as it was made last; None where it was not, or its row is no use."""
        if name not in self._before:
            row = self._rows.get(name)
            self._before[name] = _unit(row) if row is not None else None
        return self._before[name]

    def is_kept(self, name: str, key: str) -> bool:
        """Whether nothing that goes into the unit has changed, and its pages are shown."""
        unit = self.before(name)
        return unit is not None and unit.key == key and self._is_shown(unit)

    def kept(self, name: str, key: str) -> Unit | None:
        """The unit where it `is_kept`: then it is one of this run, too."""
        unit = self.before(name) if self.is_kept(name, key) else None
        if unit is not None:
            self._now[name] = unit
        return unit

    def same(self, name: str, made_of: str) -> Unit | None:
        """The unit where it was made of the same, and its pages are shown."""
        unit = self.before(name)
        return unit if unit and unit.made_of == made_of and self._is_shown(unit) else None

    def note(self, name: str, unit: Unit) -> None:
        """This is what came of it now."""
        self._now[name] = unit

    def pages(self, unit: Unit, tree: str) -> dict[str, bytes]:
        """Its pages in a tree as they are shown, by their path there."""
        head = f"{tree}/"
        found: dict[str, bytes] = {}
        for place in unit.pages:
            shown = self._read(place) if place.startswith(head) else None
            if shown is not None:
                found[place.removeprefix(head)] = shown[0]
        return found

    def save(self) -> None:
        """Keep what is new, and drop what is no unit any more.

        Where that cannot be done, the pages are there all the same, and are made again.
        """
        rows = {name: _row(unit) for name, unit in self._now.items()}
        changed = {name: row for name, row in rows.items() if self._rows.get(name) != row}
        gone = self._rows.keys() - rows.keys()
        if self._store.writable and (changed or gone):
            with suppress(StoreError):
                self._store.save_units(changed, gone)

    def _is_shown(self, unit: Unit) -> bool:
        return all(
            (shown := self._read(place)) is not None and shown[1] == digest
            for place, digest in unit.pages.items()
        )

    def _read(self, place: str) -> tuple[Kept, str] | None:
        if place not in self._shown:
            try:
                with open(f"{self._output}/{place}", "rb", buffering=0) as file:
                    content = Kept(file.read())
            except (OSError, ValueError):
                self._shown[place] = None
            else:
                self._shown[place] = content, digest_of(content)
        return self._shown[place]


def digest_of(content: bytes) -> str:
    """The SHA-256 of a page in hex."""
    return hashlib.sha256(content).hexdigest()


def noted(trees: Mapping[str, Mapping[str, bytes]], names: Iterable[str]) -> dict[str, str]:
    """Place → digest of those of the pages of these names that there are, in any tree."""
    return {
        f"{tree}/{name}": digest_of(files[name])
        for name in names
        for tree, files in trees.items()
        if name in files
    }


def _unit(row: Row) -> Unit | None:
    try:
        unit = Unit(row[0], row[1], json.loads(row[2]), json.loads(row[3]))
    except ValueError:
        return None
    return unit if isinstance(unit.pages, dict) and isinstance(unit.gist, list) else None


def _row(unit: Unit) -> tuple[str, str, str, str]:
    pages = json.dumps(dict(sorted(unit.pages.items())), separators=(",", ":"))
    return unit.key, unit.made_of, pages, json.dumps(unit.gist, separators=(",", ":"))
