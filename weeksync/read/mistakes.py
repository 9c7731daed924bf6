"""What pydantic refused in a file, as problems: one for each value, with the line it stands on."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from weeksync.message import message
from weeksync.model.record import Record
from weeksync.read.fields import known_keys
from weeksync.read.parsed import Parsed, R
from weeksync.read.positions import Path
from weeksync.read.shown import listed, nearest
from weeksync.read.values import Wrong, explain_value


def report(parsed: Parsed[R], model: type[R], error: ValidationError) -> list[Path]:
    """Adds a problem for each thing that is wrong; returns the places of what cannot stay."""
    found = _Found(parsed.loaded.data, error)
    meant = {_report_unknown(parsed, model, path) for path in found.unknown}
    for path in found.missing:
        if path not in meant:
            _report_missing(parsed, path)
    for path, wrong in found.wrong.items():
        if not found.told_deeper(path):
            _report_wrong(parsed, path, wrong)
    return [path[:-1] for path in found.missing] + found.unknown + list(found.wrong)


class _Found:
    """The errors by place in the file: keys missing, keys unknown, values that are wrong."""

    def __init__(self, data: dict[str, object], error: ValidationError) -> None:
        self.missing: list[Path] = []
        self.unknown: list[Path] = []
        self.wrong: dict[Path, Wrong] = {}
        self._alternatives: set[Path] = set()
        for one in error.errors(include_url=False):
            path, value = _resolve(data, one["loc"])
            if one["type"] == "missing":
                self.missing.append((*path, str(one["loc"][-1])))
            elif one["type"] == "unexpected_keyword_argument":
                self.unknown.append(path)
            elif one["type"] == "too_short" and value:
                continue  # nothing is left of it, and why is told for each part
            else:
                if len(one["loc"]) > len(path):
                    self._alternatives.add(path)
                if one["loc"][-1:] == ("[key]",):
                    value = path[-1]
                wrong = self.wrong.setdefault(path, Wrong(_key(path), value))
                wrong.context[one["type"]] = dict(one.get("ctx", {}))

    def told_deeper(self, path: Path) -> bool:
        """Whether the value may be of several kinds and was refused further inside, too."""
        deeper = any(len(other) > len(path) and other[: len(path)] == path for other in self.wrong)
        return deeper and path in self._alternatives


def _resolve(data: object, loc: tuple[int | str, ...]) -> tuple[Path, Any]:
    """The place in the file of an error's `loc`, which also names alternatives of a value."""
    path: list[str | int] = []
    for part in loc:
        if isinstance(data, dict) and part in data:
            data = data[part]
        elif isinstance(data, list) and part in range(len(data)):
            data = data[int(part)]
        else:
            continue
        path.append(part)
    return tuple(path), data


def _key(path: Path) -> str:
    return next((part for part in reversed(path) if isinstance(part, str)), "")


def _table(path: Path) -> str:
    """The header that a table of that path has in the file; "" for the file itself."""
    names = ".".join(part for part in path if isinstance(part, str))
    if not names:
        return ""
    return f"[[{names}]]" if isinstance(path[-1], int) else f"[{names}]"


def _report_missing(parsed: Parsed[R], path: Path) -> None:
    *table, key = path
    if not table and parsed.loaded.blanked:
        return  # it may have stood in the lines that could not be read
    where = _table(tuple(table))
    if where:
        what = message("{key} is missing in {table}", key=str(key), table=where)
        remedy = message("add a line that begins with {key} =", key=str(key))
    elif key == "format":
        what = message("format is missing")
        remedy = message("write format = 1 as the first line")
    else:
        header = "[[people]]" if key == "people" else f"[{key}]"
        what = message("{table} is missing", table=header)
        remedy = message("add it; config.example.toml shows how")
    parsed.report(parsed.positions.key_line(tuple(table)), what, remedy)


def _report_unknown(parsed: Parsed[R], model: type[Record], path: Path) -> Path | None:
    """Reports a key that nobody knows; returns the path of the key that was meant."""
    *table, key = path
    known = known_keys(model, tuple(table))
    near = nearest(key, known)
    where = _table(tuple(table)) or parsed.name
    what = message("{key} is no setting of {table}", key=str(key), table=where)
    if near is not None:
        remedy = message("did you mean {near}?", near=near)
    else:
        remedy = message("take it away; known are {known}", known=listed(known))
    parsed.report(parsed.positions.key_line(path), what, remedy)
    return (*table, near) if near is not None else None


def _report_wrong(parsed: Parsed[R], path: Path, wrong: Wrong) -> None:
    (what, remedy), key = explain_value(wrong)
    line = parsed.positions.line((*path, key) if key else path)
    parsed.report(line, what, remedy)
