"""Permanent ids for what can be marked, carried or paid: made from the title, never changed.

A new id is put in as text at the place the walk of `weeksync.read.positions` finds, so that not
a byte of the rest of the file changes: neither comments nor order, line ends or spaces.
"""

from __future__ import annotations

import codecs
import hashlib
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from weeksync.read.parsed import R
from weeksync.read.positions import Path, Positions, Spot

MARKABLE = {
    "appointments": "appointment",
    "routines": "routine",
    "tasks": "task",
    "habits": "habit",
    "bills": "bill",
    "pay_days": "pay-day",
    "goals": "goal",
    "lessons": "lesson",
    "breaks": "break",
}
"""The arrays whose entries have a permanent id, with the word that stands where a title gives
no letters; all of them share one space of ids, since a mark names nothing but the id. Of breaks
those of a week: the breaks of `terms.toml` are stretches of days, which nobody marks."""

_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)
_ALPHABET = "abcdefghijkmnpqrstuvwxyz23456789"


def slug(title: str, otherwise: str) -> str:
    """`title` in small ASCII letters, digits and hyphens, at most 40; `otherwise` where none."""
    plain = unicodedata.normalize("NFKD", title.lower().translate(_LETTERS))
    ascii_only = plain.encode("ascii", "ignore").decode()
    words = re.sub(r"[^a-z0-9]+", "-", re.sub(r"['’]", "", ascii_only)).strip("-")
    return words[:40].strip("-") or otherwise


def new_id(title: str, word: str, taken: set[str], suffix: Callable[[], str]) -> str:
    """An id for an entry of that title (`word` where it gives no letters); it joins `taken`."""
    return _unique(slug(title, word), taken, suffix)


def ids_in(content: bytes) -> set[str]:
    """The ids of the entries of a file; none where it is no TOML."""
    try:
        data = tomllib.loads(content.removeprefix(codecs.BOM_UTF8).decode("utf-8"))
    except (ValueError, RecursionError):
        return set()
    entries = [one for array in MARKABLE for one in _entries(data, array)]
    return {one["id"] for one in entries if isinstance(one.get("id"), str)}


def _entries(data: dict[str, Any], array: str) -> list[dict[str, Any]]:
    found = data.get(array)
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def with_ids(content: bytes, taken: set[str], suffix: Callable[[], str]) -> bytes:
    """The file with an `id` in each entry that had a title and none.

    `taken` are the ids in use anywhere in the household; new ones are added to it. `suffix`
    gives four characters that make an id unlike others. A file that is no TOML comes back as
    it is.
    """
    mark = codecs.BOM_UTF8 if content.startswith(codecs.BOM_UTF8) else b""
    try:
        text = content.removeprefix(mark).decode("utf-8")
        data = tomllib.loads(text)
        lacking = list(_lacking(data))
        if not lacking:
            return content
        new = _put_in(text, data, lacking, taken, suffix)
        same = _without_ids(tomllib.loads(new)) == _without_ids(data)
    except (ValueError, RecursionError):
        return content
    return mark + new.encode() if same else content


def _put_in(
    text: str,
    data: dict[str, Any],
    lacking: list[Path],
    taken: set[str],
    suffix: Callable[[], str],
) -> str:
    spots = Positions(text).spots
    first_keys = _first_keys(spots)
    edits = []
    for path in lacking:
        array, index = str(path[0]), int(path[1])
        new = new_id(_title(array, data[array][index]), MARKABLE[array], taken, suffix)
        edits.append(_edit(text, spots, path, first_keys.get(path), new))
    for start, end, put in sorted(edits, reverse=True):
        text = text[:start] + put + text[end:]
    return text


def _lacking(data: dict[str, Any]) -> Iterator[Path]:
    """The entries without an id, in the order in which they stand in each array."""
    for array in MARKABLE:
        entries = data.get(array)
        for index, entry in enumerate(entries if isinstance(entries, list) else []):
            if isinstance(entry, dict) and not entry.get("id") and _title(array, entry):
                yield (array, index)


def _title(array: str, entry: dict[str, Any]) -> str:
    """What an id is made from; "" for an entry that is to have none."""
    if array == "breaks":
        what = entry.get("what") or MARKABLE[array]
        return what if isinstance(what, str) and entry.get("date") else ""
    title = entry.get("title", entry.get("subject", ""))
    return title.strip() if isinstance(title, str) else ""


def _unique(base: str, taken: set[str], suffix: Callable[[], str]) -> str:
    new = f"{base}-{suffix()}"
    tried = 1
    while new in taken:
        tried += 1
        new = f"{base}-{suffix()}" if tried < 100 else f"{base}-{tried}"
    taken.add(new)
    return new


def _edit(
    text: str, spots: dict[Path, Spot], path: Path, first_key: int | None, new: str
) -> tuple[int, int, str]:
    """(start, end, what to put there) that gives the entry at `path` its id."""
    empty = spots.get((*path, "id"))
    if empty is not None:  # id = "": the two quotes
        return empty.value, empty.value + 2, f'"{new}"'
    spot = spots[path]
    if spot.header_end < 0:  # an entry in braces
        return spot.value + 1, spot.value + 1, f' id = "{new}",'
    line = f'{_indent(text, first_key)}id = "{new}"'
    end = text.find("\n", spot.header_end)
    if end < 0:
        return len(text), len(text), f"\n{line}\n"
    newline = "\r\n" if text[end - 1] == "\r" else "\n"
    return end + 1, end + 1, f"{line}{newline}"


def _first_keys(spots: dict[Path, Spot]) -> dict[Path, int]:
    """The offset of the first key of each entry."""
    first: dict[Path, int] = {}
    for path, spot in spots.items():
        if len(path) == 3 and spot.header_end < 0:
            first[path[:2]] = min(spot.key, first.get(path[:2], spot.key))
    return first


def _indent(text: str, first_key: int | None) -> str:
    """The white space before the entry's first key."""
    if first_key is None:
        return ""
    before = text[text.rfind("\n", 0, first_key) + 1 : first_key]
    return before if not before.strip() else ""


def _without_ids(data: dict[str, Any]) -> dict[str, Any]:
    return {
        key: [
            {name: one for name, one in entry.items() if name != "id"}
            if isinstance(entry, dict)
            else entry
            for entry in value
        ]
        if key in MARKABLE and isinstance(value, list)
        else value
        for key, value in data.items()
    }


def filled(record: R, taken: set[str]) -> tuple[R, int]:
    """(the record with an id in every entry, how many had none).

    For files that weeksync cannot write to. The ids are made from what stands in the entry, so
    that the same file has the same ids in the next run; new ones are added to `taken`.
    """
    changed: dict[str, object] = {}
    count = 0
    for array, word in MARKABLE.items():
        entries = getattr(record, array, ())
        if all(getattr(entry, "id", "none") for entry in entries):
            continue
        count += sum(not entry.id for entry in entries)
        changed[array] = tuple(
            entry if entry.id else _derived(entry, word, taken) for entry in entries
        )
    return replace(record, **changed), count


def _derived(entry: Any, word: str, taken: set[str]) -> Any:
    title = next(
        (text for key in ("title", "subject", "what") if (text := getattr(entry, key, ""))), ""
    )
    tries = iter(range(1_000_000))

    def suffix() -> str:
        digest = hashlib.sha256(f"{word}\n{title}\n{next(tries)}".encode()).digest()
        return "".join(_ALPHABET[byte % len(_ALPHABET)] for byte in digest[:4])

    return replace(entry, id=new_id(title, word, taken, suffix))
