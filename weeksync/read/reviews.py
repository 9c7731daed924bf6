"""Answers at the end of a week from `reviews/2027-W12.md`: Markdown under a head as check-ins."""

from __future__ import annotations

import codecs
import re
from dataclasses import field
from typing import Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import FileRecord, Id, Title
from weeksync.model.household import ReviewAnswer
from weeksync.model.problem import Problem
from weeksync.model.record import Record
from weeksync.model.week import IsoWeek
from weeksync.read.checkins import HEAD
from weeksync.read.records import read_toml
from weeksync.read.text import mistake

_NAME = re.compile(r"(?:.*/)?([0-9]{4}-W[0-9]{2})(?:-([a-z0-9][a-z0-9-]*))?\.md", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Record):
    """A question with its answer (`[[answers]]`)."""

    question: Title
    """The question, as it was asked."""
    answer: str = ""
    """The answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewHead(FileRecord):
    """The head of the file."""

    person: Id | Literal[""] = ""
    """Who answers; without it the person of the file's name, else the first one."""
    answers: tuple[Answered, ...] = ()
    """The answers."""


@dataclass
class ReadAnswers:
    """The answers of a file; `person` is "" where it cannot be said whose they are."""

    name: str
    week: IsoWeek | None = None
    person: str = ""
    answers: tuple[ReviewAnswer, ...] = ()
    problems: list[Problem] = field(default_factory=list)


def read_answers(name: str, content: bytes, default_person: str) -> ReadAnswers:
    """The answers of the file `name`, and every mistake in it.

    `2027-W12.md` is `default_person`'s, `2027-W12-dov.md` another's; the head may name a person,
    and where the two do not agree, or the head cannot be read, they are nobody's: one person's
    words are not shown to another.
    """
    found = ReadAnswers(name)
    matched = _NAME.fullmatch(name)
    try:
        found.week = IsoWeek.parse(matched[1]) if matched is not None else None
    except ValueError:
        found.week = None
    if matched is None or found.week is None:
        what = message("the name of the file is no week")
        remedy = message("name it as 2027-W12.md, or 2027-W12-dov.md for another person")
        found.problems.append(mistake(name, None, what, remedy))
        return found
    head = HEAD.match(content.removeprefix(codecs.BOM_UTF8))
    if head is None:
        what = message("the answers have no head")
        remedy = message("begin the file with a line of +++, format = 1 and another line of +++")
        found.problems.append(mistake(name, 1, what, remedy))
        return found
    parsed = read_toml(name, head[1], ReviewHead, 2)
    found.problems += parsed.problems
    named = matched[2] or ""
    if parsed.record is None or (parsed.loaded.blanked and not named):
        return found
    written = parsed.record.person
    if written != parsed.loaded.data.get("person", "") or (named and written not in ("", named)):
        if not parsed.problems:
            what = message("the head and the name of the file name different persons")
            remedy = message("let both name the same person")
            found.problems.append(mistake(name, parsed.line(("person",)), what, remedy))
        return found
    found.person = named or written or default_person
    found.answers = tuple(
        ReviewAnswer(str(found.week), found.person, one.question, one.answer)
        for one in parsed.record.answers
    )
    return found
