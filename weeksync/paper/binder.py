"""What helps to put a page into a binder: light ticks where the holes go."""

from __future__ import annotations

from weeksync.paper.document import Page
from weeksync.paper.holes import HolePattern, centres
from weeksync.paper.marks import Rule, Tone

LINE_MM = 0.15


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
