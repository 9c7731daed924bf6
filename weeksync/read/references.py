"""What one household file says of another: ids that must exist, and must exist once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from weeksync.message import Message, counted, message
from weeksync.model.chosen import WeekFile
from weeksync.model.fields import TODO_ID, reads_as_id
from weeksync.model.household import TASK_WORDS
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.read.household import ReadFiles
from weeksync.read.ids import MARKABLE
from weeksync.read.marks import no_mark
from weeksync.read.parsed import Parsed, is_id
from weeksync.read.positions import Path
from weeksync.read.shown import listed, nearest, shown
from weeksync.read.text import mistake

REFERENCES: dict[str, str] = {
    "person": "people",
    "child": "people",
    "only_for": "people",
    "area": "areas",
    "calendar": "calendars",
    "pay_day": "pay_days",
    "terms": "terms",
    "task": "tasks",
}
"""Keys that hold ids, and the array in which those ids are given."""

_UNKNOWN: dict[str, Message] = {
    "people": message("{key} = {value} is nobody of config.toml"),
    "areas": message("{key} = {value} is no area of config.toml"),
    "calendars": message("{key} = {value} is no calendar of config.toml"),
    "pay_days": message("{key} = {value} is no pay day of money.toml"),
    "terms": message("{key} = {value} is no term of terms.toml"),
    "tasks": message("{key} = {value} is no task of tasks.toml"),
}


def unknown_references(files: ReadFiles) -> Iterator[Problem]:
    """Ids in TOML files and check-ins that stand for nothing, also in entries left out."""
    known = {array: files.known(array) for array in _UNKNOWN}
    for parsed in files.all():
        for path, key, value in _references(parsed):
            array = REFERENCES[key]
            if array == "tasks" and value.startswith(TODO_ID):
                continue  # a to-do of a calendar, which these files cannot know
            if _is_unknown(value, known[array]):
                what, remedy = _unknown(key, value, array, known[array] or set())
                yield mistake(parsed.name, parsed.positions.line(path), what, remedy)
    people = known["people"]
    for one in files.check_ins:
        if one.check_in is not None and _is_unknown(one.check_in.person, people):
            what, remedy = _unknown("person", one.check_in.person, "people", people or set())
            yield mistake(one.name, one.person_line, what, remedy)


def _is_unknown(value: str, known: set[str] | None) -> bool:
    return known is not None and bool(value) and value not in known


def _references(parsed: Parsed[Any]) -> Iterator[tuple[Path, str, str]]:
    """(place, key, id) of each id that a file mentions."""
    for path, table in parsed.tables():
        for key in REFERENCES:
            value = table.get(key)
            for index, one in enumerate(value if isinstance(value, list) else [value]):
                if is_id(one):
                    place = (*path, key, index) if isinstance(value, list) else (*path, key)
                    yield place, key, one


def _unknown(key: str, value: str, array: str, known: set[str]) -> tuple[Message, Message]:
    what = Message(_UNKNOWN[array].text, {"key": key, "value": shown(value)})
    near = nearest(value, known)
    if near is not None:
        return what, message("did you mean {near}?", near=near)
    if not known:
        return what, message("add it there, or take this away")
    return what, message("write one of {known}", known=listed(sorted(known)))


def unknown_priorities(files: ReadFiles) -> Iterator[Problem]:
    """Priorities that are ids of no task: such a line is on no page."""
    known = files.known("tasks")
    for parsed in files.files:
        if not isinstance(parsed.checked, WeekFile):
            continue
        for index, day in enumerate(parsed.checked.days):
            for place, text in enumerate(day.priorities):
                if text.startswith(TODO_ID) or not reads_as_id(text):
                    continue
                if _is_unknown(text, known):
                    what, _ = _unknown("priorities", text, "tasks", set())
                    remedy = message("take it away, or write words of your own with a space")
                    line = parsed.line(("days", index, "priorities", place))
                    yield Problem(ProblemKind.NOTICE, what, Place(parsed.name, line), remedy)


def duplicates(files: ReadFiles) -> Iterator[Problem]:
    """Ids given twice; all that can be marked, carried or paid shares one space of them."""
    for arrays in (("people",), ("areas",), ("calendars",), ("terms",), tuple(MARKABLE)):
        first: dict[str, tuple[Parsed[Any], Path]] = {}
        for parsed in files.all():
            for path, one in _given(parsed, arrays):
                before, where = first.setdefault(one, (parsed, path))
                if (before, where) == (parsed, path):
                    continue
                what = message(
                    "id = {value} stands twice, before in {place}",
                    value=shown(one),
                    place=f"{before.name}:{before.positions.line(where)}",
                )
                remedy = message("give this one an id of its own")
                yield mistake(parsed.name, parsed.positions.line(path), what, remedy)


def _given(parsed: Parsed[Any], arrays: tuple[str, ...]) -> Iterator[tuple[Path, str]]:
    for array in arrays:
        if array in parsed.model.field_names():
            for index, entry in parsed.entries(array):
                if is_id(entry.get("id")):
                    yield (array, index, "id"), entry["id"]


def words_of_tasks(files: ReadFiles) -> Iterator[Problem]:
    """Marks that say of something else what only a task can be: done, dropped, later."""
    others = files.known(*(one for one in MARKABLE if one != "tasks"))
    for parsed in files.marks:
        for mark, line in zip(parsed.marks, parsed.lines, strict=True):
            if mark.value in TASK_WORDS and others is not None and mark.id in others:
                yield mistake(parsed.name, line, *no_mark(mark.value))


def unknown_marks(files: ReadFiles) -> Iterator[Problem]:
    """Marks for what is in no file: no mistake, since what has ended keeps its history.

    A calendar's to-do is in no file, and may have been ticked.
    """
    things, people = files.known(*MARKABLE), files.known("people")
    counts: dict[tuple[str, str], int] = {}
    places: dict[tuple[str, str], Place] = {}
    for parsed in files.marks:
        for mark, line in zip(parsed.marks, parsed.lines, strict=True):
            for column, value, known in (("id", mark.id, things), ("person", mark.person, people)):
                if _is_unknown(value, known) and not value.startswith(TODO_ID):
                    counts[column, value] = counts.get((column, value), 0) + 1
                    places.setdefault((column, value), Place(parsed.name, line))
    for (column, value), count in counts.items():
        yield Problem(
            ProblemKind.NOTICE,
            counted(
                "{count} mark has {column} = {value}, which is in no file",
                "{count} marks have {column} = {value}, which is in no file",
                count,
                column=column,
                value=value,
            ),
            places[column, value],
            message("they are kept; an id that was changed can be changed back"),
        )
