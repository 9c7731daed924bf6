"""The habit page: a row a habit, a box for each day it can be marked, to be read back later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace

from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.fields import MarkKind
from weeksync.model.spread import CellState, HabitCell, HabitRow, Spread
from weeksync.model.week import IsoWeek
from weeksync.paper.cell_map import Cell, HabitSheet, digest
from weeksync.paper.corner_marks import (
    CODE_MM,
    CORNER_MM,
    QUIET_MM,
    code_art,
    code_box,
    code_text,
    corner_marks,
)
from weeksync.paper.document import Page
from weeksync.paper.entries import badge_mm, gutter_mm, letter, writing_rows
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Group, Mark, Rule, Tick, Tone, Words
from weeksync.paper.sheet import Box, Side
from weeksync.paper.style import LEAST_PT
from weeksync.paper.tints import TINTS

LEAST_ROW_MM = 8.0
MOST_COLUMN_MM = 16.0
SHARE_OF_TITLE = 0.36
"""Of the width, for the titles; the rest is the seven days'."""

BOX_EDGE = "#555555"


def habit_pages(layout: Layout, spread: Spread, side: Side) -> tuple[HabitSheet, ...]:
    """The habits of a week on as many pages as they need; none where there is no habit.

    The spread is one that may be seen by whoever sees the page (`plan.views`). `side` is where
    every one of the pages lies, as the layout has it: from left to right.
    """
    if spread.week is None or not spread.habits:
        return ()
    made: list[HabitSheet] = []
    left: Sequence[HabitRow] = spread.habits
    while left:
        grid = _Grid(layout, spread, side)
        left = grid.fill(left)
        made.append(grid.sheet(spread.week, len(made) + 1, last=not left))
    return tuple(made)


