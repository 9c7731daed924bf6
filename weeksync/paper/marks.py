"""What is on a page: words that are broken into lines already, rules, fills, tick boxes, drawings.

Every kind stands at its place in millimetres. A `Group` says what belongs together, for those
who have a page read out; it draws nothing.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from markupsafe import Markup

from weeksync.lazy import dataclass
from weeksync.paper.sheet import Box


class Tone(StrEnum):
    """How dark something is; all of them stay apart in greyscale."""

    INK = "ink"
    SOFT = "soft"
    """Labels: grey that still has a contrast of 4.5:1 to white."""
    RULE = "rule"
    """Lines between areas."""
    FAINT = "faint"
    """Lines to write on."""
    TINT = "tint"
    """Fills under print."""


Align = Literal["start", "end", "centre"]
Role = Literal["h1", "h2", "h3", "p", "li"]


@dataclass(frozen=True, slots=True)
class Words:
    """Lines of text, each of which fits the width of `box`; the first begins at its top.

    `line_mm` is the height of one line. `start` and `end` follow the direction of the document.
    `strong` stands in bold before the first line, for which the line leaves room.
    """

    box: Box
    lines: tuple[str, ...]
    size_pt: float
    line_mm: float
    bold: bool = False
    align: Align = "start"
    tone: Tone = Tone.INK
    role: Role = "p"
    struck: bool = False
    strong: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line of `width_mm`; `dash` is (drawn, left out) in millimetres."""

    x1: float
    y1: float
    x2: float
    y2: float
    width_mm: float = 0.15
    tone: Tone = Tone.RULE
    dash: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled box: of `tone`, or of a colour `#rrggbb`; with an outline of `edge_colour`."""

    box: Box
    tone: Tone = Tone.TINT
    colour: str = ""
    radius_mm: float = 0.0
    edge_colour: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """A box to tick; `done` is ticked in print."""

    box: Box
    done: bool = False
    faint: bool = False
    """It is for what is written by hand."""


@dataclass(frozen=True, slots=True)
class Dots:
    """A field of dots to write on: one every `step_mm` both ways from the top left of `box`."""

    box: Box
    step_mm: float = 5.0


@dataclass(frozen=True, slots=True)
class Art:
    """SVG with a viewBox of its own, drawn into `box`; only what weeksync has made itself.

    `alt` says what it shows; "" where it is decoration.
    """

    box: Box
    svg: Markup
    alt: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together; a `list` holds `Words` of the role `li`."""

    marks: tuple[Mark, ...]
    kind: Literal["section", "list"] = "section"
    label: str = ""


Mark = Words | Rule | Fill | Tick | Dots | Art | Group
