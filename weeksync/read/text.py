"""Bytes of a household file as text, with the lines that are none."""

from __future__ import annotations

import codecs

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.problem import Place, Problem, ProblemKind

MOST_LINES = 20
"""Broken lines of one file that are reported one by one."""


@dataclass(frozen=True, slots=True)
class Text:
    """A file's text without byte order mark; `bad_lines` (from 1) hold bytes that are no UTF-8.

    `usable` is false where it is no text at all.
    """

    text: str
    bad_lines: tuple[int, ...] = ()
    problems: tuple[Problem, ...] = ()
    usable: bool = True


def mistake(name: str, line: int | None, what: Message, remedy: Message) -> Problem:
    """A mistake in a household file."""
    return Problem(ProblemKind.MISTAKE, what, Place(name, line), remedy)


def decode(name: str, content: bytes, first_line: int = 1) -> Text:
    """The text of a file in UTF-8. A byte order mark is taken off and mentioned.

    Lines are counted from `first_line`.
    """
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return _unusable(name, 1, "UTF-16")
    problems: list[Problem] = []
    if content.startswith(codecs.BOM_UTF8):
        content = content.removeprefix(codecs.BOM_UTF8)
        problems.append(_mark(name))
    if (at := content.find(b"\0")) >= 0 and content.count(b"\0") > MOST_LINES:
        return _unusable(name, content.count(b"\n", 0, at) + 1, "NUL")
    try:
        return Text(content.decode("utf-8"), (), tuple(problems))
    except UnicodeDecodeError:
        bad = tuple(
            number for number, line in enumerate(content.split(b"\n"), 1) if not _is_utf8(line)
        )
    problems += [_bad_line(name, line + first_line - 1) for line in bad[:MOST_LINES]]
    return Text(content.decode("utf-8", "replace"), bad, tuple(problems))


def _is_utf8(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _mark(name: str) -> Problem:
    return Problem(
        ProblemKind.NOTICE,
        message("the file begins with a byte order mark"),
        Place(name, 1),
        message("it is read all the same; other programs want UTF-8 without one"),
    )


def _bad_line(name: str, line: int) -> Problem:
    return mistake(
        name,
        line,
        message("the line holds bytes that are no UTF-8"),
        message("save the file as UTF-8; it looks like Latin-1 or Windows-1252"),
    )


def _unusable(name: str, line: int, found: str) -> Text:
    problem = mistake(
        name,
        line,
        message("the file is no UTF-8 text: it holds {found}", found=found),
        message("save it as UTF-8, or put the right file in its place"),
    )
    return Text("", (), (problem,), usable=False)
