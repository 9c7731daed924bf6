"""A TOML text edited in place: one value, one entry, and not a byte of the rest.

Each function takes a text and gives the new one. What it may change is worked out on the data
(`tomllib`) beforehand; where the new text says anything else, or a comment would be lost, it
raises CannotEdit and nothing has happened. Comments, order, spaces and line ends stay.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import deepcopy
from datetime import date, time
from typing import Any

from weeksync.read.positions import Path, Statement, Walk

Inner = str | int | float | bool | date | time
"""A value that holds no other; a datetime is a date, too."""

Value = Inner | Sequence[Inner | Mapping[str, Inner]]
"""What a key of an entry can be set to."""

Table = tuple[str, int]
"""An entry of an array at the top of the file: (array, place from 0)."""

Edit = tuple[int, int, str]
"""(start, end, what to put there)."""

_ESCAPES = {
    '"': '\\"',
    "\\": "\\\\",
    "\b": "\\b",
    "\t": "\\t",
    "\n": "\\n",
    "\f": "\\f",
    "\r": "\\r",
}
_CONTROL = re.compile(r'["\\\x00-\x1f\x7f]')
_BLANK_BEFORE_COMMA = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*,")
_REST_OF_LINE = re.compile(r"[ \t]*(#[^\r\n]*)?(\r?\n|\Z)")
_LINE_END = re.compile(r"\r?\n|\Z")
_BLANK_LINE = re.compile(r"\n(\r?\n)\Z")


class CannotEdit(Exception):
    """The text is not written in a way in which just this could be changed."""


def written(value: Value | Mapping[str, Inner]) -> str:
    """A value as TOML writes it, on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {written(one)}" for key, one in value.items()) + " }"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + _CONTROL.sub(lambda found: _escape(found[0]), value) + '"'
    if isinstance(value, int | float):
        return str(value)
    if isinstance(value, date | time):
        return value.isoformat()
    return "[" + ", ".join(written(one) for one in value) + "]"


def _escape(sign: str) -> str:
    return _ESCAPES.get(sign) or f"\\u{ord(sign):04x}"


def with_value(text: str, table: Table, key: str, value: Value | None) -> str:
    """The text with `key` of the entry set to `value`; None takes the key away."""

    def change(data: dict[str, Any]) -> None:
        entry = data[table[0]][table[1]]
        if value is None:
            entry.pop(key, None)
        else:
            entry[key] = _plain(value)

    return _edited(text, change, lambda walk: _set(walk, table, key, value))


def with_setting(text: str, table: str, key: str, value: Value | None) -> str:
    """The text with `key` of the table `[table]` set to `value`; None takes the key away.

    Where there is no such table, it is put at the end.
    """

    def change(data: dict[str, Any]) -> None:
        if value is not None:
            data.setdefault(table, {})[key] = _plain(value)
        elif table in data:
            data[table].pop(key, None)

    return _edited(text, change, lambda walk: _set_in_table(walk, table, key, value))


def with_top_value(text: str, key: str, value: Value) -> str:
    """The text with `key`, which belongs to no table, set to `value`."""

    def change(data: dict[str, Any]) -> None:
        data[key] = _plain(value)

    return _edited(text, change, lambda walk: [_set_on_top(walk, key, value)])


def with_item(text: str, table: Table, key: str, item: str) -> str:
    """The text with `item` at the end of the list that stands at `key` of the entry."""

    def change(data: dict[str, Any]) -> None:
        data[table[0]][table[1]].setdefault(key, []).append(item)

    return _edited(text, change, lambda walk: _append_item(walk, table, key, item))


def with_entry(text: str, array: str, entry: Mapping[str, Value], after: int | None = None) -> str:
    """The text with a new entry in `array`: behind the one at place `after`, else the last."""

    def change(data: dict[str, Any]) -> None:
        entries = data.setdefault(array, [])
        place = len(entries) if after is None else after + 1
        entries.insert(place, {key: _plain(value) for key, value in entry.items()})

    return _edited(text, change, lambda walk: _insert(walk, array, entry, after))


