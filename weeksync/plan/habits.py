"""Habits: on which days each is due, and how it stands on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta

from weeksync.model.day_parts import part_place
from weeksync.model.fields import MarkKind, Weekday
from weeksync.model.files import Habit
from weeksync.model.household import HouseholdFiles, Mark
from weeksync.model.spread import CellState, HabitCell, HabitRow
from weeksync.model.week import WeekRule
from weeksync.plan.lighter import LighterPeriods

_WEEKDAYS = tuple(Weekday)
_DUE = (CellState.OPEN, CellState.NOT_RECORDED, CellState.MARKED, CellState.MISSED)


class Habits:
    """The habits of the household, asked for rows over any days.

    A day on which a habit is not due keeps its mark as `value`, and does not count. A habit n
    times a week may be done on any day that is not paused: once n days of a week are marked, its
    other days are not due any more.
    """

    def __init__(
        self,
        files: HouseholdFiles,
        marks: Mapping[tuple[str, date], Mark],
        is_term_day: Callable[[date], bool],
        rule: WeekRule,
        today: date,
        exists: Callable[[date], bool] = lambda day: True,
    ) -> None:
        self._marks = marks
        self._exists = exists
        self._is_term_day = is_term_day
        self._rule = rule
        self._today = today
        self._habits = sorted(
            files.habits,
            key=lambda one: (part_place(one.part), one.order, one.title.casefold(), one.id),
        )
        self.lighter = LighterPeriods(files.weeks, rule)
        self._rows: dict[tuple[date, ...], tuple[HabitRow, ...]] = {}
        self._cells: dict[tuple[int, date], HabitCell] = {}

    def rows(self, days: Sequence[date]) -> tuple[HabitRow, ...]:
        """A row for each habit that is due, paused or marked on one of `days`."""
        asked = tuple(days)
        found = self._rows.get(asked)
        if found is None:
            rows = (self._row(habit, asked) for habit in self._habits)
            found = self._rows[asked] = tuple(filter(_is_shown, rows))
        return found

    def due_in(self, person: str, days: Sequence[date]) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """(id, only_for) of the person's habits that are due on one of `days`, paused or not."""
        return tuple(
            (one.id, one.only_for)
            for one in self._habits
            if one.person == person and any(self._is_due(one, day) for day in days)
        )

    def _row(self, habit: Habit, days: Sequence[date]) -> HabitRow:
        cells = tuple(self._cell(habit, day) for day in days)
        boxes = tuple(number for number, cell in enumerate(cells, 1) if cell.state in _DUE)
        due = len(boxes)
        if habit.times_a_week is not None:
            cells, due = self._cells_a_week(habit, habit.times_a_week, cells)
        return HabitRow(
            id=habit.id,
            title=habit.title,
            area=habit.area,
            person=habit.person,
            part=habit.part,
            kind=habit.kind,
            unit=habit.unit,
            target=habit.target,
            cells=cells,
            times_a_week=habit.times_a_week,
            due=due,
            marked=sum(cell.state is CellState.MARKED for cell in cells),
            health=habit.health,
            only_for=habit.only_for,
            boxes=boxes,
        )

    def _cells_a_week(
        self, habit: Habit, times: int, each: Sequence[HabitCell]
    ) -> tuple[tuple[HabitCell, ...], int]:
        """(cells, due days) of a habit n times a week, judged by whole weeks.

        `each` is how each day stands by itself. Due are n days of each week, or as many of these
        days in it as are not paused if those are fewer; more than n may be marked.
        """
        cells: list[HabitCell] = []
        due: dict[date, int] = defaultdict(int)
        done: dict[date, bool] = {}
        for cell in each:
            week = self._rule.start(cell.day)
            if week not in done:
                done[week] = self._marked_in_week(habit, week) >= times
            due[week] += cell.state in _DUE
            if done[week] and cell.state in {CellState.OPEN, CellState.NOT_RECORDED}:
                cell = HabitCell(cell.day, CellState.NOT_DUE)
            cells.append(cell)
        return tuple(cells), sum(min(times, could) for could in due.values())

    def _marked_in_week(self, habit: Habit, start: date) -> int:
        week = (start + timedelta(days=offset) for offset in range(7))
        noted = (day for day in week if (habit.id, day) in self._marks)
        return sum(self._cell(habit, day).state is CellState.MARKED for day in noted)

    def _cell(self, habit: Habit, day: date) -> HabitCell:
        """How it stands on a day; a day is asked for by its week, its month and its year."""
        found = self._cells.get((id(habit), day))
        if found is None:
            mark = self._marks.get((habit.id, day))
            value = mark.value.strip() if mark is not None else ""
            found = HabitCell(day, self._state(habit, day, value), value)
            self._cells[id(habit), day] = found
        return found

    def _state(self, habit: Habit, day: date, value: str) -> CellState:
        if not self._is_due(habit, day):
            return CellState.NOT_DUE
        if self._is_paused(habit, day):
            return CellState.PAUSED
        if value:
            return CellState.MARKED if reached(habit, value) else CellState.MISSED
        return CellState.NOT_RECORDED if day < self._today else CellState.OPEN

    def _is_due(self, habit: Habit, day: date) -> bool:
        if not self._exists(day) or (habit.start is not None and day < habit.start):
            return False
        if habit.end is not None and day > habit.end:
            return False
        if habit.days and _WEEKDAYS[day.weekday()] not in habit.days:
            return False
        return not habit.terms_only or self._is_term_day(day)

    def _is_paused(self, habit: Habit, day: date) -> bool:
        for one in habit.pauses:
            if one.start <= day and (one.end is None or day <= one.end):
                return True
        return self.lighter.covers(habit.person, day)


def _is_shown(row: HabitRow) -> bool:
    return any(cell.state is not CellState.NOT_DUE or cell.value for cell in row.cells)


def reached(habit: Habit, value: str) -> bool:
    """Whether a mark says that the habit was kept.

    Yes/no: "yes". The others: the figure is the target or more, where there is a target; else
    any figure. "yes" and "no" are taken for what they say there too.
    """
    plain = value.casefold()
    if plain in {"yes", "no"} or habit.kind is MarkKind.YES_NO:
        return plain == "yes"
    if habit.target is None:
        return True
    try:
        return float(plain) >= habit.target
    except ValueError:
        return False
