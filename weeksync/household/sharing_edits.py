"""What is released for shared pages, written where it is said: comments and order stay."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

from weeksync.errors import EditRefused
from weeksync.household import toml_edits as flat
from weeksync.household.editing import edit_file
from weeksync.household.task_edits import TaskChange, change_tasks
from weeksync.household.toml_edits import Edit, with_value, written
from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.files import Appointment, AppointmentsFile, Habit, HabitsFile, Task
from weeksync.read.positions import Walk

Entry = TypeVar("Entry", Habit, Appointment)
_TABLE = "sharing"


def release_habit(folder: Path, seen: Habit) -> None:
    """Write `share = true` into the entry of a habit; EditRefused where that is not as seen."""

    def edit(text: str, record: HabitsFile) -> str:
        _check_unchanged(record.habits, seen)
        return _released(text, "habits", seen.id)

    edit_file(folder, "habits.toml", HabitsFile, edit)


def release_appointment(folder: Path, seen: Appointment) -> None:
    """Write `share = true` into the entry of an appointment; EditRefused as for a habit."""

    def edit(text: str, record: AppointmentsFile) -> str:
        _check_unchanged(record.appointments, seen)
        return _released(text, "appointments", seen.id)

    edit_file(folder, "appointments.toml", AppointmentsFile, edit)


def release_task(folder: Path, seen: Task) -> None:
    """Write `share = true` into the entry of a task, in whichever file it is; see `change_tasks`.

    EditRefused where it is not as seen.
    """
    change_tasks(folder, [TaskChange(seen, {"share": True})])


def release_title(folder: Path, title: str) -> None:
    """Add a title to `released` of `[sharing]` in `config.toml`; nothing where it is there."""
    _add(folder, "released", [title])


def remember_words(folder: Path, words: Iterable[str]) -> None:
    """Add words to `harmless` of `[sharing]`: they were looked at once and may stand there."""
    _add(folder, "harmless", words)


def _check_unchanged(entries: Iterable[Entry], seen: Entry) -> None:
    if [one for one in entries if one.id == seen.id] != [seen]:
        raise EditRefused(
            message(
                "“{title}” has been changed in its file meanwhile, and was left as it is",
                title=seen.title,
            )
        )


def _released(text: str, array: str, entry_id: str) -> str:
    entries = tomllib.loads(text)[array]
    place = next(at for at, entry in enumerate(entries) if entry.get("id") == entry_id)
    return with_value(text, (array, place), "share", True)


def _add(folder: Path, key: str, words: Iterable[str]) -> None:
    def edit(text: str, record: Config) -> str:
        there = set(getattr(record.sharing, key))
        for word in dict.fromkeys(word.strip() for word in words):
            if word and word not in there:
                text = with_word(text, key, word)
        return text

    edit_file(folder, "config.toml", Config, edit)


def with_word(text: str, key: str, word: str) -> str:
    """The text of `config.toml` with a word at the end of a list of `[sharing]`."""

    def change(data: dict[str, Any]) -> None:
        data.setdefault(_TABLE, {}).setdefault(key, []).append(word)

    return flat._edited(text, change, _adding(text, key, word))


def _adding(text: str, key: str, word: str) -> Callable[[Walk], list[Edit]]:
    def edits(walk: Walk) -> list[Edit]:
        if (_TABLE,) in walk.spots:
            return _appended(walk, key, word)
        newline = flat._newline(text)
        gap = "" if not text or text.endswith(newline * 2) else newline
        before = "" if not text or text.endswith("\n") else newline
        block = f"[{_TABLE}]{newline}{key} = {written([word])}{newline}"
        return [(len(text), len(text), before + gap + block)]

    return edits


def _appended(walk: Walk, key: str, word: str) -> list[Edit]:
    path = (_TABLE, key)
    if path not in walk.ends:
        return [flat._key_added(walk, (_TABLE,), f"{key} = {written([word])}")]
    ends = [end for other, end in walk.ends.items() if other[:2] == path and len(other) > len(path)]
    if not ends:
        inside = walk.spots[path].value + 1
        return [(inside, inside, written(word))]
    return [(max(ends), max(ends), f", {written(word)}")]
