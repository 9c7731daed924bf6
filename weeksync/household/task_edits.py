"""What is decided about tasks, written into `tasks.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from pathlib import Path

from weeksync.errors import EditRefused
from weeksync.household.disk import Disk
from weeksync.household.editing import edit_file
from weeksync.household.ids import suffix
from weeksync.household.reading import toml_files
from weeksync.household.toml_edits import Value, with_entry, with_value
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.files import Task, TasksFile
from weeksync.read import ids_in, new_id

_ARRAY = "tasks"


@dataclass(frozen=True, slots=True)
class TaskChange:
    """One task as it was when it was decided about, and what becomes of it.

    `values` are keys of its entry with their new values, None to take a key away; `parts` are
    entries that are put behind it, each with a title and without an id.
    """

    seen: Task
    values: Mapping[str, Value | None] = field(default_factory=dict)
    parts: Sequence[Mapping[str, Value]] = ()


def change_tasks(folder: Path, changes: Iterable[TaskChange]) -> tuple[str, ...]:
    """Write decisions about tasks: those of one file all together, or none of them.

    Returns the ids of the new entries, in their order. EditRefused where a task is no longer as
    it was seen, or its file cannot be edited; see `edit_file`.
    """
    disk = Disk(folder)
    contents = {name: disk.read(name) or b"" for name in toml_files(disk)}
    taken = {one for content in contents.values() for one in ids_in(content)}
    by_file: dict[str, list[TaskChange]] = {}
    for change in changes:
        by_file.setdefault(_holder(contents, change.seen.id), []).append(change)
    made: list[str] = []
    for name, several in by_file.items():
        made += _write(folder, name, several, taken)
    return tuple(made)


def files_of(folder: Path, tasks: Iterable[Task]) -> tuple[str, ...]:
    """The names of the files that decisions about these tasks are written into."""
    disk = Disk(folder)
    contents = {name: disk.read(name) or b"" for name in toml_files(disk)}
    return tuple(dict.fromkeys(_holder(contents, task.id) for task in tasks))


def _holder(contents: Mapping[str, bytes], task: str) -> str:
    """The one file that has the id; `tasks.toml` where none or several have it."""
    holders = [name for name, content in contents.items() if task in ids_in(content)]
    return holders[0] if len(holders) == 1 else "tasks.toml"


def _write(folder: Path, name: str, changes: list[TaskChange], taken: set[str]) -> list[str]:
    made: list[str] = []

    def edit(text: str, record: TasksFile) -> str:
        for change in changes:
            _check_unchanged(record, change.seen)
            text, ids = _changed(text, change, taken)
            made.extend(ids)
        return text

    edit_file(folder, name, TasksFile, edit)
    return made


def _check_unchanged(record: TasksFile, seen: Task) -> None:
    now = [task for task in record.tasks if task.id == seen.id]
    if now != [seen]:
        raise EditRefused(
            message(
                "“{title}” has been changed in its file meanwhile, and was left as it is",
                title=seen.title,
            )
        )


def _changed(text: str, change: TaskChange, taken: set[str]) -> tuple[str, list[str]]:
    """(the text after the change, the ids of its new entries)."""
    place = _place(text, change.seen.id)
    for key, value in change.values.items():
        text = with_value(text, (_ARRAY, place), key, value)
    ids = []
    for offset, part in enumerate(change.parts):
        ids.append(new_id(str(part["title"]), "task", taken, suffix))
        text = with_entry(text, _ARRAY, {"id": ids[-1], **part}, place + offset)
    return text, ids


def _place(text: str, task_id: str) -> int:
    entries = tomllib.loads(text)[_ARRAY]
    return next(at for at, entry in enumerate(entries) if entry.get("id") == task_id)
