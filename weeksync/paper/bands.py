"""A band along the top edge, drawn by weeksync: one pattern that runs through both pages.

The pattern of a week is drawn over the whole open spread, seeded by the week, and each page
shows its part; what would lie in the keep-clear is left out, so that the eye carries it on
across the rings. It means nothing, so that no printer has to tell its colours apart.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from markupsafe import Markup

from weeksync.lazy import dataclass
from weeksync.paper.bands_place import HEIGHT_MM, ROOM_MM, Stretch
from weeksync.paper.binder import with_hole_ticks
from weeksync.paper.document import Document, Page
from weeksync.paper.kinds import Kind
from weeksync.paper.marks import Art
from weeksync.paper.sheet import Box, Side

STEP_MM = 1.0
"""How far apart the points of a curve are."""

WITHOUT = frozenset({Kind.HABITS, Kind.CHANGES, Kind.TEST})
"""Kinds without a band: on a habit page nothing may be near the corner marks."""

__all__ = [
    "COLOURS",
    "HEIGHT_MM",
    "PATTERNS",
    "ROOM_MM",
    "WITHOUT",
    "Band",
    "Stretch",
    "decorate",
    "pattern_svg",
    "with_band",
]

Colours = tuple[str, str, str, str]

COLOURS: Mapping[str, Colours] = MappingProxyType(
    {
        "meadow": ("#cfe3b4", "#a9cf9a", "#f2e6a6", "#e8c7a0"),
        "shore": ("#cfe4ee", "#9fc7dc", "#f0e3c8", "#d9c9b0"),
        "orchard": ("#f3cfc3", "#e5a99d", "#d9e2b0", "#f4e3b0"),
        "dusk": ("#d9d0ea", "#b4a9d6", "#f2cfdc", "#e9dcc2"),
    }
)
"""Sets of four tints, by the names that `band_colours` takes; the first is the ground."""


@dataclass(frozen=True, slots=True)
class Band:
    """What `[paper]` asks for: a pattern of `PATTERNS`, or a picture (PNG or JPEG, as read)."""

    pattern: str = "waves"
    colours: str = "shore"
    picture: bytes = b""


Draw = Callable[[random.Random, Colours, Stretch], str]


def decorate(document: Document, band: Band | None, *, ticks: bool = False) -> Document:
    """The finished pages with their bands, and with hole ticks where they are asked for.

    UsageError where the picture cannot be read.
    """
    pages = document.pages
    if band is not None:
        pages = tuple(page if page.kind in WITHOUT else with_band(page, band) for page in pages)
    if ticks:
        pages = tuple(map(with_hole_ticks, pages))
    return replace(document, pages=pages)


def with_band(page: Page, band: Band) -> Page:
    """The page with its part of the band along the top of what may be printed on."""
    area = page.sheet.area(page.side)
    box = Box(area.x, area.y, area.w, HEIGHT_MM)
    start = 0.0 if page.side is Side.LEFT else page.sheet.width_mm
    stretch = Stretch(start + box.x, start + box.right, 2 * page.sheet.width_mm)
    if band.picture:
        from weeksync.paper.bands_picture import picture_svg

        svg = picture_svg(band.picture, stretch)
    else:
        svg = pattern_svg(band, str(page.week or page.title), stretch)
    return page.with_marks(Art(box, svg), under=True)


def pattern_svg(band: Band, seed: str, stretch: Stretch) -> Markup:
    """The stretch of a pattern as SVG, its viewBox in millimetres of the spread."""
    chance = random.Random(f"{band.pattern} {seed}")  # noqa: S311 - a drawing, no secret
    inside = PATTERNS[band.pattern](chance, COLOURS[band.colours], stretch)
    return _svg(stretch, inside)


def _svg(stretch: Stretch, inside: str) -> Markup:
    width = stretch.last - stretch.first
    return Markup(  # noqa: S704 - numbers and colours of this module
        f'<svg xmlns="http://www.w3.org/2000/svg" '
        f'viewBox="{_n(stretch.first)} 0 {_n(width)} {_n(HEIGHT_MM)}" '
        f'preserveAspectRatio="none">{inside}</svg>'
    )


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _ground(stretch: Stretch, colour: str) -> str:
    return _rect(stretch.first, 0, stretch.last - stretch.first, HEIGHT_MM, colour)


def _rect(x: float, y: float, width: float, height: float, colour: str) -> str:
    return (
        f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" fill="{colour}"/>'
    )


def _below(stretch: Stretch, top: Callable[[float], float], colour: str) -> str:
    """Everything below a curve, from edge to edge of the stretch."""
    steps = math.ceil((stretch.last - stretch.first) / STEP_MM)
    at = [min(stretch.first + step * STEP_MM, stretch.last) for step in range(steps + 1)]
    points = [(x, min(max(top(x), 0.0), HEIGHT_MM)) for x in at]
    points += [(stretch.last, HEIGHT_MM), (stretch.first, HEIGHT_MM)]
    text = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
    return f'<polygon points="{text}" fill="{colour}"/>'


def _waves(chance: random.Random, colours: Colours, stretch: Stretch) -> str:
    """Three swells one before the other."""
    parts = [_ground(stretch, colours[0])]
    for layer, colour in enumerate(colours[1:]):
        length, phase = 18 + 24 * chance.random(), 7 * chance.random()
        middle, swing = 1.4 + 1.3 * layer, 0.5 + 0.5 * chance.random()

        def top(
            x: float, a: float = length, b: float = phase, m: float = middle, s: float = swing
        ) -> float:
            return m + s * math.sin(2 * math.pi * x / a + b)

        parts.append(_below(stretch, top, colour))
    return "".join(parts)


def _hills(chance: random.Random, colours: Colours, stretch: Stretch) -> str:
    """Three ranges of round hills, the nearest one lowest."""
    parts = [_ground(stretch, colours[0])]
    for layer, colour in enumerate(colours[1:]):
        hills: list[tuple[float, float, float]] = []
        x = -20.0
        while x < stretch.whole + 20:
            hills.append((x, 12 + 14 * chance.random(), 4.4 - 1.1 * layer - chance.random()))
            x += 9 + 14 * chance.random()

        def top(x: float, range_of: list[tuple[float, float, float]] = hills) -> float:
            return HEIGHT_MM - max(
                (high * (1 - ((x - at) / half) ** 2) for at, half, high in range_of), default=0
            )

        parts.append(_below(stretch, top, colour))
    return "".join(parts)


def _dots(chance: random.Random, colours: Colours, stretch: Stretch) -> str:
    """Two rows of dots of three colours and several sizes."""
    parts: list[str] = []
    for column in range(math.ceil(stretch.whole / 3.5)):
        for row in (0, 1):
            colour, radius = chance.choice(colours), 0.5 + 0.6 * chance.random()
            x, y = 1.75 + column * 3.5 + row * 1.75, 1.3 + row * 2.4
            if stretch.first + radius <= x <= stretch.last - radius:
                parts.append(
                    f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" fill="{colour}"/>'
                )
    return "".join(parts)


def _weave(chance: random.Random, colours: Colours, stretch: Stretch) -> str:
    """Strips that go over and under each other."""
    parts: list[str] = []
    cell, strip = HEIGHT_MM, HEIGHT_MM / 3
    shift = chance.randrange(4)
    for column in range(math.ceil(stretch.whole / cell)):
        for line in range(3):
            colour = colours[(column + line * (1 + column % 2) + shift) % 4]
            if column % 2:
                box = (column * cell + line * strip, 0.0, strip - 0.3, cell)
            else:
                box = (column * cell, line * strip, cell - 0.3, strip - 0.3)
            left, right = max(box[0], stretch.first), min(box[0] + box[2], stretch.last)
            if right > left:
                parts.append(_rect(left, box[1], right - left, box[3], colour))
    return "".join(parts)


def _leaves(chance: random.Random, colours: Colours, stretch: Stretch) -> str:
    """A twig with leaves on both sides."""
    middle, parts = HEIGHT_MM / 2, []
    length = stretch.last - stretch.first
    parts.append(_rect(stretch.first, middle - 0.12, length, 0.24, colours[1]))
    x, up = 2.0, True
    while x < stretch.whole:
        long, colour = 3.2 + 1.6 * chance.random(), chance.choice(colours)
        tip = middle + (-2.3 if up else 2.3)
        if stretch.first <= x and x + long <= stretch.last:
            parts.append(
                f'<path d="M{_n(x)} {_n(middle)}Q{_n(x + long * 0.2)} {_n(tip)} {_n(x + long)} '
                f'{_n(tip)}Q{_n(x + long * 0.9)} {_n(middle)} {_n(x)} {_n(middle)}Z" '
                f'fill="{colour}"/>'
            )
        x, up = x + 2.2 + 1.4 * chance.random(), not up
    return "".join(parts)


PATTERNS: Mapping[str, Draw] = MappingProxyType(
    {"waves": _waves, "hills": _hills, "dots": _dots, "weave": _weave, "leaves": _leaves}
)
"""By the names that `band` of `[paper]` takes."""
