"""What is chosen for a week, written into its file, as `weeks/2027-W12.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import field
from datetime import date, time
from pathlib import Path
from typing import Any

from weeksync.errors import EditRefused
from weeksync.household.editing import edit_file
from weeksync.household.ids import ids_of, suffix
from weeksync.household.toml_edits import Value, with_entry, with_item, with_value, without_entry
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.chosen import PlacedTask, PlannedBreak, WeekFile
from weeksync.model.week import IsoWeek
from weeksync.read import new_id

_KEYS = ("date", "part", "start", "minutes", "person")


@dataclass(frozen=True, slots=True)
class Choice:
    """What is chosen for one week; what stands in its file already stays.

    `placed` maps a task to all its places from `since` on: they take the place of those that
    stand there now, which must be the ones `seen`. A priority that stands on its day already
    and a break at the same moment are not written twice.
    """

    since: date
    placed: Mapping[str, Sequence[PlacedTask]] = field(default_factory=dict)
    seen: Mapping[str, Sequence[PlacedTask]] = field(default_factory=dict)
    priorities: Sequence[tuple[date, str]] = ()
    breaks: Sequence[PlannedBreak] = ()


def choose(folder: Path, week: IsoWeek, choice: Choice) -> None:
    """Write a choice into the file of `week`, all of it or nothing; the file is made if missing.

    EditRefused where a task's places are no longer those that were seen; see `edit_file`.
    """

    def edit(text: str, record: WeekFile) -> str:
        for task, places in choice.placed.items():
            seen = list(choice.seen.get(task, ()))
            now = [one for one in record.placed if _is_of(one.task, one.date, task, choice.since)]
            if now != seen:
                raise EditRefused(
                    message(
                        "where “{task}” stands has been changed in the file of {week} meanwhile; "
                        "it was left as it is",
                        task=task,
                        week=str(week),
                    )
                )
            text = _placed(text, task, choice.since, places)
        for day, priority in choice.priorities:
            text = _with_priority(text, day, priority)
        for pause in choice.breaks:
            text = _with_break(text, pause, taken)
        return text

    taken = ids_of(folder) if choice.breaks else set()

    edit_file(folder, f"weeks/{week}.toml", WeekFile, edit, start="format = 1\n")


def _is_of(placed: str, day: date, task: str, since: date) -> bool:
    return placed == task and day >= since


def _entries(text: str, array: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(text).get(array, [])
    return found


def _placed(text: str, task: str, since: date, places: Sequence[PlacedTask]) -> str:
    old = [
        at
        for at, one in enumerate(_entries(text, "placed"))
        if _is_of(one.get("task", ""), _day(one), task, since)
    ]
    for at, place in zip(old, places, strict=False):
        for key in _KEYS:
            text = with_value(text, ("placed", at), key, getattr(place, key))
    for at in reversed(old[len(places) :]):
        text = without_entry(text, ("placed", at))
    for place in places[len(old) :]:
        text = with_entry(text, "placed", _table(place, "task", *_KEYS))
    return text


def _table(record: PlacedTask | PlannedBreak, *keys: str) -> dict[str, Value]:
    """What is said in a record, as an entry of a file."""
    return {key: value for key in keys if (value := getattr(record, key)) not in (None, "")}


def _with_priority(text: str, day: date, priority: str) -> str:
    days = _entries(text, "days")
    at = next((at for at, one in enumerate(days) if _day(one) == day), None)
    if at is None:
        earlier = [at for at, one in enumerate(days) if _day(one) < day]
        entry: dict[str, Value] = {"date": day, "priorities": (priority,)}
        return with_entry(text, "days", entry, earlier[-1] if earlier else None)
    if priority in days[at].get("priorities", ()):
        return text
    return with_item(text, ("days", at), "priorities", priority)


def _with_break(text: str, pause: PlannedBreak, taken: set[str]) -> str:
    for one in _entries(text, "breaks"):
        if (_day(one), _clock(one), one.get("person")) == (pause.date, pause.start, pause.person):
            return text
    given: dict[str, Value] = {"id": pause.id or new_id(pause.what, "break", taken, suffix)}
    said = _table(pause, "date", "start", "minutes", "what", "person")
    return with_entry(text, "breaks", given | said)


def _day(entry: Mapping[str, Any]) -> date:
    """The date of an entry, which may stand in quotes; one that is none lies before all days."""
    with suppress(ValueError):
        return date.fromisoformat(str(entry.get("date")))
    return date.min


def _clock(entry: Mapping[str, Any]) -> time | None:
    with suppress(ValueError):
        return time.fromisoformat(str(entry.get("start")))
    return None