@dataclass
class _Grid:
    """One page while it is filled."""

    layout: Layout
    spread: Spread
    side: Side
    y: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    cells: list[Cell] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.area = self.layout.sheet.area(self.side)
        inner = self.area.inset(0, CODE_MM + QUIET_MM, 0, CORNER_MM + QUIET_MM)
        self.column = min((inner.w * (1 - SHARE_OF_TITLE)) / 7, MOST_COLUMN_MM)
        self.title_mm = inner.w - 7 * self.column
        self.inner = inner
        self.several = len({row.person for row in self.spread.habits}) > 1
        self.y = self._days(inner.y)

    # What stands above the rows

    def _heading(self, week: IsoWeek) -> list[Mark]:
        layout, words = self.layout, self.layout.words
        days = self.spread.days
        x = self.area.x + CORNER_MM + QUIET_MM
        width = code_box(self.area).x - QUIET_MM - x
        title = layout.write(
            x,
            self.area.y,
            width,
            words.text(message("Habits")),
            pt=layout.style.title_pt,
            bold=True,
            role="h1",
        )
        below = [words.week_label(days[0].date), words.span(days[0].date, days[-1].date)]
        if not self.several:
            below.append(words.person(self.spread.habits[0].person).name)
        text = words.language.joined(below)
        return [title, layout.write(x, title.box.bottom + 0.5, width, text, tone=Tone.SOFT)]

    def _days(self, y: float) -> float:
        """The names of the days over their columns; where the rows begin."""
        language, style = self.layout.words.language, self.layout.style
        line = style.line_mm(style.label_pt)
        names = [language.weekday(day.date.weekday(), "abbreviated") for day in self.spread.days]
        fits, room = self.layout.measure.fits, self.column - 0.4
        if not all(fits(name, style.label_pt, room) for name in names):
            names = [language.weekday(day.date.weekday(), "narrow") for day in self.spread.days]
        for at, day in enumerate(self.spread.days):
            number = self.layout.words.day_number(day.date)
            self.marks += [
                self.layout.label(self._x(at), y, self.column, names[at], align="centre"),
                self.layout.write(
                    self._x(at), y + line, self.column, number, align="centre", bold=True, most=1
                ),
            ]
        return y + line + style.line_mm() + 0.8

    def _x(self, column: int) -> float:
        return self.inner.x + self.title_mm + column * self.column

    # The rows

    def fill(self, rows: Sequence[HabitRow]) -> Sequence[HabitRow]:
        """Write rows as long as they fit, in the order of the day; those that are left."""
        for at, row in enumerate(rows):
            height = self._row_height(row)
            if at and self.y + height > self.inner.bottom + 1e-6:
                return rows[at:]
            self._row(row, height)
        return ()

    def _title(self, row: HabitRow, y: float) -> tuple[Words, Words | None]:
        layout, gutter = self.layout, gutter_mm(self.layout)
        width = self.title_mm - gutter - 1
        x = self.inner.x + gutter
        title = layout.write(x, y, width, row.title, role="h3")
        aim = _aim(layout, row, name=self.several)
        if not aim:
            return title, None
        small = layout.style.label_pt
        return title, layout.write(x, title.box.bottom, width, aim, pt=small, tone=Tone.SOFT)

    def _row_height(self, row: HabitRow) -> float:
        title, aim = self._title(row, 0)
        return max(
            LEAST_ROW_MM, self.layout.style.row_mm, title.box.h + (aim.box.h if aim else 0) + 1
        )

    def _row(self, row: HabitRow, height: float) -> None:
        title, aim = self._title(row, 0)
        text_mm = title.box.h + (aim.box.h if aim else 0)
        title, aim = self._title(row, self.y + (height - text_mm) / 2)
        self.marks += [title, *([aim] if aim else []), *self._badge(row, height)]
        for at, cell in enumerate(row.cells):
            self._cell(row, at, cell, height)
        self.y += height
        self.marks.append(Rule(self.inner.x, self.y, self.inner.right, self.y, tone=Tone.FAINT))

    def _badge(self, row: HabitRow, height: float) -> tuple[Mark, ...]:
        area, size = self.layout.words.area(row.area), badge_mm(self.layout)
        if area is None:
            return ()
        fill, edge = TINTS[area.colour]
        colour = "#ffffff" if self.layout.style.ink_saving else fill
        box = Box(self.inner.x, self.y + (height - size) / 2, size, size)
        circle = Fill(box, colour=colour, radius_mm=size / 2, edge_colour=edge)
        return circle, letter(self.layout, box, area.letter)

    def _cell(self, row: HabitRow, at: int, cell: HabitCell, height: float) -> None:
        """A box where the day can be marked; else a dash, or the sign of a pause."""
        x, style = self._x(at), self.layout.style
        if at + 1 not in row.boxes:
            sign = "‖" if cell.state is CellState.PAUSED else "–"
            y = self.y + (height - style.line_mm()) / 2
            self.marks.append(
                self.layout.write(x, y, self.column, sign, align="centre", tone=Tone.SOFT, most=1)
            )
            return
        is_tick = row.kind is MarkKind.YES_NO
        width = style.tick_mm if is_tick else self.column - 1.6
        tall = style.tick_mm if is_tick else min(height - 1.6, LEAST_ROW_MM)
        box = Box(x + (self.column - width) / 2, self.y + (height - tall) / 2, width, tall)
        said = cell.value if cell.state in {CellState.MARKED, CellState.MISSED} else ""
        self.cells.append(Cell(row.id, row.person, cell.day, row.kind, box, said))
        if is_tick:
            self.marks.append(Tick(box, done=cell.state is CellState.MARKED))
            return
        self.marks.append(Fill(box, colour="#ffffff", edge_colour=BOX_EDGE))
        if said:
            self.marks.append(self._noted(box, _figure(self.layout, said)))

    def _noted(self, box: Box, said: str) -> Mark:
        """What is recorded, or a tick where a figure is too wide to be printed."""
        style = self.layout.style
        size = next(
            (
                pt
                for pt in (style.type_pt, style.label_pt, LEAST_PT)
                if self.layout.measure.fits(said, pt, box.w - 0.4)
            ),
            None,
        )
        if size is None:
            wide = min(box.w, box.h) - 0.8
            x, y = box.x + (box.w - wide) / 2, box.y + (box.h - wide) / 2
            return Tick(Box(x, y, wide, wide), done=True)
        y = box.y + (box.h - style.line_mm(size)) / 2
        return self.layout.write(box.x, y, box.w, said, pt=size, align="centre", most=1)

    # The page

    def sheet(self, week: IsoWeek, number: int, *, last: bool) -> HabitSheet:
        """The finished page; what is left of the last one is for notes."""
        code = code_text(week, number, digest((cell.habit, cell.day) for cell in self.cells))
        words = self.layout.words
        title = words.text(message("Habits"))
        marks: list[Mark] = [*corner_marks(self.area), code_art(self.area, code)]
        marks.append(Group((*self._heading(week), *self.marks), label=title))
        if last:
            marks += self._notes()
        page = Page(
            kind=Kind.HABITS,
            title=f"{title}, {words.week_label(self.spread.days[0].date)}",
            sheet=self.layout.sheet,
            side=self.side,
            marks=tuple(marks),
            week=week,
            part=number - 1,
            continuation=number > 1,
        )
        return HabitSheet(page, tuple(self.cells), week, number, code)

    def _notes(self) -> list[Mark]:
        top = self.y + 3
        if self.inner.bottom - top < 3 * self.layout.style.row_mm:
            return []
        label = self.layout.label(
            self.inner.x, top, self.inner.w, self.layout.words.text(message("Notes"))
        )
        box = replace(self.inner, y=label.box.bottom, h=self.inner.bottom - label.box.bottom)
        return [label, *writing_rows(self.layout, box)]


def _figure(layout: Layout, value: str) -> str:
    """The figure as the language writes it; what is no number stays as it was noted."""
    try:
        return layout.words.language.number(float(value))
    except (ValueError, OverflowError):
        return value


def _aim(layout: Layout, row: HabitRow, *, name: bool) -> str:
    """Whose it is and what is aimed at: Ines, 3 times a week; Pell, 30 min; 1 to 5."""
    language = layout.words.language
    said: list[Message] = []
    if row.times_a_week is not None:
        said.append(counted("once a week", "{count} times a week", row.times_a_week))
    number = language.number(row.target) if row.target is not None else ""
    if row.kind is MarkKind.MINUTES:
        said.append(message("{minutes} min", minutes=number) if number else message("minutes"))
    elif row.kind is MarkKind.HOURS:
        said.append(message("{hours} h", hours=number) if number else message("hours"))
    elif row.kind is MarkKind.SCALE:
        said.append(message("1 to 5"))
    elif row.unit and number:
        said.append(message("{number} {unit}", number=number, unit=row.unit))
    plain = [layout.words.person(row.person).name] if name else []
    plain += [layout.words.text(one) for one in said]
    if row.unit and not number and row.kind is MarkKind.COUNT:
        plain.append(row.unit)
    return language.joined(plain)
