"""The habit page: a row a habit, a box for each day it can be marked, to be read back later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from weeksync.message import Message, counted, message
from weeksync.model.files import MarkKind
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
        below = f"{words.week_label(days[0].date)}, {words.span(days[0].date, days[-1].date)}"
        return [title, layout.write(x, title.box.bottom + 0.5, width, below, tone=Tone.SOFT)]

    def _days(self, y: float) -> float:
        """The names of the days over their columns; where the rows begin."""
        language, style = self.layout.words.language, self.layout.style
        line = style.line_mm(style.label_pt)
        for at, day in enumerate(self.spread.days):
            x = self._x(at)
            name = language.weekday(day.date.weekday(), "abbreviated")
            if not self.layout.measure.fits(name, style.label_pt, self.column - 0.4):
                name = language.weekday(day.date.weekday(), "narrow")
            self.marks.append(self.layout.label(x, y, self.column, name, align="centre"))
            self.marks.append(
                self.layout.write(
                    x,
                    y + line,
                    self.column,
                    self.layout.words.day_number(day.date),
                    align="centre",
                    bold=True,
                    most=1,
                )
            )
        return y + line + style.line_mm() + 0.8

    def _x(self, column: int) -> float:
        return self.inner.x + self.title_mm + column * self.column

    # The rows

    def fill(self, rows: Sequence[HabitRow]) -> Sequence[HabitRow]:
        """Write rows under their persons' names as long as they fit; those that are left."""
        done = 0
        for person, group in groupby(rows, key=lambda row: row.person):
            mine = list(group)
            head = self._person(person)
            first = self._row_height(mine[0])
            if done and self.y + head.box.h + 1 + first > self.inner.bottom:
                return rows[done:]
            self.marks.append(head)
            self.y += head.box.h + 1
            for row in mine:
                height = self._row_height(row)
                if done and self.y + height > self.inner.bottom + 1e-6:
                    return rows[done:]
                self._row(row, height)
                done += 1
            self.y += 1.5
        return ()

    def _person(self, person: str) -> Words:
        words = self.layout.words
        return self.layout.write(
            self.inner.x, self.y, self.inner.w, words.person(person).name, bold=True, role="h2"
        )

    def _title(self, row: HabitRow, y: float) -> tuple[Words, Words | None]:
        layout, gutter = self.layout, gutter_mm(self.layout)
        width = self.title_mm - gutter - 1
        x = self.inner.x + gutter
        title = layout.write(x, y, width, row.title, role="h3")
        aim = _aim(layout, row)
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
            y = box.y + (box.h - style.line_mm()) / 2
            self.marks.append(self.layout.write(box.x, y, box.w, said, align="centre", most=1))

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


def _aim(layout: Layout, row: HabitRow) -> str:
    """What is aimed at and what is written: 3 times a week; 30 min; a figure of 1 to 5."""
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
    plain = [layout.words.text(one) for one in said]
    if row.unit and not number and row.kind is MarkKind.COUNT:
        plain.append(row.unit)
    return language.joined(plain)
