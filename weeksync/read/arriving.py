"""A file of marks that was saved on a tablet: the columns of `marks/` as CSV, or as JSON lines.

Each line is read by itself and kept as it stands, so that one that is refused can be kept, too.
When a mark was received is said by whoever receives it: what a file says of that is passed over.
"""

from __future__ import annotations

import codecs
import json
from collections.abc import Iterator
from dataclasses import field
from datetime import datetime

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.household import Mark
from weeksync.model.problem import Problem
from weeksync.read.marks import HEADER, BadLine, cells_of, is_header, mark_of
from weeksync.read.shown import excerpt
from weeksync.read.text import mistake

_NEEDED = ("id", "date", "value", "recorded_at")
MOST_BYTES_A_LINE = 4_096
"""The longest line that is read as a mark."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of such a file: the mark it says, or what is wrong with it."""

    number: int
    text: bytes
    mark: Mark | None = None
    problem: Problem | None = None


@dataclass
class Arrived:
    """The lines of a file that are not empty; `header` is its first one, b"" for JSON lines.

    `problem` says why the file as a whole is none of marks.
    """

    header: bytes = b""
    lines: list[Line] = field(default_factory=list)
    problem: Problem | None = None


def read_arriving(name: str, content: bytes, received_at: datetime) -> Arrived:
    """The marks of a file, received at an instant; `name` is what messages call it."""
    lines = list(_lines(content))
    if not lines:
        return Arrived()
    first = lines[0][1]
    if first.lstrip().startswith(b"{"):
        return Arrived(lines=[_line(name, *one, received_at, as_json=True) for one in lines])
    text = first.decode("utf-8", "replace")
    if not is_header(text):
        what = message("the first line does not name the columns: {text}", text=excerpt(text))
        remedy = message("write {header} as the first line", header=",".join(HEADER))
        return Arrived(problem=mistake(name, lines[0][0], what, remedy))
    read = [_line(name, *one, received_at, as_json=False) for one in lines[1:]]
    return Arrived(header=first, lines=read)


def _lines(content: bytes) -> Iterator[tuple[int, bytes]]:
    for number, line in enumerate(content.removeprefix(codecs.BOM_UTF8).split(b"\n"), 1):
        if line.strip():
            yield number, line.removesuffix(b"\r")


def _line(name: str, number: int, text: bytes, received_at: datetime, *, as_json: bool) -> Line:
    received = {"received_at": received_at.isoformat()}
    try:
        if len(text) > MOST_BYTES_A_LINE:
            raise BadLine(
                message("the line is longer than {most} bytes", most=MOST_BYTES_A_LINE),
                message("write one mark on a line"),
            )
        cells = _members(text) if as_json else cells_of(text)
        return Line(number, text, mark_of({**cells, **received}))
    except BadLine as error:
        return Line(number, text, problem=mistake(name, number, error.what, error.remedy))


def _members(text: bytes) -> dict[str, str]:
    """The members of the object on a line, as the cells of a CSV line would have them."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    names = found.keys() if isinstance(found, dict) else set()
    if not set(_NEEDED) <= names <= set(HEADER):
        raise BadLine(
            message(
                "the line is no JSON object of a mark: {text}",
                text=excerpt(text.decode("utf-8", "replace")),
            ),
            message(
                "give it {needed}, and of {all} nothing else",
                needed=", ".join(_NEEDED),
                all=", ".join(HEADER),
            ),
        )
    return {**dict.fromkeys(HEADER, ""), **{name: _cell(value) for name, value in found.items()}}


def _cell(value: object) -> str:
    """A member as a cell has it; one that is no plain value is none any kind of mark takes."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.strip() if isinstance(value, str) else json.dumps(value)
