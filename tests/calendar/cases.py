"""The cases: one small calendar per situation, with what is expected of it beside it.

`NAME.ics` is the text and `NAME.toml` its expectation, worked out by hand from the section it
names. Where `why` stands, the RFC is silent or contradicts itself, and the answer is a choice of
this project. `subject` groups the cases, `says` is what happens in a sentence, `rfc` what the RFC
says. `zone`, `start` and `end` are the household's zone and the window.

An occurrence is written `start/end` as UTC instants, or as dates where it takes whole days; then
`local:start/end` as the household's clock shows it with its offset, where that is worth seeing;
its marks (`cancelled`, `free` for not busy, `tentative`, `journal`, `also:SOURCE`); `@zone`, the
zone it is kept in, where that is worth seeing; its title. To-dos are `start/due`, `done`, title.
Of a problem a part is given, with its place; `notice:` stands before one that is only a notice.
`details` are other fields of the occurrence at a place in the list. `also` are further objects:
each has a `file`, and a `collection` or a `source` of its own; several sources are merged as
pages merge them.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from tests.calendar.support import line, todo_line
from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.pulled import RawObject, StoredObject
from weeksync.plan.merge import merge
from weeksync.zones import zone

FOLDER = Path(__file__).parent / "data" / "cases"
SOURCE, COLLECTION = "test", "home"


@dataclass(frozen=True)
class Case:
    """One case as its file has it."""

    name: str
    subject: str
    says: str
    section: str
    rfc: str
    tz: ZoneInfo
    start: date
    end: date
    objects: tuple[StoredObject, ...]
    occurrences: list[str]
    problems: list[str]
    todos: list[str] = field(default_factory=list)
    details: list[dict[str, Any]] = field(default_factory=list)
    why: str = ""

    @property
    def content(self) -> bytes:
        """The text of its first object."""
        return self.objects[0].content


@dataclass(frozen=True)
class Answer:
    """What came out of a case, written as the file has it."""

    occurrences: list[str]
    todos: list[str]
    problems: list[str]
    found: tuple[Occurrence, ...]


def names() -> list[str]:
    """All cases by name."""
    return sorted(path.stem for path in FOLDER.glob("*.toml"))


def read(name: str) -> Case:
    """The case of that name; KeyError or TypeError where its file is not as it should be."""
    data = tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))
    objects = [_object({"file": f"{name}.ics"}), *map(_object, data.pop("also", ()))]
    return Case(name=name, tz=zone(data.pop("zone")), objects=tuple(objects), **data)


def _object(entry: dict[str, str]) -> StoredObject:
    content = (FOLDER / entry["file"]).read_bytes()
    source, collection = entry.get("source", SOURCE), entry.get("collection", COLLECTION)
    return StoredObject(source, collection, entry["file"], "", "", content)


def answer(case: Case) -> Answer:
    """What we say about it."""
    found: list[Occurrence] = []
    todos: list[TodoItem] = []
    problems: list[Problem] = []
    sources = list(dict.fromkeys(one.source for one in case.objects))
    for source in sources:
        objects = [one for one in case.objects if one.source == source]
        for one in objects:
            problems += index_object(source, RawObject(one.name, "", one.content))[1]
        expansion = expand(objects, case.start, case.end, case.tz)
        found += expansion.occurrences
        todos += expansion.todos
        problems += expansion.problems
    shown = merge(found, sources)[0] if len(sources) > 1 else tuple(found)
    wanted = [*case.occurrences, *[""] * len(shown)]
    lines = [
        line(one, zone_too="@" in text, local_too="local:" in text)
        for one, text in zip(shown, wanted, strict=False)
    ]
    return Answer(lines, [todo_line(one) for one in todos], [*map(_said, problems)], shown)


def _said(problem: Problem) -> str:
    notice = "notice: " if problem.kind is ProblemKind.NOTICE else ""
    return f"{notice}{problem}"


def faults(case: Case) -> list[str]:
    """What does not hold in a case, in words; nothing where all of it does."""
    got = answer(case)
    found = []
    if got.occurrences != case.occurrences:
        found.append(f"occurrences: {got.occurrences} instead of {case.occurrences}")
    if got.todos != case.todos:
        found.append(f"to-dos: {got.todos} instead of {case.todos}")
    if len(got.problems) != len(case.problems) or not all(
        _stands(part, said) for part, said in zip(case.problems, got.problems, strict=True)
    ):
        found.append(f"problems: {got.problems} instead of {case.problems}")
    for detail in case.details:
        one = got.found[detail["at"]] if detail["at"] < len(got.found) else None
        shown = {name: _plain(getattr(one, name, None)) for name in detail if name != "at"}
        if shown != {name: value for name, value in detail.items() if name != "at"}:
            found.append(f"details: {shown} instead of {detail}")
    return found


def _stands(part: str, said: str) -> bool:
    kind, colon, rest = part.partition("notice: ")
    return said.startswith(colon) and (rest if colon else kind) in said


def _plain(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value
