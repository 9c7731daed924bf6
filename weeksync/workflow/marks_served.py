"""Marks that arrive over HTTP: read, written to the household's files, and what they touch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.household import Mark
from weeksync.model.week import IsoWeek
from weeksync.read import read_arriving
from weeksync.workflow.close import kept_but_closed
from weeksync.workflow.context import Context
from weeksync.workflow.mark import Refused, take_marks

BODY = "marks"
"""What messages call the lines of a request."""


@dataclass(frozen=True, slots=True)
class Received:
    """What became of the lines: counts, those refused (`place` is the line from 0), the weeks
    that what is new in them touches, in order, and what else there is to say of them."""

    new: int
    known: int
    refused: tuple[Refused, ...]
    weeks: tuple[IsoWeek, ...]
    notices: tuple[Message, ...] = ()


def receive_marks(context: Context, lines: bytes, received_at: datetime, device: str) -> Received:
    """Write the marks of these lines; what is refused takes nothing else with it.

    A line keeps the device it names, so that a mark that arrives once more, by whatever way, is
    the same mark; `device` stands in where it names none. UsageError where the lines are none of
    marks; HouseholdError where a file cannot be written: then all may be sent once more.
    """
    if lines.strip() and not lines.lstrip().startswith(b"{"):
        raise UsageError(message("the body is none of marks; send one JSON object on each line"))
    arrived = read_arriving(BODY, lines, received_at).lines
    good = [(line, line.mark) for line in arrived if line.mark is not None]
    taken = take_marks(context, [_by(mark, device) for _, mark in good])
    refused = [
        Refused(line.number - 1, line.problem.what, line.problem.remedy)
        for line in arrived
        if line.problem is not None
    ]
    refused += [replace(one, place=good[one.place][0].number - 1) for one in taken.refused]
    wrong = {one.place for one in refused}
    days = [mark for line, mark in good if line.number - 1 not in wrong]
    weeks = _weeks(context, days) if taken.new else ()
    return Received(
        taken.new,
        taken.known,
        tuple(sorted(refused, key=lambda one: one.place)),
        weeks,
        tuple(map(kept_but_closed, taken.closed)),
    )


def _by(mark: Mark, device: str) -> Mark:
    return mark if mark.device else replace(mark, device=device)


def _weeks(context: Context, marks: Iterable[Mark]) -> tuple[IsoWeek, ...]:
    """The weeks of the marked days, and this one and the next: a task that was put off or done
    is no longer carried there."""
    this = context.rule.week_of(context.today)
    return tuple(
        sorted({this, this.shifted(1), *(context.rule.week_of(mark.day) for mark in marks)})
    )
