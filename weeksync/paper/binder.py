"""Where the holes of a page lie, and light ticks that show where to punch."""

from __future__ import annotations

from weeksync.paper.document import Page
from weeksync.paper.marks import Rule, Tone
from weeksync.paper.sheet import Edge, Sheet, Side

LINE_MM = 0.15


def bound_length_mm(sheet: Sheet) -> float:
    """How long the edge is that the binder takes."""
    return sheet.width_mm if sheet.landscape else sheet.height_mm


def centres(sheet: Sheet, side: Side) -> tuple[tuple[float, float], ...]:
    """(x, y) of every hole's centre in millimetres from the top left of a page on that side."""
    along, inwards = sheet.holes.centres_mm(bound_length_mm(sheet)), sheet.holes.edge_mm
    match sheet.punched(side):
        case Edge.TOP:
            return tuple((at, inwards) for at in along)
        case Edge.BOTTOM:
            return tuple((at, sheet.height_mm - inwards) for at in along)
        case Edge.LEFT:
            return tuple((inwards, at) for at in along)
        case Edge.RIGHT:
            return tuple((sheet.width_mm - inwards, at) for at in along)


def hole_ticks(page: Page) -> tuple[Rule, ...]:
    """A small cross in each hole's middle, half as wide as the hole: punching takes it away."""
    arm = page.sheet.holes.diameter_mm / 4
    ticks: list[Rule] = []
    for x, y in centres(page.sheet, page.side):
        ticks.append(Rule(x - arm, y, x + arm, y, LINE_MM, Tone.RULE))
        ticks.append(Rule(x, y - arm, x, y + arm, LINE_MM, Tone.RULE))
    return tuple(ticks)


def with_hole_ticks(page: Page) -> Page:
    """The page with those ticks on it."""
    return page.with_marks(*hole_ticks(page))
