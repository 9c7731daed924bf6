"""What a camera finds on a habit page: four dark corners, and a QR code that says which page it is.

The code holds the layout's version, the week, the page and a number made from the page's cells;
no name and no title. It stands near one corner, so that it also tells which way up the page lies.
"""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

from weeksync.model.week import IsoWeek
from weeksync.paper.marks import Art, Fill, Tone
from weeksync.paper.sheet import Box

CORNER_MM = 5.0
MODULE_MM = 0.8
"""At 200 dpi a module is six pixels wide; a reader needs three or so (common practice)."""

MODULES = 25
"""Version 2 of ISO/IEC 18004: 38 signs of its alphanumeric mode at level M (from memory)."""

CODE_MM = MODULES * MODULE_MM
QUIET_MM = 4 * MODULE_MM
"""ISO/IEC 18004 wants four modules of white around the code (from memory)."""

VERSION = 1
"""Of the layout: raised when corners, code or what the cell map says come to mean another thing."""


def corner_boxes(area: Box) -> tuple[Box, Box, Box, Box]:
    """The squares in the corners of an area: top left, top right, bottom right, bottom left."""
    right, bottom = area.right - CORNER_MM, area.bottom - CORNER_MM
    return (
        Box(area.x, area.y, CORNER_MM, CORNER_MM),
        Box(right, area.y, CORNER_MM, CORNER_MM),
        Box(right, bottom, CORNER_MM, CORNER_MM),
        Box(area.x, bottom, CORNER_MM, CORNER_MM),
    )


def corner_marks(area: Box) -> tuple[Fill, ...]:
    """Those squares, black."""
    return tuple(Fill(box, Tone.INK) for box in corner_boxes(area))


def code_box(area: Box) -> Box:
    """Where the code stands: beside the top right corner, quiet on all sides."""
    return Box(area.right - CORNER_MM - QUIET_MM - CODE_MM, area.y, CODE_MM, CODE_MM)


def code_text(week: IsoWeek, page: int, digest: str) -> str:
    """What the code says; `page` counts from 1, `digest` is eight hexadecimal digits."""
    return f"WEEKSYNC:H{VERSION}:{week}:{page}:{digest.upper()}"


def code_art(area: Box, text: str) -> Art:
    """The text as a QR code (ISO/IEC 18004), drawn as one path."""
    import segno

    made = segno.make(text, error="m", version=2, micro=False, boost_error=False)
    path = "".join(_runs([bytes(row) for row in made.matrix]))
    svg = Markup(  # noqa: S704 - numbers made here
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {MODULES} {MODULES}">'
        f'<path d="{path}" fill="#000000"/></svg>'
    )
    return Art(code_box(area), svg)


def _runs(matrix: Iterable[bytes]) -> Iterable[str]:
    """Rectangles over the dark modules that stand side by side."""
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            length = 0
            while x + length < len(row) and row[x + length]:
                length += 1
            if length:
                yield f"M{x} {y}h{length}v1h-{length}z"
            x += max(length, 1)
