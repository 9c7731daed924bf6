"""Days proposed for habits: those with most room; after a night of work not the morning."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from weeksync.message import counted, message
from weeksync.model.fields import DayPart, MarkKind
from weeksync.model.spread import CellState, HabitRow
from weeksync.model.week_plan import DayLoad, ProposedHabit

_TO_DO = {MarkKind.YES_NO, MarkKind.MINUTES}
"""Kinds of habits that take time and can be done at another one; the others note a figure, as
hours of sleep, that belongs to its time of day."""


def propose_habits(
    rows: Iterable[HabitRow],
    loads: Iterable[DayLoad],
    after_nights: Collection[tuple[str, date]],
    today: date,
) -> tuple[ProposedHabit, ...]:
    """What is proposed for the habits of a week, from `today` on, in the order of `rows`.

    `after_nights` are (person, day) of the days that begin with a night of work.

    Days for those that are due a number of times a week, and the afternoon for morning habits on
    days that begin with a night of work: those that are something to do, done or not or by
    minutes. Figures are noted when they are known, and when one of health is taken is nobody
    else's to say: they stay.
    """
    room = {(load.person, load.day): load.free - load.planned for load in loads}
    found = []
    for row in rows:
        days = _days_a_week(row, room, today)
        if days:
            found.append(_with_room(row, days))
        later = tuple(
            cell.day
            for cell in row.cells
            if cell.state is CellState.OPEN
            and cell.day >= today
            and (row.person, cell.day) in after_nights
            and _can_move(row)
            and (row.times_a_week is None or cell.day in days)
        )
        if later:
            found.append(_after_night(row, later))
    return tuple(found)


def _can_move(row: HabitRow) -> bool:
    return row.part is DayPart.MORNING and row.kind in _TO_DO and not row.health


def _days_a_week(
    row: HabitRow, room: Mapping[tuple[str, date], int], today: date
) -> tuple[date, ...]:
    """As many open days as are still wanting, those with most room, spread over the week.

    Of days with the same room the one that lies farthest from the others of the habit is taken,
    then the earlier. A person whose days are not planned has the same room on all of them.
    """
    if row.times_a_week is None:
        return ()
    could = [cell.day for cell in row.cells if cell.state is CellState.OPEN and cell.day >= today]
    taken = [cell.day for cell in row.cells if cell.state is CellState.MARKED]
    found: list[date] = []
    for _ in range(min(row.due - row.marked, len(could))):
        day = max(
            could,
            key=lambda one: (room.get((row.person, one), 0), _apart(one, taken), -one.toordinal()),
        )
        could.remove(day)
        taken.append(day)
        found.append(day)
    return tuple(sorted(found))


def _apart(day: date, others: Iterable[date]) -> int:
    return min((abs((day - other).days) for other in others), default=7)


def _with_room(row: HabitRow, days: tuple[date, ...]) -> ProposedHabit:
    reason = counted(
        "{count} of {times} a week is still due: the day with most room",
        "{count} of {times} a week are still due: the days with most room",
        len(days),
        times=row.times_a_week or 0,
    )
    return ProposedHabit(row.id, row.title, row.person, days, reason, None, row.only_for)


def _after_night(row: HabitRow, days: tuple[date, ...]) -> ProposedHabit:
    reason = message("in the afternoon: after a night of work the morning is for sleep")
    return ProposedHabit(
        row.id, row.title, row.person, days, reason, DayPart.AFTERNOON, row.only_for
    )
