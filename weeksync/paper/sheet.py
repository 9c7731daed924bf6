"""A sheet of paper, its sides, and boxes on it; everything in millimetres from the top left."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

MM_PER_PT = 25.4 / 72
"""Millimetres of a point, the CSS one: 1/72 inch."""


class Side(StrEnum):
    """Where a page lies in the open binder; the punch side is towards the rings."""

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
    room along the other edges. `punched` is the edge of the holes: a landscape sheet that is
    filed upright has them along its top.
    """

    width_mm: float
    height_mm: float
    binding_mm: float = 20.0
    margin_mm: float = 7.0
    landscape: bool = False

    @property
    def punched_on_top(self) -> bool:
        """Whether the holes are along the top: a landscape sheet among upright ones."""
        return self.landscape

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

    def area(self, side: Side) -> Box:
        """What may be printed on, of a page that lies on that side."""
        binding, margin = max(self.binding_mm, self.margin_mm), self.margin_mm
        if self.punched_on_top:
            return self.whole.inset(margin, binding, margin, margin)
        if side is Side.RIGHT:
            return self.whole.inset(binding, margin, margin, margin)
        return self.whole.inset(margin, margin, binding, margin)

    def keep_clear(self, side: Side) -> Box:
        """The strip on the punch side in which nothing is printed; it may have no width."""
        if self.punched_on_top:
            return Box(0.0, 0.0, self.width_mm, self.binding_mm)
        x = 0.0 if side is Side.RIGHT else self.width_mm - self.binding_mm
        return Box(x, 0.0, self.binding_mm, self.height_mm)
