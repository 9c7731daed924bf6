"""Closed weeks from `archive/2027-W11.json`, and back: the form of format 1.

A file that was written is read for ever. What is added to a record later has a default; a record
or a field that is renamed needs its old name read here, and a new format where the same name
means something else. `tests/read/data` holds a file of each format that must load and render.
"""

from __future__ import annotations

import json
from itertools import pairwise
from typing import Any

from weeksync.message import Message, message
from weeksync.model.archive import FORMAT, KIND, ClosedWeek
from weeksync.model.problem import Problem
from weeksync.model.week import IsoWeek
from weeksync.read.plain import NotPlain, from_plain, to_plain
from weeksync.read.text import mistake
from weeksync.read.weekfiles import file_week


def parse_closed(name: str, content: bytes) -> ClosedWeek | Problem:
    """The closed week of the file `name`, or what is wrong with it, with its place.

    Half a record is none: a page of it would say of the rest that it never was.
    """
    try:
        data = json.loads(content)
    except json.JSONDecodeError as error:
        what = message("the record of the week is no JSON from column {at}", at=error.colno)
        return _damaged(name, error.lineno, what)
    except (RecursionError, ValueError):  # no text, or deeper than Python takes
        return _damaged(name, None, message("the record of the week is no JSON"))
    if not isinstance(data, dict) or data.get("kind") != KIND:
        return _damaged(name, None, message("the file is no record of a closed week"))
    version = data.get("format")
    if type(version) is int and version > FORMAT:
        return mistake(
            name,
            None,
            message(
                "the file has format {format}, and this weeksync reads format {known}",
                format=version,
                known=FORMAT,
            ),
            message("use a newer weeksync for this household"),
        )
    if version != FORMAT:
        return _damaged(name, None, _without("format"))
    try:
        closed: ClosedWeek = from_plain(ClosedWeek, data)
    except NotPlain as error:
        return _damaged(name, _line(content, error.where), _without(error.where))
    except (RecursionError, ValueError, TypeError, OverflowError):
        return _damaged(name, None, _without("content"))
    return _looked_at(name, closed)


def _looked_at(name: str, closed: ClosedWeek) -> ClosedWeek | Problem:
    """The record, where it is one of that week with everything a page rests on."""
    week: IsoWeek | None = file_week(name)
    if week is not None and closed.week != week:
        return _damaged(name, None, message("the record is of {week}", week=str(closed.week)))
    if closed.spread.week != closed.week or closed.spread.plan is None:
        return _damaged(name, None, _without("spread.week"))
    days = [day.date for day in closed.spread.days]
    if len(days) != 7 or any((two - one).days != 1 for one, two in pairwise(days)):
        return _damaged(name, None, _without("spread.days"))
    rows = closed.spread.habits
    if any([cell.day for cell in row.cells] != days for row in rows):
        return _damaged(name, None, _without("spread.habits"))
    return closed


def _without(where: str) -> Message:
    return message("the record of the week has no usable {where}", where=where or "content")


def _line(content: bytes, where: str) -> int | None:
    """The line on which a day, a habit or the like stands: each has a line of its own."""
    keys = where.strip(".").split(".")
    lines = content.split(b"\n")
    key = keys[1] if keys[0] == "spread" and len(keys) > 1 else keys[0]
    at = next((n for n, one in enumerate(lines, 1) if one.startswith(f'"{key}":'.encode())), None)
    if at is None or len(keys) < 3 or not keys[2].isdecimal():
        return at
    return at + 1 + int(keys[2])


def _damaged(name: str, line: int | None, what: Message) -> Problem:
    week = file_week(name)
    remedy = message(
        "put the file back from a copy; or set it aside with weeksync close {week} --reopen, and "
        "close the week again from what is there now",
        week=str(week) if week is not None else "2027-W11",
    )
    return mistake(name, line, what, remedy)


def closed_bytes(closed: ClosedWeek) -> bytes:
    """The file of a closed week: JSON in UTF-8, a line for each day, habit and field."""
    data = to_plain(closed)
    spread = data.pop("spread")
    reopened = data.pop("reopened", [])
    head = {"format": FORMAT, "kind": KIND, **data, "reopened": reopened}
    return (
        "{\n"
        + "".join(f'"{key}": {_text(value)},\n' for key, value in head.items())
        + '"spread": {\n'
        + ",\n".join(f'"{key}": {_listed(value)}' for key, value in spread.items())
        + "\n}\n}\n"
    ).encode()


def _listed(value: Any) -> str:
    """A list with a line for each of its things; anything else in one line."""
    if not isinstance(value, list) or not value:
        return _text(value)
    return "[\n" + ",\n".join(map(_text, value)) + "\n]"


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
