"""The map of a habit page: which box is whose, on which day, and where; written beside the PDF.

A later reader of photos finds the corners and the code, takes the map whose `code` is the same,
and knows every box in millimetres. Ids of habits are in the map and not on the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from zlib import crc32

from weeksync.lazy import dataclass
from weeksync.model.fields import MarkKind
from weeksync.model.week import IsoWeek
from weeksync.paper.corner_marks import CORNER_MM, VERSION, code_box, corner_boxes
from weeksync.paper.document import Page
from weeksync.paper.mirror import mirrored_box
from weeksync.paper.sheet import Box

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Cell:
    """A box of a habit on a day, in millimetres from the top left of the page as it is laid out.

    `kind` says what is written into it: a tick for yes/no, else a figure. `printed` is the mark
    that stands in it already, "" where it is empty.
    """

    habit: str
    person: str
    day: date
    kind: MarkKind
    box: Box
    printed: str = ""


@dataclass(frozen=True, slots=True)
class HabitSheet:
    """A habit page with what is needed to read it back. `page` is laid out from left to right."""

    page: Page
    cells: tuple[Cell, ...]
    week: IsoWeek
    number: int
    code: str


def digest(cells: Iterable[tuple[str, date]]) -> str:
    """Eight hexadecimal digits of what the boxes of a page stand for (CRC-32, no secret)."""
    text = "\n".join(f"{habit} {day.isoformat()}" for habit, day in cells)
    return f"{crc32(text.encode()):08X}"


def cell_map(sheets: Sequence[HabitSheet], *, mirrored: bool = False) -> dict[str, Any]:
    """The maps of habit pages as one JSON object; `mirrored` as the printed pages are.

    `corners_mm` are the middles of the dark squares: top left, top right, bottom right, bottom
    left, as they lie in print; `code_mm` and every `box_mm` are left, top, width, height.
    """
    return {
        "format": FORMAT,
        "layout": VERSION,
        "pages": [_page(one, mirrored=mirrored) for one in sheets],
    }


def _page(one: HabitSheet, *, mirrored: bool) -> dict[str, Any]:
    sheet = one.page.sheet

    def place(box: Box) -> list[float]:
        at = mirrored_box(box, sheet.width_mm) if mirrored else box
        return [round(number, 3) for number in (at.x, at.y, at.w, at.h)]

    area = sheet.area(one.page.side)
    corners = corner_boxes(area)
    if mirrored:  # what was at the left is at the right now: keep the order of the corners
        corners = (corners[1], corners[0], corners[3], corners[2])
    return {
        "code": one.code,
        "week": str(one.week),
        "page": one.number,
        "sheet_mm": [sheet.width_mm, sheet.height_mm],
        "corner_mm": CORNER_MM,
        "corners_mm": [
            [round(x + CORNER_MM / 2, 3), round(y + CORNER_MM / 2, 3)]
            for x, y, *_ in map(place, corners)
        ],
        "code_mm": place(code_box(area)),
        "cells": [
            {
                "habit": cell.habit,
                "person": cell.person,
                "date": cell.day.isoformat(),
                "kind": cell.kind.value,
                "printed": cell.printed,
                "box_mm": place(cell.box),
            }
            for cell in one.cells
        ],
    }
