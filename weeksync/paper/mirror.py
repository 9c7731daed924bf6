"""Pages turned over for languages that run from right to left: every place, and the side."""

from __future__ import annotations

from dataclasses import replace
from typing import assert_never

from weeksync.paper.document import Page
from weeksync.paper.marks import Art, Dots, Fill, Group, Mark, Rule, Tick, Words
from weeksync.paper.sheet import Box


def mirrored(page: Page) -> Page:
    """The page as its mirror image; drawings keep their inside, only their place moves.

    A landscape page keeps its side: that says whether its head or its foot is punched.
    """
    width = page.sheet.width_mm
    side = page.side if page.sheet.landscape else page.side.other
    return replace(page, side=side, marks=tuple(mirrored_mark(one, width) for one in page.marks))


def mirrored_box(box: Box, width_mm: float) -> Box:
    """Where a box of a sheet of that width lies after mirroring."""
    return replace(box, x=width_mm - box.right)


def mirrored_mark(mark: Mark, width_mm: float) -> Mark:
    """A mark at its mirrored place."""
    match mark:
        case Words() | Fill() | Tick() | Art() | Dots():
            return replace(mark, box=mirrored_box(mark.box, width_mm))
        case Rule():
            return replace(mark, x1=width_mm - mark.x1, x2=width_mm - mark.x2)
        case Group():
            return replace(mark, marks=tuple(mirrored_mark(one, width_mm) for one in mark.marks))
        case _:
            assert_never(mark)
