"""Closed weeks among open ones: their days as they were kept, in months and in other spans."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from weeksync.model.spread import Day, HabitRow, MonthPlan, Spread
from weeksync.plan.month_spans import month_spans


def month_with(plan: MonthPlan, kept: Iterable[Spread]) -> MonthPlan:
    """The month with the days of closed weeks in place of those that were computed now."""
    days = _days(kept)
    if not days:
        return plan
    weeks = tuple((week, tuple(days.get(one.date, one) for one in row)) for week, row in plan.weeks)
    breaks = {one.date: one.term_break for _, row in weeks for one in row}
    spans = tuple(
        month_spans(row, lambda day: breaks.get(day, ""))
        if any(one.date in days for one in row)
        else spans
        for (_, row), spans in zip(weeks, plan.spans, strict=True)
    )
    return replace(plan, weeks=weeks, spans=spans)


def span_with(spread: Spread, kept: Iterable[Spread]) -> Spread:
    """A span that is no week with the days of closed weeks, and with their cells of habits."""
    kept = tuple(kept)
    days = _days(kept)
    if not days:
        return spread
    cells = {
        (row.id, cell.day): (row, at)
        for one in kept
        for row in one.habits
        for at, cell in enumerate(row.cells)
    }
    return replace(
        spread,
        days=tuple(days.get(one.date, one) for one in spread.days),
        habits=tuple(_row(row, cells) for row in spread.habits),
    )


def _row(row: HabitRow, cells: dict[tuple[str, date], tuple[HabitRow, int]]) -> HabitRow:
    """The row with what was kept of its days; days due stay counted as they are today."""
    found = []
    for cell in row.cells:
        kept = cells.get((row.id, cell.day))
        found.append(kept[0].cells[kept[1]] if kept is not None else cell)
    return replace(row, cells=tuple(found)) if tuple(found) != row.cells else row


def _days(kept: Iterable[Spread]) -> dict[date, Day]:
    return {day.date: day for spread in kept for day in spread.days}
