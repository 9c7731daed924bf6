"""Check-ins from `check-ins/2027-03-22.md`: Markdown under a TOML head between lines of `+++`."""

from __future__ import annotations

import codecs
import re
from dataclasses import field
from datetime import date
from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import FileRecord, Id
from weeksync.model.household import CheckIn
from weeksync.model.problem import Problem
from weeksync.model.record import Within
from weeksync.read.parsed import Parsed
from weeksync.read.records import read_toml
from weeksync.read.shown import shown
from weeksync.read.text import decode, mistake

_NAME = re.compile(r"(?:.*/)?([0-9]{4}-[0-9]{2}-[0-9]{2})(?:-([a-z0-9][a-z0-9-]*))?\.md", re.ASCII)
HEAD = re.compile(rb"\+\+\+[ \t]*\r?\n(.*?)^\+\+\+[ \t]*\r?(?:\n|\Z)", re.DOTALL | re.MULTILINE)
"""The head of a check-in; its group is the TOML between the lines of `+++`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckInHead(FileRecord):
    """The head of a check-in; every part may be left out."""

    person: Id | Literal[""] = ""
    """Whose check-in it is; without it the person of the file's name, else the first one."""
    feeling: str = ""
    """A word or two."""
    energy: Annotated[int, Within(least=1, most=5)] | None = None
    """From 1, empty, to 5, full."""
    why: str = ""
    """What it comes from."""
    help: str = ""
    """What would help today."""
    gratitude: str = ""
    """What one is grateful for."""


@dataclass
class ParsedCheckIn:
    """One check-in as read; `person_line` names its person; None: the file's name does."""

    name: str
    check_in: CheckIn | None = None
    person_line: int | None = None
    problems: list[Problem] = field(default_factory=list)


def parse_check_in(
    name: str, content: bytes, default_person: str
) -> tuple[CheckIn | None, tuple[Problem, ...]]:
    """The check-in of the file `name`, and every mistake in it.

    The file's name says the day, and the person where it is not `default_person`:
    `2027-03-22.md`, `2027-03-22-dov.md`. None where the file cannot be used, and where it
    cannot be said whose it is: one person's check-in is not shown to another.
    """
    parsed = read_check_in(name, content, default_person)
    return parsed.check_in, tuple(parsed.problems)


def read_check_in(name: str, content: bytes, default_person: str) -> ParsedCheckIn:
    """As `parse_check_in`, with the line that names the person."""
    parsed = ParsedCheckIn(name)
    named = _from_name(name)
    if named is None:
        what = message("the name of the file is no day")
        remedy = message("name it as 2027-03-22.md, or 2027-03-22-dov.md for another person")
        parsed.problems.append(mistake(name, None, what, remedy))
        return parsed
    day, person = named
    plain = content.removeprefix(codecs.BOM_UTF8)
    found = HEAD.match(plain)
    if found is None:
        what = message("the check-in has no head")
        remedy = message("begin it with a line of +++, format = 1 and another line of +++")
        parsed.problems.append(mistake(name, 1, what, remedy))
        parsed.check_in = CheckIn(day, person or default_person, text=_body(parsed, plain, 1))
        return parsed
    head = read_toml(name, found[1], CheckInHead, 2)
    parsed.problems += head.problems
    body = _body(parsed, plain[found.end() :], plain.count(b"\n", 0, found.end()) + 1)
    whose = _whose(parsed, head, person, default_person)
    if whose is not None:
        said = head.record or CheckInHead(format=1)
        parsed.check_in = CheckIn(
            day,
            whose,
            text=body,
            feeling=said.feeling,
            energy=said.energy,
            why=said.why,
            help=said.help,
            gratitude=said.gratitude,
        )
    return parsed


def _body(parsed: ParsedCheckIn, content: bytes, first_line: int) -> str:
    text = decode(parsed.name, content, first_line)
    parsed.problems += text.problems
    return text.text.replace("\r\n", "\n").strip()


def _whose(
    parsed: ParsedCheckIn, head: Parsed[CheckInHead], named: str, default: str
) -> str | None:
    """Whose check-in it is; None where the head and the name do not agree or cannot be read."""
    written = head.loaded.data.get("person", "")
    if written:
        parsed.person_line = head.line(("person",))
    person = head.record.person if head.record is not None else ""
    if named and person and person != named:
        what = message(
            "person = {value}, and the name of the file says {named}",
            value=shown(person),
            named=named,
        )
        remedy = message("let both name the same person")
        parsed.problems.append(mistake(parsed.name, parsed.person_line, what, remedy))
        return None
    unclear = head.record is None or head.loaded.blanked or person != written
    if not named and unclear:
        return None
    return named or person or default


def _from_name(name: str) -> tuple[date, str] | None:
    found = _NAME.fullmatch(name)
    if found is None:
        return None
    try:
        return date.fromisoformat(found[1]), found[2] or ""
    except ValueError:
        return None
