"""A TOML text edited deeper than `toml_edits` does: in a table of an entry, in a list of entries.

The same promise: what the new text says is compared with what was meant, and CannotEdit is raised
where it says anything else or a comment would be lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from weeksync.household import toml_edits as flat
from weeksync.household.toml_edits import CannotEdit, Edit, Table, Value, written
from weeksync.read.positions import Path, Walk


def with_top_value(text: str, key: str, value: str) -> str:
    """The text with `key` at the top of the file set to `value`, in lines where it has several."""

    def change(data: dict[str, Any]) -> None:
        data[key] = value

    def edits(walk: Walk) -> list[Edit]:
        new = _in_lines(value, flat._newline(text))
        if (key,) in walk.ends:
            return [(walk.spots[(key,)].value, walk.ends[(key,)], new)]
        top = [one for one in walk.statements if one.table == () and not one.header]
        at = flat._line_end(text, top[-1].end) if top else 0
        line = f"{key} = {new}"
        newline = flat._newline(text)
        return [(at, at, f"{newline}{line}" if top else f"{line}{newline}")]

    return flat._edited(text, change, edits)


def _in_lines(value: str, newline: str) -> str:
    """The text as TOML writes it: between three quotation marks where it has several lines."""
    if "\n" not in value:
        return written(value)
    lines = (written(line)[1:-1] for line in value.split("\n"))
    return f'"""{newline}' + newline.join(lines) + '"""'


def with_value_at(text: str, table: Table, inner: str, key: str, value: str | None) -> str:
    """The text with `key` of the table `inner` of an entry set; None takes the key away."""

    def change(data: dict[str, Any]) -> None:
        entry = data[table[0]][table[1]]
        if value is None:
            entry.get(inner, {}).pop(key, None)
        else:
            entry.setdefault(inner, {})[key] = value

    def edits(walk: Walk) -> list[Edit]:
        path: Path = (*table, inner)
        if path in walk.spots:
            return flat._set(walk, path, key, value)
        if value is None:
            return []
        return [flat._key_added(walk, table, f"{inner} = {{ {key} = {written(value)} }}")]

    return flat._edited(text, change, edits)


def with_inline(text: str, table: Table, key: str, entry: Mapping[str, Value]) -> str:
    """The text with a new entry in braces at the end of the list `key` of an entry."""

    def change(data: dict[str, Any]) -> None:
        data[table[0]][table[1]].setdefault(key, []).append(dict(entry))

    def edits(walk: Walk) -> list[Edit]:
        path: Path = (*table, key)
        pairs = ", ".join(f"{name} = {written(value)}" for name, value in entry.items())
        new = f"{{ {pairs} }}"
        if path not in walk.ends:
            if any(flat._below(one.table, path) for one in walk.statements):
                raise CannotEdit  # written as tables of their own
            return [flat._key_added(walk, table, f"{key} = [{new}]")]
        own = [
            end
            for other, end in walk.ends.items()
            if len(other) == len(path) + 1 and flat._below(other, path)
        ]
        if not own:
            inside = walk.spots[path].value + 1
            return [(inside, inside, new)]
        return [(max(own), max(own), f", {new}")]

    return flat._edited(text, change, edits)


def with_days(text: str, table: Table, key: str, days: Sequence[date]) -> str:
    """The text with a list of days at `key` of an entry."""

    def change(data: dict[str, Any]) -> None:
        data[table[0]][table[1]][key] = list(days)

    def edits(walk: Walk) -> list[Edit]:
        new = "[" + ", ".join(written(day) for day in days) + "]"
        path: Path = (*table, key)
        if path in walk.ends:
            return [(walk.spots[path].value, walk.ends[path], new)]
        return [flat._key_added(walk, table, f"{key} = {new}")]

    return flat._edited(text, change, edits)
