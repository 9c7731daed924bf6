"""Marks from `marks/2027-W12.csv`: one line each, appended, never rewritten.

Each line is read by itself: a line that was cut off by a lost power supply, or holds bytes of
another encoding, is reported and kept out, and takes no other line with it. A mark without a value
takes back what was recorded before it.
"""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.fields import MOST_FIGURE
from weeksync.model.household import TASK_WORDS, Mark
from weeksync.model.problem import Problem
from weeksync.read.shown import excerpt, shown
from weeksync.read.text import MOST_LINES, mistake

HEADER = ("id", "date", "person", "value", "recorded_at", "received_at", "device")
"""The columns, as the first line of the file names them."""

_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,63}", re.ASCII)
_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?", re.ASCII)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)


@dataclass
class ParsedMarks:
    """The marks of one file with the line of each, and what is wrong in it."""

    name: str
    marks: list[Mark] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def parse_marks(name: str, content: bytes) -> tuple[tuple[Mark, ...], tuple[Problem, ...]]:
    """The marks of the file `name` in file order, and every line that is none."""
    parsed = read_marks(name, content)
    return tuple(parsed.marks), tuple(parsed.problems)


def is_header(line: str) -> bool:
    """Whether a line names the columns."""
    return tuple(cell.strip().strip('"') for cell in line.strip().split(",")) == HEADER


def read_marks(name: str, content: bytes) -> ParsedMarks:
    """As `parse_marks`, with the line of each mark."""
    parsed = ParsedMarks(name)
    bad: list[Problem] = []
    for number, line in _lines(content):
        if number == 1:
            if _header(parsed, line):
                continue
            return parsed
        try:
            mark = _mark(line)
        except BadLine as error:
            bad.append(mistake(name, number, error.what, error.remedy))
        else:
            parsed.marks.append(mark)
            parsed.lines.append(number)
    parsed.problems += bad[:MOST_LINES]
    if len(bad) > MOST_LINES:
        parsed.problems.append(_more(name, bad[MOST_LINES], len(bad) - MOST_LINES))
    return parsed


def _lines(content: bytes) -> Iterator[tuple[int, bytes]]:
    """(number, bytes) of each line that is not empty; the first always, so that it is checked."""
    for number, line in enumerate(content.removeprefix(codecs.BOM_UTF8).split(b"\n"), 1):
        if number == 1 or line.strip():
            yield number, line.removesuffix(b"\r")


def _header(parsed: ParsedMarks, line: bytes) -> bool:
    found = line.decode("utf-8", "replace").strip()
    if is_header(found):
        return True
    what = message("the first line does not name the columns: {text}", text=excerpt(found))
    remedy = message("write {header} as the first line", header=",".join(HEADER))
    parsed.problems.append(mistake(parsed.name, 1, what, remedy))
    return False


class BadLine(Exception):
    """A line that is no mark; `what` is wrong and the `remedy`."""

    def __init__(self, what: Message, remedy: Message) -> None:
        super().__init__(str(what))
        self.what = what
        self.remedy = remedy


def _mark(line: bytes) -> Mark:
    return mark_of(cells_of(line), _value)


def mark_of(cells: Mapping[str, str], read_value: Callable[[str], str] = str) -> Mark:
    """The mark that the cells say, by column; BadLine for the first that cannot be read.

    Without `read_value` its value is taken as it is: what it may be depends on what is marked.
    """
    return Mark(
        id=_id("id", cells["id"]),
        day=_day(cells["date"]),
        person=_id("person", cells["person"]) if cells["person"] else "",
        value=read_value(cells["value"]),
        recorded_at=_instant("recorded_at", cells["recorded_at"]),
        received_at=_instant("received_at", cells["received_at"]),
        device=cells["device"],
    )


def cells_of(line: bytes) -> dict[str, str]:
    """The cells of a line by column; BadLine where it has others."""
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError:
        raise BadLine(
            message("the line holds bytes that are no UTF-8"), message("take the line away")
        ) from None
    if "\0" in text:
        raise BadLine(
            message("the line holds NUL; it was not written to its end"),
            message("take the line away"),
        )
    try:
        rows = list(csv.reader([text], strict=True))
    except csv.Error:
        rows = []
    if len(rows) != 1 or len(rows[0]) != len(HEADER):
        what = counted(
            "the line has {count} column in place of {most}: {text}",
            "the line has {count} columns in place of {most}: {text}",
            len(rows[0]) if rows else 0,
            most=len(HEADER),
            text=excerpt(text),
        )
        raise BadLine(what, message("write {header}", header=",".join(HEADER)))
    return dict(zip(HEADER, (cell.strip() for cell in rows[0]), strict=True))


def _id(column: str, text: str) -> str:
    if not _ID.fullmatch(text):
        raise BadLine(
            message("{key} = {value} is no id", key=column, value=shown(text)),
            message("write small letters, digits and hyphens, at most 64, as garden-gate"),
        )
    return text


def _day(text: str) -> date:
    try:
        if _DATE.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise BadLine(
        message("{key} = {value} is no date", key="date", value=shown(text)),
        message("write year-month-day, as 2027-03-22"),
    )


def _value(text: str) -> str:
    if text in {"", "yes", "no", *TASK_WORDS}:  # whose word it is, is seen with the other files
        return text
    if _NUMBER.fullmatch(text) and abs(float(text)) <= MOST_FIGURE:
        return text
    raise BadLine(*no_mark(text))


def no_mark(text: str) -> tuple[Message, Message]:
    """What is said of a value that is no mark, and the remedy."""
    return (
        message("{key} = {value} is no mark", key="value", value=shown(text)),
        message("write yes, no or a number with a point before decimals, as 7.5"),
    )


def _instant(column: str, text: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
        if moment.utcoffset() is not None:
            return moment
    except ValueError:
        pass
    raise BadLine(
        message("{key} = {value} is no instant", key=column, value=shown(text)),
        message("write date, time and offset, as 2027-03-22T07:45:00+00:00"),
    )


def _more(name: str, first: Problem, count: int) -> Problem:
    return mistake(
        name,
        first.place.line,
        message("{count} more lines from here on are no marks", count=count),
        message("take a copy from before, or take the lines away"),
    )