def without_entry(text: str, table: Table) -> str:
    """The text without an entry; comments on lines of their own stay."""

    def change(data: dict[str, Any]) -> None:
        del data[table[0]][table[1]]
        if not data[table[0]]:
            del data[table[0]]

    return _edited(text, change, lambda walk: _removed(walk, table))


def _edited(
    text: str, change: Callable[[dict[str, Any]], None], edits: Callable[[Walk], list[Edit]]
) -> str:
    """The text after edits, if it then says what `change` makes of its data, and no other."""
    try:
        before = tomllib.loads(text)
        wanted = deepcopy(before)
        change(wanted)
        walk = Walk(text)
        if not walk.run():
            raise CannotEdit
        cuts = edits(walk)
        new = _applied(walk, cuts)
        after = tomllib.loads(new)
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError) as error:
        raise CannotEdit from error
    if _normal(after) != _normal(wanted):
        raise CannotEdit
    return new


def _applied(walk: Walk, edits: Iterable[Edit]) -> str:
    text = walk.text
    for start, end, put in sorted(edits, reverse=True):
        if any(start < ends and begins < end for begins, ends in walk.comments):
            raise CannotEdit
        text = text[:start] + put + text[end:]
    return text


def _normal(data: dict[str, Any]) -> str:
    """Data as text, so that 1, 1.0 and true differ and nan is itself; no array is an empty one."""
    filled = {key: value for key, value in data.items() if value != []}
    return json.dumps(filled, sort_keys=True, default=repr)


def _plain(value: Value) -> Any:
    if isinstance(value, str | int | float | date | time):
        return value
    return [dict(one) if isinstance(one, Mapping) else one for one in value]


def _set_in_table(walk: Walk, table: str, key: str, value: Value | None) -> list[Edit]:
    if (table,) in walk.spots:
        return _set(walk, (table,), key, value)
    if value is None:
        return []
    return [_at_the_end(walk.text, (f"[{table}]", f"{key} = {written(value)}"))]


def _set_on_top(walk: Walk, key: str, value: Value) -> Edit:
    if (key,) in walk.ends:
        return walk.spots[(key,)].value, walk.ends[(key,)], written(value)
    above = [one.end for one in walk.statements if one.table == () and not one.header]
    if not above:
        return 0, 0, f"{key} = {written(value)}{_newline(walk.text)}"
    at = _line_end(walk.text, above[-1])
    return at, at, f"{_newline(walk.text)}{key} = {written(value)}"


def _set(walk: Walk, table: Path, key: str, value: Value | None) -> list[Edit]:
    path: Path = (*table, key)
    there = path in walk.ends
    if value is None:
        return _key_removed(walk, table, path) if there else []
    if there:
        return [(walk.spots[path].value, walk.ends[path], written(value))]
    return [_key_added(walk, table, f"{key} = {written(value)}")]


def _key_added(walk: Walk, table: Path, pair: str) -> Edit:
    if walk.spots[table].header_end < 0:  # an entry in braces
        last = max((end for path, end in walk.ends.items() if _below(path, table)), default=-1)
        if last < 0:
            inside = walk.spots[table].value + 1
            return inside, inside, f" {pair} "
        return last, last, f", {pair}"
    body = [one for one in walk.statements if one.table == table]
    at = _line_end(walk.text, body[-1].end)
    indent = _indent(walk.text, body[-1].start)
    return at, at, f"{_newline(walk.text)}{indent}{pair}"


def _below(path: Path, table: Path) -> bool:
    return len(path) > len(table) and path[: len(table)] == table


def _line_end(text: str, at: int) -> int:
    """The offset of the end of the line that `at` lies in, before its line break."""
    found = _LINE_END.search(text, at)
    return found.start() if found else len(text)


def _indent(text: str, at: int) -> str:
    before = text[text.rfind("\n", 0, at) + 1 : at]
    return before if not before.strip() else ""


