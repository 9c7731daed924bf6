"""TOML text to data, with every break of the syntax found in one run.

The parser stops at the first break. So the table around it (an entry of `[[tasks]]` with all
that belongs to it) is blanked out, line by line so that lines keep their numbers, and the rest is
parsed again: one slip costs one entry, and what is wrong further down is reported, too.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.problem import Problem
from weeksync.read.positions import Walk
from weeksync.read.reasons import explain
from weeksync.read.shown import excerpt
from weeksync.read.text import decode, mistake

MOST_BREAKS = 20
"""Breaks of the syntax after which a file is given up."""
MOST_DEEP = 50
"""Tables in tables; the files of a household need five."""

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_HEADER = re.compile(r"[ \t]*\[\[?[ \t]*[A-Za-z][\w. \t-]*\]{0,2}[ \t]*(#.*)?$", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d(?:[Tt ]\d\d:\d\d:\d\d(?:\.\d+)?(?:[Zz]|[+-]\d\d:\d\d)?)?")
_LONG = re.compile(r"\d[\d_]{999}")
_ID = re.compile(r"""^\s*id\s*=\s*["']([^"'\n]+)["']""", re.MULTILINE)


@dataclass
class Loaded:
    """The data of a TOML file as far as it can be had.

    `text` is what was parsed: `blanked` lines (from 1) are empty in it. `lost_ids` stood in
    them: they are known, so that what refers to them is no mistake. `usable` is false where
    nothing could be read.
    """

    data: dict[str, object] = field(default_factory=dict)
    text: str = ""
    problems: list[Problem] = field(default_factory=list)
    blanked: set[int] = field(default_factory=set)
    lost_ids: set[str] = field(default_factory=set)
    usable: bool = True


def load(name: str, content: bytes, first_line: int = 1) -> Loaded:
    """The data of the TOML file `name`; its lines are counted from `first_line`."""
    text = decode(name, content, first_line)
    loaded = Loaded(text=text.text, problems=list(text.problems), usable=text.usable)
    _blank(loaded, text.bad_lines)
    for _ in range(MOST_BREAKS):
        try:
            data = tomllib.loads(loaded.text)
            if _is_deep(data):
                break
            loaded.data = data
        except RecursionError:
            break
        except ValueError as error:
            _repair(loaded, name, error, first_line)
        else:
            return loaded
    loaded.problems.append(
        mistake(
            name,
            None,
            message("the file cannot be read as TOML"),
            message("correct it, or take a copy from before; it may be nested too deeply"),
        )
    )
    loaded.usable = False
    return loaded


def _is_deep(data: object) -> bool:
    """Whether tables and lists lie deeper than any file of ours: what walks them stays short."""
    level = [data]
    for _ in range(MOST_DEEP):
        level = [
            inner
            for one in level
            for inner in (
                one.values() if isinstance(one, dict) else one if isinstance(one, list) else ()
            )
        ]
        if not level:
            return False
    return True


def _repair(loaded: Loaded, name: str, error: ValueError, first_line: int) -> None:
    """Makes a text that parses further: quotes a date that does not exist, else blanks."""
    reason, line, column = _place(error, loaded.text)
    lines = loaded.text.split("\n")
    if reason.startswith("Invalid date"):
        here = lines[line - 1]
        quoted = _DATE.sub(r'"\g<0>"', here[column - 1 :], count=1)
        if quoted != here[column - 1 :]:  # the record will say what is wrong with it
            lines[line - 1] = here[: column - 1] + quoted
            loaded.text = "\n".join(lines)
            return
    begun, column = _begun(loaded.text, line, column)
    what, remedy = explain(reason, excerpt(lines[begun - 1]), column)
    loaded.problems.append(mistake(name, begun + first_line - 1, what, remedy))
    before = loaded.text
    _blank(loaded, (begun,))
    if loaded.text == before:  # the break lies behind the table it was thought to be in
        _blank(loaded, (line,))


def _place(error: ValueError, text: str) -> tuple[str, int, int]:
    """(reason, line, column) of a parser's error."""
    last = text.count("\n") + 1
    found = _PLACE.search(str(error))
    if found is None:  # a number longer than Python takes; the parser gives no place
        long = _LONG.search(text)
        at = long.start() if long else 0
        return "Long number", text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    reason = str(error)[: found.start()]
    return (reason, int(found[1]), int(found[2])) if found[1] else (reason, last, 1)


def _begun(text: str, line: int, column: int) -> tuple[int, int]:
    """(line, column) of the break; of the key where its value is never closed."""
    walk = Walk(text)
    whole = walk.run()
    begun = text.count("\n", 0, walk.statement) + 1
    if whole or begun >= line:
        return line, column
    return begun, walk.statement - text.rfind("\n", 0, walk.statement)


def _blank(loaded: Loaded, numbers: Iterable[int]) -> None:
    """Empties the tables that these lines lie in, with the tables below (`[[bills.paid]]`)."""
    lines = loaded.text.split("\n")
    tops = [number for number, line in enumerate(lines, 1) if _is_top(line)]
    for number in numbers:
        if number in loaded.blanked:
            continue
        place = bisect_right(tops, number)
        start = tops[place - 1] if place else 1
        end = tops[place] if place < len(tops) else len(lines) + 1
        loaded.lost_ids.update(_ID.findall("\n".join(lines[start - 1 : end - 1])))
        loaded.blanked.update(range(start, end))
    for number in loaded.blanked:
        lines[number - 1] = "\r" if lines[number - 1].endswith("\r") else ""
    loaded.text = "\n".join(lines)


def _is_top(line: str) -> bool:
    """Whether a header of a table at the top begins here."""
    return _HEADER.fullmatch(line.rstrip("\r")) is not None and "." not in line.partition("#")[0]
