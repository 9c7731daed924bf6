"""A household file in TOML to its frozen record, with every mistake and its line.

What is wrong in one entry costs that entry alone: the others are kept. Values are taken as they
are written: a number in quotes is no number, and no number is a date.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, time

from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.problem import Problem
from weeksync.read.checked import checked_json
from weeksync.read.parsed import Parsed, R
from weeksync.read.positions import Path
from weeksync.read.syntax import load

STAND_INS: dict[str, object] = {
    "format": 1,
    "household": {"name": "?", "time_zone": "UTC"},
    "people": [{"id": "nobody", "name": "?"}],
}
"""What takes the place of a required part that is missing, so that the rest can be checked."""


def parse_toml(name: str, content: bytes, model: type[R]) -> tuple[R | None, tuple[Problem, ...]]:
    """The record of the file `name`, and every mistake in it by line.

    None where the file cannot be used: no text, another format, or for `config.toml` a table
    with a mistake. Elsewhere a bad entry or value is left out, and the rest is kept.
    """
    parsed = read_toml(name, content, model)
    return parsed.record, tuple(parsed.problems)


def read_toml(name: str, content: bytes, model: type[R], first_line: int = 1) -> Parsed[R]:
    """As `parse_toml`, with what is needed to find lines afterwards."""
    loaded = load(name, content, first_line)
    parsed: Parsed[R] = Parsed(name, model, loaded, first_line)
    if not loaded.usable or _other_format(parsed):
        return parsed
    try:
        _validate(parsed, model)
    except (RecursionError, ValueError):  # deeper, or with longer numbers, than Python takes
        parsed.report(
            first_line,
            message("the file holds something too deep or too long to read"),
            message("take a copy from before"),
        )
    parsed.problems.sort(key=lambda problem: problem.place.line or 0)
    return parsed


def _other_format(parsed: Parsed[R]) -> bool:
    version = parsed.loaded.data.get("format")
    if isinstance(version, bool) or not isinstance(version, int) or version <= 1:
        return False
    parsed.report(
        parsed.positions.line(("format",)),
        message("the file has format {format}, and this weeksync reads format 1", format=version),
        message("use a newer weeksync for this household"),
    )
    return True


def _validate(parsed: Parsed[R], model: type[R]) -> None:
    from pydantic import ValidationError

    data = parsed.loaded.data
    try:
        record = _record(model, data)
    except ValidationError as error:
        from weeksync.read.mistakes import report

        bad = report(parsed, model, error)
        _salvage(parsed, model, bad)
    else:
        parsed.checked = record
        whole = not (model is Config and parsed.loaded.blanked)
        parsed.record = record if whole else None


def _record(model: type[R], data: dict[str, object]) -> R:
    # By way of JSON, since pydantic's strict rules for it are those wanted here: lists are
    # tuples and words are members of an enumeration, but "30" is no number and 0 is no date.
    return checked_json(model, json.dumps(data, default=_plain), strict=True)


def _plain(value: object) -> str:
    if isinstance(value, date | time):
        return value.isoformat()
    raise TypeError(value)


def _salvage(parsed: Parsed[R], model: type[R], bad: list[Path]) -> None:
    """Keeps what is right in the file."""
    data = parsed.loaded.data
    tops = {str(path[0]) for path in bad if path and not _in_entry(data, path)}
    rest: dict[str, object] = {key: value for key, value in data.items() if key not in tops}
    for key, value in rest.items():
        if isinstance(value, list):
            lost = {path[1] for path in bad if path[0:1] == (key,) and len(path) > 1}
            parsed.kept[key] = [index for index in range(len(value)) if index not in lost]
            rest[key] = [value[index] for index in parsed.kept[key]]
    stood = dict(_stand_ins(model, rest))
    parsed.checked = _record(model, {**rest, **stood})
    if model is Config:
        usable = not (tops or stood or parsed.loaded.blanked)
    else:
        usable = stood.keys() <= {"format"} and not any(isinstance(data[k], dict) for k in tops)
    parsed.record = parsed.checked if usable else None


def _in_entry(data: dict[str, object], path: Path) -> bool:
    return len(path) > 1 and isinstance(data[str(path[0])], list)


def _stand_ins(model: type[R], rest: dict[str, object]) -> Iterator[tuple[str, object]]:
    for key, stand_in in STAND_INS.items():
        if key in model.field_names() and not rest.get(key):
            yield key, stand_in