def _newline(text: str) -> str:
    """The line break that the text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def _key_removed(walk: Walk, table: Path, path: Path) -> list[Edit]:
    start, end = walk.spots[path].key, walk.ends[path]
    if walk.spots[table].header_end >= 0:
        return [_lines_removed(walk.text, start, end)]
    others = [other for other in walk.spots if len(other) == len(path) and _below(other, table)]
    following = [walk.spots[one].key for one in others if walk.spots[one].key > start]
    if following:
        return [(start, min(following), "")]
    comma = walk.text.rfind(",", walk.spots[table].value, start)
    return [(comma if len(others) > 1 else start, end, "")]


def _lines_removed(text: str, start: int, end: int) -> Edit:
    """Takes away a statement with its lines; a comment behind it keeps its line."""
    rest = _REST_OF_LINE.match(text, end)
    if rest is None:
        raise CannotEdit
    if rest[1] is not None:
        return start, rest.start(1), ""
    return start - len(_indent(text, start)), rest.end(), ""


def _append_item(walk: Walk, table: Table, key: str, item: str) -> list[Edit]:
    path: Path = (*table, key)
    if path not in walk.ends:
        return [_key_added(walk, table, f"{key} = {written([item])}")]
    last = max(
        (end for other, end in walk.ends.items() if _below(other, path)),
        default=-1,
    )
    if last < 0:
        inside = walk.spots[path].value + 1
        return [(inside, inside, written(item))]
    return [(last, last, f", {written(item)}")]


def _insert(walk: Walk, array: str, entry: Mapping[str, Value], after: int | None) -> list[Edit]:
    text, newline = walk.text, _newline(walk.text)
    pairs = [f"{key} = {written(value)}" for key, value in entry.items()]
    if (array,) in walk.ends:
        return [_in_brackets(walk, array, f"{{ {', '.join(pairs)} }}", after)]
    block = newline.join([f"[[{array}]]", *pairs])
    ends = {
        int(one.table[1]): one.end
        for one in walk.statements
        if len(one.table) > 1 and one.table[0] == array
    }
    if ends:
        at = _line_end(text, ends[max(ends) if after is None else after])
        return [(at, at, newline * 2 + block)]
    return [_at_the_end(text, (f"[[{array}]]", *pairs))]


def _at_the_end(text: str, lines: Sequence[str]) -> Edit:
    newline = _newline(text)
    gap = "" if not text or text.endswith(newline * 2) else newline
    before = "" if not text or text.endswith("\n") else newline
    return len(text), len(text), before + gap + newline.join(lines) + newline


def _in_brackets(walk: Walk, array: str, entry: str, after: int | None) -> Edit:
    """Into an array that is written as a list of entries in braces."""
    ends = {path[1]: end for path, end in walk.ends.items() if len(path) == 2 and path[0] == array}
    if not ends:
        inside = walk.spots[(array,)].value + 1
        return inside, inside, entry
    at = ends[len(ends) - 1 if after is None else after]
    return at, at, f", {entry}"


def _removed(walk: Walk, table: Table) -> list[Edit]:
    if walk.spots[table].header_end < 0:
        return _braces_removed(walk, table)
    if any(_below(one.table, table) for one in walk.statements):
        raise CannotEdit  # tables of its own below it
    statements = [one for one in walk.statements if one.table == table]
    return [_cut(walk.text, one) for one in statements]


def _cut(text: str, one: Statement) -> Edit:
    start, end, put = _lines_removed(text, one.start, one.end)
    if one.header:  # with the blank line above it
        above = _BLANK_LINE.search(text[max(start - 3, 0) : start])
        start -= len(above[1]) if above else 0
    return start, end, put


def _braces_removed(walk: Walk, table: Table) -> list[Edit]:
    start, end = walk.spots[table].value, walk.ends[table]
    comma = _BLANK_BEFORE_COMMA.match(walk.text, end)
    if comma is not None:
        return [(start, end, ""), (comma.end() - 1, comma.end(), "")]
    if table[1] == 0:
        return [(start, end, "")]
    before = _BLANK_BEFORE_COMMA.match(walk.text, walk.ends[(table[0], table[1] - 1)])
    if before is None:
        raise CannotEdit
    return [(before.end() - 1, before.end(), ""), (start, end, "")]
