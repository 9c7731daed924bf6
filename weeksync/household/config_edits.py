"""`config.toml` and the other files of the household, filled in from a page or the keyboard.

What is to be written is worked out as a text first, looked at as `weeksync check` would, and only
written where it has no mistake that was not there before: comments and order stay, and whoever
typed is told which key of which entry is wrong.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from weeksync.errors import EditRefused
from weeksync.household.disk import Disk
from weeksync.household.editing import edit_file
from weeksync.household.ids import ids_of, suffix
from weeksync.household.listing import CONFIG
from weeksync.household.reading import MODELS
from weeksync.household.toml_edits import (
    CannotEdit,
    Value,
    with_entry,
    with_setting,
    with_top_value,
    with_value,
    without_entry,
)
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.problem import Problem
from weeksync.read import MARKABLE, ReadFiles, cross_check, new_id, read_toml

TextEdit = Callable[[str], str]
"""The text of a file → what it is to say; the functions of `toml_edits` are such."""

START = "format = 1\n"
"""What a file says that is not there yet."""

_HEADER = re.compile(r"\s*\[\[?\s*([\w-]+)\s*\]?\]")
_KEY = re.compile(r"\s*([\w-]+)\s*=")


@dataclass(frozen=True, slots=True)
class Wrong:
    """Why something was not written: the entry of its array (from 0, None where it is in none),
    the key, "" where it is none in particular, and what to do."""

    entry: int | None
    key: str
    what: Message
    remedy: Message | None = None


def save(folder: Path, name: str, *edits: TextEdit) -> tuple[Wrong, ...]:
    """Make the edits in the file `name`, all of them or none; () where they were made.

    EditRefused where the file cannot be read or written or has changed meanwhile.
    """

    def edit(text: str) -> str:
        for one in edits:
            text = one(text)
        return text

    wrong = mistakes_after(folder, name, edit)
    if not wrong:
        edit_file(folder, name, _model(name), lambda text, _: edit(text), start=START)
    return wrong


def mistakes_after(folder: Path, name: str, edit: TextEdit) -> tuple[Wrong, ...]:
    """The mistakes that the household would have after an edit, and has not before it."""
    disk = Disk(folder)
    found = {one: disk.read(one) for one in (CONFIG, *MODELS)}
    before = found[name]
    try:
        text = START if before is None else before.decode("utf-8-sig")
        after = edit(text)
    except (UnicodeDecodeError, CannotEdit) as error:
        raise EditRefused(
            message(
                "{file} is written in a way in which just this cannot be changed; it was left as "
                "it is: change it in an editor",
                file=name,
            )
        ) from error
    had = Counter(_plain(one) for one in _problems(found))
    new: list[Problem] = []
    for one in _problems({**found, name: after.encode()}):
        had[_plain(one)] -= 1
        if had[_plain(one)] < 0:
            new.append(one)
    return tuple(_placed(after, one, name) for one in new)


def set_values(table: str, values: Mapping[str, Value | None]) -> TextEdit:
    """Sets keys of the table `[table]`; None takes one away."""

    def edit(text: str) -> str:
        for key, value in values.items():
            text = with_setting(text, table, key, value)
        return text

    return edit


def set_top(key: str, value: Value) -> TextEdit:
    """Sets a key that belongs to no table, as the currency of `money.toml`."""
    return lambda text: with_top_value(text, key, value)


def add_entry(array: str, entry: Mapping[str, Value | None]) -> TextEdit:
    """A new entry at the end of `[[array]]`, with the keys that are not None."""
    said = {key: value for key, value in entry.items() if value is not None}
    return lambda text: with_entry(text, array, said)


def change_entry(array: str, ident: str, values: Mapping[str, Value | None]) -> TextEdit:
    """Sets keys of the entry of that id; what it says already is left as it is written."""

    def edit(text: str) -> str:
        place = _place(text, array, ident)
        for key, value in values.items():
            if tomllib.loads(text)[array][place].get(key) != value:
                text = with_value(text, (array, place), key, value)
        return text

    return edit


def drop_entry(array: str, ident: str) -> TextEdit:
    """Takes the entry of that id away."""
    return lambda text: without_entry(text, (array, _place(text, array, ident)))


def with_id(folder: Path, array: str, entry: Mapping[str, Value | None]) -> dict[str, Value | None]:
    """The entry with a permanent id in front, unlike any in the household."""
    ident = new_id(str(entry.get("title", "")), MARKABLE[array], ids_of(folder), suffix)
    return {"id": ident, **entry}


def named_anywhere(folder: Path, ident: str) -> bool:
    """Whether a file of the household refers to a person, an area or a calendar by its id."""
    disk = Disk(folder)
    for name in (CONFIG, *disk.names("", ".toml"), *disk.names("weeks", ".toml")):
        if _says(_data(disk.read(name) or b""), ident):
            return True
    marks = (disk.read(one) or b"" for one in disk.names("marks", ".csv"))
    heads = (disk.read(one) or b"" for one in disk.names("check-ins", ".md"))
    return any(ident.encode() in one for one in (*marks, *heads))


def _says(value: object, ident: str, key: str = "") -> bool:
    """Whether `ident` is a value anywhere but where an entry is named by it."""
    if isinstance(value, dict):
        return any(_says(one, ident, name) for name, one in value.items())
    if isinstance(value, list):
        return any(_says(one, ident, key) for one in value)
    return value == ident and key != "id"


def _data(content: bytes) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return {}


def _place(text: str, array: str, ident: str) -> int:
    entries: Sequence[Mapping[str, Any]] = tomllib.loads(text).get(array, ())
    for place, entry in enumerate(entries):
        if entry.get("id") == ident:
            return place
    raise CannotEdit  # it was there when the form was made


def _model(name: str) -> type[Any]:
    return Config if name == CONFIG else MODELS[name]


def _problems(contents: Mapping[str, bytes | None]) -> list[Problem]:
    """What `weeksync check` would say of these files, as far as it is a mistake."""
    files = ReadFiles()
    if (config := contents[CONFIG]) is not None:
        files.config = read_toml(CONFIG, config, Config)
    files.files += [
        read_toml(name, content, model)
        for name, model in MODELS.items()
        if (content := contents[name]) is not None
    ]
    found = [problem for one in files.all() for problem in one.problems]
    return [problem for problem in (*found, *cross_check(files)) if problem.counts]


def _plain(problem: Problem) -> str:
    """The problem without its line, which moves when something is put above it."""
    return f"{problem.place.file} {problem.what} {problem.remedy}"


def _placed(text: str, problem: Problem, name: str) -> Wrong:
    lines = text.splitlines()
    line = problem.place.line
    if problem.place.file != name or line is None or line > len(lines):
        return Wrong(None, "", problem.what, problem.remedy)
    above = [found[1] for one in lines[:line] if (found := _HEADER.match(one)) is not None]
    entry = above.count(above[-1]) - 1 if above else None
    key = _KEY.match(lines[line - 1])
    return Wrong(entry, key[1] if key else "", problem.what, problem.remedy)
