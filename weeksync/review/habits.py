"""Habits over a span: rates of what was recorded, and the figures day by day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import field
from datetime import date
from statistics import fmean

from weeksync.lazy import dataclass
from weeksync.model.fields import MarkKind
from weeksync.model.marking import TICKS, remedy_for
from weeksync.model.review import Figures, HabitReview, Rate
from weeksync.model.spread import CellState, Day, HabitCell, HabitRow, Spread
from weeksync.model.week import IsoWeek
from weeksync.review.course import moving_average, slope
from weeksync.review.rates import rate

AVERAGE_DAYS = 7
"""Days of the moving average: a whole week, so that no weekday weighs more than another."""

SLOPE_FROM = 14
"""Days with figures below which no change a week is told; a choice of ours."""


@dataclass(slots=True)
class _Course:
    """The cells of one habit; `boxes` are the days on which it could be marked."""

    row: HabitRow
    cells: dict[date, HabitCell] = field(default_factory=dict)
    boxes: set[date] = field(default_factory=set)


SLOPE_UNTIL = 400
"""Days with figures above which none is told: one slope says little of more than a year, and there
are as many slopes as pairs of days."""


def habit_reviews(
    spreads: Iterable[Spread], days: Sequence[Day], dates: Sequence[date]
) -> tuple[HabitReview, ...]:
    """A record for each habit of the spreads, as it is in the last of them, in its order.

    `days` are the days that count, `dates` all dates of the span: the places of the figures.
    """
    weeks = {day.date: day.week for day in days}
    held: dict[str, _Course] = {}
    for spread in spreads:
        for row in spread.habits:
            course = held.setdefault(row.id, _Course(row))
            course.row = row
            for number, cell in enumerate(row.cells, 1):
                if cell.day in weeks and cell.day not in course.cells:
                    course.cells[cell.day] = cell
                    if number in row.boxes:
                        course.boxes.add(cell.day)
    return tuple(_review(one, weeks, dates) for one in held.values() if one.cells)


def figure_of(kind: MarkKind, value: str) -> float | None:
    """The figure that a mark of that kind says; None for yes, no, nothing, and what is none.

    A slip of the pen beyond the bounds of `weeksync.model.marking` is none, either.
    """
    if not value or value in TICKS or remedy_for(kind, value) is not None:
        return None
    return float(value)


def _review(course: _Course, weeks: dict[date, IsoWeek], dates: Sequence[date]) -> HabitReview:
    row, cells = course.row, course.cells.values()
    if row.times_a_week is None:
        counted, not_recorded, to_come = _by_day(cells)
    else:
        counted, not_recorded, to_come = _by_week(course, row.times_a_week, weeks)
    return HabitReview(
        id=row.id,
        title=row.title,
        person=row.person,
        kind=row.kind,
        area=row.area,
        unit=row.unit,
        target=row.target,
        times_a_week=row.times_a_week,
        health=row.health,
        only_for=row.only_for,
        rate=counted,
        not_recorded=not_recorded,
        paused=sum(cell.state is CellState.PAUSED for cell in cells),
        to_come=to_come,
        figures=_figures(course, dates),
    )


def _by_day(cells: Iterable[HabitCell]) -> tuple[Rate, int, int]:
    """(rate of the recorded due days, due days not recorded, due days to come)."""
    count: dict[CellState, int] = defaultdict(int)
    for cell in cells:
        count[cell.state] += 1
    marked = count[CellState.MARKED]
    return (
        rate(marked, marked + count[CellState.MISSED]),
        count[CellState.NOT_RECORDED],
        count[CellState.OPEN],
    )


def _by_week(course: _Course, times: int, weeks: dict[date, IsoWeek]) -> tuple[Rate, int, int]:
    """The same of a habit n times a week: a week of which something is recorded counts n days.

    What is marked more often than n counts n. Of a week that is not over what is left of n is to
    come. Paused days make n fewer where fewer days are left than n.
    """
    by_week: dict[IsoWeek, list[HabitCell]] = defaultdict(list)
    for day, cell in course.cells.items():
        if day in course.boxes:
            by_week[weeks[day]].append(cell)
    done = asked = not_recorded = to_come = 0
    for cells in by_week.values():
        due = min(times, len(cells))
        marked = min(due, sum(cell.state is CellState.MARKED for cell in cells))
        if any(cell.state is CellState.OPEN for cell in cells):
            done, asked, to_come = done + marked, asked + marked, to_come + due - marked
        elif any(cell.value for cell in cells):
            done, asked = done + marked, asked + due
        else:
            not_recorded += due
    return Rate(done, asked), not_recorded, to_come


def _average(values: Sequence[float | None]) -> tuple[float | None, ...]:
    """The moving average up to the last figure: what comes after it is not known yet."""
    last = max(place for place, one in enumerate(values) if one is not None)
    found = moving_average(values, AVERAGE_DAYS)
    return tuple(one if place <= last else None for place, one in enumerate(found))


def _figures(course: _Course, dates: Sequence[date]) -> Figures | None:
    """The figures, also of days on which it was not due or paused: they were recorded."""
    row = course.row
    if row.kind is MarkKind.YES_NO:
        return None
    said = {day: figure_of(row.kind, cell.value.casefold()) for day, cell in course.cells.items()}
    values = tuple(said.get(day) for day in dates)
    found = [value for value in values if value is not None]
    if not found:
        return None
    target = row.target
    points = [(place / 7, one) for place, one in enumerate(values) if one is not None]
    return Figures(
        values=values,
        average=_average(values),
        days=len(found),
        mean=fmean(found),
        reached=None if target is None else rate(sum(one >= target for one in found), len(found)),
        slope=slope(points) if SLOPE_FROM <= len(points) <= SLOPE_UNTIL else None,
    )
