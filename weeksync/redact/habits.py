"""Habits that were released, as rows of days marked or blank."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from weeksync.message import message
from weeksync.model.files import Habit
from weeksync.model.shared import Decision, ItemKind, SharedHabit
from weeksync.model.spread import CellState, HabitRow
from weeksync.redact.rules import Look, Rules
from weeksync.redact.vetoes import ONLY_FOR

_HEALTH = message("habits marked as health are never shared")
_GONE = message("it is no longer in habits.toml")
_BLANK = (False,) * 7


def judged(
    entries: Iterable[Habit], rows: Iterable[HabitRow], rules: Rules
) -> Iterator[tuple[Decision, SharedHabit | None]]:
    """A decision for each habit of today or of the week, and what stands there for it, if any.

    A released habit has a row in every week, also one in which it was never due or did not exist:
    that it is missing would tell of a pause.
    """
    by_id = {row.id: row for row in rows}
    for entry in entries:
        row = by_id.pop(entry.id, None)
        look = _look(entry, row, rules)
        release = "" if entry.share or _held_back(entry, row) is not None else entry.id
        yield _decision(entry.title, look, release, entry.only_for), _row(entry, row, look, rules)
    for row in by_id.values():
        yield _decision(row.title, Look(why=_GONE), "", row.only_for), None


def _held_back(entry: Habit, row: HabitRow | None) -> Look | None:
    """Why it can never be shown, as it is today or as it was then."""
    if entry.health or (row is not None and row.health):
        return Look(why=_HEALTH)
    if entry.only_for or (row is not None and row.only_for):
        return Look(why=ONLY_FOR)
    return None


def _look(entry: Habit, row: HabitRow | None, rules: Rules) -> Look:
    held_back = _held_back(entry, row)
    if held_back is not None:
        return held_back
    title = "" if entry.share_as else entry.title
    return rules.look(rules.of_habit(entry), title, entry.area)


def _row(entry: Habit, row: HabitRow | None, look: Look, rules: Rules) -> SharedHabit | None:
    if look.hidden:
        return None
    role = next(iter(rules.roles((entry.person,))), "")
    return SharedHabit(look.shown_as, look.label, _marked(row), look.area, role)


def _marked(row: HabitRow | None) -> tuple[bool, ...]:
    """Monday first: marked or blank. A pause, a miss and a day nobody wrote down are blank."""
    marked = list(_BLANK)
    for cell in row.cells if row is not None else ():
        marked[cell.day.weekday()] = cell.state is CellState.MARKED
    return tuple(marked)


def shown(found: Iterable[SharedHabit | None]) -> tuple[SharedHabit, ...]:
    """The rows by their words; those that look the same are one, marked where one of them was."""
    looks: dict[SharedHabit, tuple[bool, ...]] = {}
    for one in found:
        if one is not None:
            look = replace(one, marked=())
            before = looks.get(look, _BLANK)
            looks[look] = tuple(a or b for a, b in zip(before, one.marked, strict=True))
    rows = (replace(look, marked=marked) for look, marked in looks.items())
    return tuple(sorted(rows, key=_by_sight))


def _by_sight(one: SharedHabit) -> tuple[object, ...]:
    return one.label.casefold(), one.label, one.role, one.shown_as, one.area is not None


def _decision(title: str, look: Look, release: str, only_for: tuple[str, ...]) -> Decision:
    return Decision(
        ItemKind.HABIT, title, (), look.shown_as, look.label, look.why, release, only_for
    )
