"""On which edge the holes of a page lie, and light ticks where they go."""

from __future__ import annotations

from enum import StrEnum

from weeksync.paper.document import Page
from weeksync.paper.holes import HolePattern
from weeksync.paper.marks import Rule, Tone
from weeksync.paper.sheet import Sheet, Side

LINE_MM = 0.15


class Edge(StrEnum):
    """An edge of the page as it is read."""

    TOP = "top"
    RIGHT = "right"
    LEFT = "left"


def bound_edge(sheet: Sheet, side: Side) -> Edge:
    """The edge that the binder takes, mirrored on the two sides of a leaf."""
    if sheet.punched_on_top:
        return Edge.TOP
    return Edge.LEFT if side is Side.RIGHT else Edge.RIGHT


def bound_length_mm(sheet: Sheet) -> float:
    """How long that edge is."""
    return sheet.width_mm if sheet.punched_on_top else sheet.height_mm


def centres(pattern: HolePattern, sheet: Sheet, side: Side) -> tuple[tuple[float, float], ...]:
    """(x, y) of every hole's centre in millimetres from the top left of the page."""
    along = pattern.centres_mm(bound_length_mm(sheet))
    match bound_edge(sheet, side):
        case Edge.TOP:
            return tuple((at, pattern.edge_mm) for at in along)
        case Edge.LEFT:
            return tuple((pattern.edge_mm, at) for at in along)
        case Edge.RIGHT:
            return tuple((sheet.width_mm - pattern.edge_mm, at) for at in along)


def hole_ticks(page: Page, pattern: HolePattern) -> tuple[Rule, ...]:
    """A small cross in each hole's middle, half as wide as the hole: punching takes it away."""
    arm = pattern.diameter_mm / 4
    ticks: list[Rule] = []
    for x, y in centres(pattern, page.sheet, page.side):
        ticks.append(Rule(x - arm, y, x + arm, y, LINE_MM, Tone.RULE))
        ticks.append(Rule(x, y - arm, x, y + arm, LINE_MM, Tone.RULE))
    return tuple(ticks)


def with_hole_ticks(page: Page, pattern: HolePattern) -> Page:
    """The page with those ticks on it."""
    return page.with_marks(*hole_ticks(page, pattern))
