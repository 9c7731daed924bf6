"""A habit's row as a record of the page."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType

from weeksync.message import Message, counted, message
from weeksync.model.fields import MarkKind
from weeksync.model.spread import CellState, HabitRow
from weeksync.model.spread import HabitCell as Cell
from weeksync.site.parts import part_name
from weeksync.site.record import HabitCell, HabitLine
from weeksync.site.words import Words

_LABELS: dict[CellState, Message] = {
    CellState.NOT_DUE: message("not due"),
    CellState.OPEN: message("still to come"),
    CellState.NOT_RECORDED: message("not recorded"),
    CellState.MARKED: message("marked"),
    CellState.MISSED: message("missed"),
    CellState.PAUSED: message("paused"),
}


def habit_line(
    words: Words, row: HabitRow, proposed: Mapping[date, str] = MappingProxyType({})
) -> HabitLine:
    """A habit over the days of its spread; `proposed` days with the day part it moves to or ""."""
    return HabitLine(
        id=row.id,
        title=row.title,
        area=words.area(row.area),
        person=words.person(row.person),
        part=part_name(words, row.part) if row.part is not None else "",
        target=words.text(target) if (target := _target(words, row)) is not None else "",
        cells=tuple(_cell(words, row, cell, proposed.get(cell.day)) for cell in row.cells),
        tally=words.text(message("{marked} of {due}", marked=row.marked, due=row.due))
        if row.due
        else "",
        only_for=words.names(row.only_for) if row.only_for else "",
        kind=row.kind.value,
        unit=row.unit,
        aim=f"{row.target:.15g}" if row.target is not None else "",
    )


def _target(words: Words, row: HabitRow) -> Message | None:
    """What is aimed at, as a sentence."""
    if row.times_a_week is not None:
        return counted("once a week", "{count} times a week", row.times_a_week)
    if row.target is None:
        return None
    number = words.language.number(row.target)
    if row.kind is MarkKind.MINUTES:
        return message("{minutes} min", minutes=number)
    if row.kind is MarkKind.HOURS:
        return message("{hours} h", hours=number)
    return message("{number} {unit}", number=number, unit=row.unit) if row.unit else None


def _cell(words: Words, row: HabitRow, cell: Cell, part: str | None) -> HabitCell:
    value = "" if row.kind is MarkKind.YES_NO else _figure(words, cell.value)
    label = words.text(_LABELS[cell.state])
    if value:
        label = words.text(message("{state}: {value}", state=label, value=value))
    proposed = part is not None and cell.state is CellState.OPEN
    if proposed:
        label = words.text(message("{state}, proposed", state=label))
    if proposed and part:
        label = words.text(message("{state}: {value}", state=label, value=part))
    return HabitCell(
        date=cell.day.isoformat(),
        state=cell.state.value.replace(" ", "-"),
        label=label,
        value=value,
        proposed=proposed,
        raw=cell.value,
    )


def _figure(words: Words, value: str) -> str:
    """The figure as the language writes it; what is no number stays as it was noted."""
    try:
        return words.language.number(float(value))
    except (ValueError, OverflowError):
        return value
