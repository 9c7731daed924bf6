"""Snapshots from `snapshots/2027-W12.json`: what a week showed when it was printed or confirmed."""

from __future__ import annotations

import json
from functools import cache

from pydantic import TypeAdapter, ValidationError

from weeksync.message import Message, message
from weeksync.model.problem import Problem
from weeksync.model.snapshot import Snapshot, SnapshotLine
from weeksync.read.checked import checked_json
from weeksync.read.plain import to_plain
from weeksync.read.text import mistake
from weeksync.read.weekfiles import file_week


@cache
def _line() -> TypeAdapter[SnapshotLine]:
    """How a line is written: only a week that is printed or confirmed needs it."""
    return TypeAdapter(SnapshotLine)


def parse_snapshot(name: str, content: bytes) -> tuple[Snapshot | None, tuple[Problem, ...]]:
    """The snapshot of the file `name`, or what is wrong with it.

    A file that cannot be used whole is not used at all: changes counted from the half of a week
    would be wrong ones.
    """
    week = file_week(name)
    if week is None:
        return None, (
            mistake(
                name,
                None,
                message("the name of the file is no week"),
                message("name it for its ISO week, as 2027-W12"),
            ),
        )
    try:
        data = json.loads(content)
    except json.JSONDecodeError as error:
        return _unusable(
            name, error.lineno, message("the snapshot is no JSON from column {at}", at=error.colno)
        )
    except (
        RecursionError,
        ValueError,
    ):  # bytes that are no text, deeper or longer than Python takes
        return _unusable(name, None, message("the snapshot is no JSON"))
    version = data.get("format") if isinstance(data, dict) else None
    if isinstance(version, int) and version > 1:
        return None, (
            mistake(
                name,
                None,
                message(
                    "the file has format {format}, and this weeksync reads format 1",
                    format=version,
                ),
                message("use a newer weeksync for this household"),
            ),
        )
    try:
        snapshot = checked_json(Snapshot, json.dumps(data))
    except (ValidationError, ValueError) as error:
        return _unusable(
            name, None, message("the snapshot has no usable {where}", where=_where(error))
        )
    if snapshot.iso_week != week:
        return _unusable(name, None, message("the snapshot is of {week}", week=snapshot.week))
    return snapshot, ()


def _where(error: ValueError) -> str:
    """The first key that is wrong, as `lines.3.day`; "content" where none can be named."""
    if not isinstance(error, ValidationError):
        return "content"
    place = error.errors(include_url=False, include_input=False, include_context=False)[0]["loc"]
    return ".".join(map(str, place)) or "content"


def _unusable(name: str, line: int | None, what: Message) -> tuple[None, tuple[Problem, ...]]:
    remedy = message("take the file away, and print or confirm the week again")
    return None, (mistake(name, line, what, remedy),)


def snapshot_bytes(snapshot: Snapshot) -> bytes:
    """The file of a snapshot: JSON in UTF-8, a line of the file for each line of the week."""
    head = {name: to_plain(getattr(snapshot, name)) for name in ("format", "week", "taken_at")}
    lines = [
        _dumps(_line().dump_python(one, mode="json", exclude_defaults=True))
        for one in snapshot.lines
    ]
    whole = "[\n" + ",\n".join(lines) + "\n]" if lines else "[]"
    parts = [f'"{key}": {_dumps(value)}' for key, value in head.items()]
    return ("{\n" + ",\n".join([*parts, f'"lines": {whole}']) + "\n}\n").encode()


def _dumps(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
