"""What an evening of planning writes beside choices: rows, notes, lighter days, bills, lessons.

Each function edits one file in place, as `week_edits` does: what is not meant stays byte for byte,
and EditRefused says that something else stands there by now (see `editing.edit_file`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import field
from datetime import date
from pathlib import Path
from typing import Any

from weeksync.errors import EditRefused
from weeksync.household.editing import edit_file
from weeksync.household.toml_deep import (
    with_days,
    with_inline,
    with_top_value,
    with_value_at,
)
from weeksync.household.toml_edits import Value, with_entry, with_value, without_entry
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.chosen import LighterWeek, WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Lesson, TermsFile
from weeksync.model.money import Bill, MoneyFile, Paid
from weeksync.model.week import IsoWeek

_START = "format = 1\n"


@dataclass(frozen=True, slots=True)
class OwnWords:
    """What is written of one's own for a week; what is not named stays as it is.

    `cells` maps (title of the row, weekday) to its text, "" for none; `seen` has what each of
    them said when it was read. A row that is not there yet is made. `notes` is (seen, new).
    """

    cells: Mapping[tuple[str, Weekday], str] = field(default_factory=dict)
    seen: Mapping[tuple[str, Weekday], str] = field(default_factory=dict)
    notes: tuple[str, str] | None = None


def write_own_words(folder: Path, week: IsoWeek, words: OwnWords) -> None:
    """Write cells of rows and the notes of a week, all or nothing.

    EditRefused where a cell or the notes say something else by now.
    """

    def edit(text: str, record: WeekFile) -> str:
        for (title, weekday), new in words.cells.items():
            stands = cell_of(record, title, weekday)
            if stands not in (new, words.seen.get((title, weekday), "")):
                raise _changed(week)
            if stands != new:
                text = _with_cell(text, title, weekday, new)
        if words.notes is not None and record.notes != words.notes[1]:
            if record.notes != words.notes[0]:
                raise _changed(week)
            text = with_top_value(text, "notes", words.notes[1])
        return text

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit, start=_START)


def cell_of(record: WeekFile, title: str, weekday: Weekday) -> str:
    """What the cell of a row says, "" where it says nothing."""
    return next(
        (row.cells[weekday] for row in record.rows if row.title == title and weekday in row.cells),
        "",
    )


def _with_cell(text: str, title: str, weekday: Weekday, new: str) -> str:
    rows = _entries(text, "rows")
    at = next((at for at, one in enumerate(rows) if one.get("title") == title), None)
    if at is None:
        text = with_entry(text, "rows", {"title": title})
        at = len(rows)
    return with_value_at(text, ("rows", at), "cells", weekday.value, new or None)


def add_lighter(folder: Path, week: IsoWeek, lighter: LighterWeek) -> None:
    """Write down lighter days in the file of a week; not twice."""

    def edit(text: str, record: WeekFile) -> str:
        if lighter in record.lighter:
            return text
        people = (lighter.person,) if isinstance(lighter.person, str) else tuple(lighter.person)
        entry: dict[str, Value] = {
            "person": people[0] if len(people) == 1 else people,
            "start": lighter.start,
            "end": lighter.end,
        }
        return with_entry(
            text, "lighter", entry | ({"reason": lighter.reason} if lighter.reason else {})
        )

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit, start=_START)


def take_lighter(folder: Path, week: IsoWeek, lighter: LighterWeek) -> None:
    """Take lighter days out of the file of a week; EditRefused where it has none like these."""

    def edit(text: str, record: WeekFile) -> str:
        if lighter not in record.lighter:
            raise _changed(week)
        return without_entry(text, ("lighter", record.lighter.index(lighter)))

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit)


def take_priority(folder: Path, week: IsoWeek, day: date, priority: str) -> None:
    """Take a priority off a day; EditRefused where the day has it no more."""

    def edit(text: str, record: WeekFile) -> str:
        for at, one in enumerate(record.days):
            if one.date == day and priority in one.priorities:
                left = [text for text in one.priorities if text != priority]
                return with_value(text, ("days", at), "priorities", left)
        raise _changed(week)

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit)


def settle(folder: Path, week: IsoWeek, things: Sequence[str]) -> None:
    """Write down in the file of a week what is left as it is, so that nobody is asked again."""

    def edit(text: str, record: WeekFile) -> str:
        known = {one.what for one in record.settled}
        for what in dict.fromkeys(things):
            if what not in known:
                text = with_entry(text, "settled", {"what": what})
        return text

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit, start=_START)


def unsettle(folder: Path, week: IsoWeek, things: Sequence[str]) -> None:
    """Ask again about these."""

    def edit(text: str, record: WeekFile) -> str:
        for at in reversed(range(len(record.settled))):
            if record.settled[at].what in things:
                text = without_entry(text, ("settled", at))
        return text

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit, start=_START)


def pay(folder: Path, seen: Bill, paid: Paid) -> None:
    """Write down that a bill was paid; EditRefused where the bill is no longer as it was seen."""

    def edit(text: str, record: MoneyFile) -> str:
        at = next((at for at, one in enumerate(record.bills) if one.id == seen.id), None)
        if at is None or record.bills[at] != seen:
            raise EditRefused(
                message(
                    "“{title}” has been changed in its file meanwhile, and was left as it is",
                    title=seen.title,
                )
            )
        entry: dict[str, Value] = {"due": paid.due, "on": paid.on}
        if paid.amount is not None:
            entry["amount"] = paid.amount
        return with_inline(text, ("bills", at), "paid", entry)

    edit_file(folder, "money.toml", MoneyFile, edit)


def make_up(folder: Path, seen: Lesson, day: date) -> None:
    """Give a missed lesson a day on which it is made up; EditRefused where it has changed."""

    def edit(text: str, record: TermsFile) -> str:
        at = next((at for at, one in enumerate(record.lessons) if one.id == seen.id), None)
        if at is None or record.lessons[at] != seen:
            raise EditRefused(
                message(
                    "“{title}” has been changed in its file meanwhile, and was left as it is",
                    title=seen.subject,
                )
            )
        return with_days(text, ("lessons", at), "make_up", [*seen.make_up, day])

    edit_file(folder, "terms.toml", TermsFile, edit)


def _entries(text: str, array: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(text).get(array, [])
    return found


def _changed(week: IsoWeek) -> EditRefused:
    return EditRefused(
        message(
            "the file of {week} has been changed meanwhile; it was left as it is", week=str(week)
        )
    )
