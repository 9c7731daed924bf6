"""One entry of a household file added, changed or taken out, after it was looked at.

The text that is to be written is made first, held against what it says now, and written only
where the file is still the one that it was made from.
"""

from __future__ import annotations

import codecs
import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import field
from datetime import date, time
from pathlib import Path
from typing import Any

from weeksync.errors import EditRefused
from weeksync.household.disk import Disk
from weeksync.household.editing import changed, content_of, edit_file
from weeksync.household.reading import toml_files
from weeksync.household.toml_edits import Value, with_entry, with_value, without_entry
from weeksync.lazy import dataclass
from weeksync.model.fields import FileRecord
from weeksync.model.record import Record

START = "format = 1\n"
"""What a file says that is made for its first entry."""

NAMELESS = "at-"
"""How the keys begin of entries that have no id: the rest stands for all that they say."""


@dataclass(frozen=True, slots=True)
class EntryEdit:
    """What becomes of one entry of `array`: None for `place` is a new one at the end.

    `values` are its keys with their new values, None to take a key away; `out` takes out the
    entry.
    """

    array: str
    place: int | None
    values: Mapping[str, Value | None] = field(default_factory=dict)
    out: bool = False


def edited(text: str, edit: EntryEdit) -> str:
    """The text after the edit; CannotEdit where it is written in a way that does not allow it."""
    if edit.place is None:
        said = {key: value for key, value in edit.values.items() if value is not None}
        return with_entry(text, edit.array, said)
    if edit.out:
        return without_entry(text, (edit.array, edit.place))
    for key, value in edit.values.items():
        text = with_value(text, (edit.array, edit.place), key, value)
    return text


def text_of(folder: Path, name: str) -> str:
    """The text of a file without byte order mark, `START` where there is none.

    EditRefused where it cannot be read; a file that is no UTF-8 is refused by `write`.
    """
    content = content_of(folder, name)
    if content is None:
        return START
    return content.removeprefix(codecs.BOM_UTF8).decode("utf-8", "replace")


def write(folder: Path, name: str, model: type[FileRecord], before: str, after: str) -> None:
    """Write the text `after` where the file still says `before`; else EditRefused."""

    def edit(text: str, _: Record) -> str:
        if text != before:
            raise EditRefused(changed(name))
        return after

    edit_file(folder, name, model, edit, start=START)


def entries_of(text: str, array: str) -> list[dict[str, Any]]:
    """The entries of an array as the text has them; none where it is no TOML."""
    try:
        found = tomllib.loads(text).get(array, [])
    except (ValueError, RecursionError):
        return []
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def key_of(entry: Mapping[str, Any]) -> str:
    """What an entry is known by: its id, or a text made from all that it says."""
    given = entry.get("id")
    if isinstance(given, str) and given:
        return given
    said = repr(sorted((key, _said(value)) for key, value in entry.items()))
    return NAMELESS + hashlib.sha256(said.encode()).hexdigest()[:16]


def _said(value: object) -> str:
    """A value in one form, whether a file or a record has it: lists are tuples there."""
    if isinstance(value, str):
        return repr(str(value).strip())
    if isinstance(value, date | time):
        return value.isoformat()
    return repr([_said(one) for one in value]) if isinstance(value, list | tuple) else repr(value)


def place_of(text: str, array: str, key: str) -> int | None:
    """The place of the entry that is known by `key`; None where there is none."""
    entries = enumerate(entries_of(text, array))
    return next((place for place, entry in entries if key_of(entry) == key), None)


def holder_of(folder: Path, array: str, key: str, model: type[FileRecord]) -> str | None:
    """The name of the file of that model that has the entry; None where none has it."""
    disk = Disk(folder)
    for name, other in toml_files(disk).items():
        if other is model and place_of(text_of(folder, name), array, key) is not None:
            return name
    return None
