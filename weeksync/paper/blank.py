"""Pages to write on: lines, dots, squares, or boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from weeksync.message import message
from weeksync.paper.document import Page
from weeksync.paper.entries import writing_rows
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Dots, Mark, Rule, Tone
from weeksync.paper.sheet import Box, Side

Pattern = Literal["lines", "dots", "squares", "ticks"]
PATTERNS: tuple[Pattern, ...] = ("lines", "dots", "squares", "ticks")

STEP_MM = 5.0
"""The step of dots and squares."""


def blank_pages(
    layout: Layout,
    pattern: Pattern = "lines",
    sides: tuple[Side, ...] = (Side.RIGHT, Side.LEFT),
) -> tuple[Page, ...]:
    """A page for each of `sides`, with a line for a title along its top."""
    return tuple(_page(layout, pattern, side, at) for at, side in enumerate(sides))


def _page(layout: Layout, pattern: Pattern, side: Side, at: int) -> Page:
    area = layout.area(side)
    row = layout.style.row_mm
    top = area.y + row
    marks: list[Mark] = [Rule(area.x, top, area.right, top, 0.3, Tone.SOFT)]
    marks += _field(layout, area.inset(0, row + 3, 0, 0), pattern)
    return Page(
        kind=Kind.BLANK.value,
        title=layout.words.text(message("Notes")),
        sheet=layout.sheet,
        side=side,
        marks=tuple(marks),
        part=at,
    )


def _field(layout: Layout, body: Box, pattern: Pattern) -> Iterator[Mark]:
    if pattern in {"lines", "ticks"}:
        yield from writing_rows(layout, body, ticks=pattern == "ticks")
        return
    across, down = int(body.w / STEP_MM), int(body.h / STEP_MM)
    x = body.x + (body.w - across * STEP_MM) / 2
    box = Box(x, body.bottom - down * STEP_MM, across * STEP_MM, down * STEP_MM)
    if pattern == "dots":
        yield Dots(box, STEP_MM)
        return
    for column in range(across + 1):
        at = box.x + column * STEP_MM
        yield Rule(at, box.y, at, box.bottom, 0.12, Tone.FAINT)
    for line in range(down + 1):
        at = box.y + line * STEP_MM
        yield Rule(box.x, at, box.right, at, 0.12, Tone.FAINT)
