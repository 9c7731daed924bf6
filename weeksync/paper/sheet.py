"""A sheet of paper, its sides, and boxes on it; everything in millimetres from the top left."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from weeksync.lazy import dataclass
from weeksync.paper.holes import NONE as NO_HOLES
from weeksync.paper.holes import HolePattern

MM_PER_PT = 25.4 / 72
"""Millimetres of a point, the CSS one: 1/72 inch."""


class Edge(StrEnum):
    """An edge of the page as it is read."""

    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"
    LEFT = "left"


class Side(StrEnum):
    """Where a page lies in the open binder; the punch side is towards the rings.

    A landscape page stands in it turned a quarter: RIGHT of the rings it is punched along its
    top, LEFT of them along its foot.
    """

    LEFT = "left"
    """Left of the rings, so its punch side is the right edge."""
    RIGHT = "right"
    """Right of the rings, so its punch side is the left edge."""

    @property
    def other(self) -> Side:
        """The page across the rings, and the back of this one."""
        return Side.LEFT if self is Side.RIGHT else Side.RIGHT


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: left, top, width, height."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.h

    def inset(self, left: float, top: float, right: float, bottom: float) -> Box:
        """The box without strips of those widths along its edges."""
        return Box(self.x + left, self.y + top, self.w - left - right, self.h - top - bottom)

    def columns(self, count: int, gap: float = 0.0) -> tuple[Box, ...]:
        """That many boxes of equal width side by side, from left to right."""
        width = (self.w - gap * (count - 1)) / count
        return tuple(Box(self.x + at * (width + gap), self.y, width, self.h) for at in range(count))

    def rows(self, count: int, gap: float = 0.0) -> tuple[Box, ...]:
        """That many boxes of equal height one below the other, from the top."""
        height = (self.h - gap * (count - 1)) / count
        return tuple(
            Box(self.x, self.y + at * (height + gap), self.w, height) for at in range(count)
        )


@dataclass(frozen=True, slots=True)
class Sheet:
    """The paper a page is for, as it lies before the reader: turned already where `landscape`.

    `binding_mm` is the keep-clear on the punch side, in which nothing is printed; `margin_mm` the
    room along the other edges. `holes` are those of the binder it is for.
    """

    width_mm: float
    height_mm: float
    binding_mm: float = 20.0
    margin_mm: float = 7.0
    landscape: bool = False
    holes: HolePattern = NO_HOLES

    def turned(self) -> Sheet:
        """The same sheet turned by a quarter."""
        return replace(
            self,
            width_mm=self.height_mm,
            height_mm=self.width_mm,
            landscape=not self.landscape,
        )

    @property
    def whole(self) -> Box:
        """All of it."""
        return Box(0.0, 0.0, self.width_mm, self.height_mm)

    @property
    def punched_on_top(self) -> bool:
        """Whether the holes of a front are along its top: a landscape sheet among upright ones."""
        return self.landscape

    def area(self, side: Side) -> Box:
        """What may be printed on, of a page that lies on that side."""
        binding, margin = max(self.binding_mm, self.margin_mm), self.margin_mm
        at = dict.fromkeys(Edge, margin) | {self.punched(side): binding}
        return self.whole.inset(at[Edge.LEFT], at[Edge.TOP], at[Edge.RIGHT], at[Edge.BOTTOM])

    def punched(self, side: Side) -> Edge:
        """The edge towards the rings."""
        if self.landscape:
            return Edge.TOP if side is Side.RIGHT else Edge.BOTTOM
        return Edge.LEFT if side is Side.RIGHT else Edge.RIGHT

    def keep_clear(self, side: Side) -> Box:
        """The strip on the punch side in which nothing is printed; it may have no width."""
        width, height, strip = self.width_mm, self.height_mm, self.binding_mm
        match self.punched(side):
            case Edge.TOP:
                return Box(0.0, 0.0, width, strip)
            case Edge.BOTTOM:
                return Box(0.0, height - strip, width, strip)
            case Edge.LEFT:
                return Box(0.0, 0.0, strip, height)
            case Edge.RIGHT:
                return Box(width - strip, 0.0, strip, height)
