"""Lines, fills and boxes of a page as one SVG in millimetres, kept to what every engine draws."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from weeksync.paper.document import Page
from weeksync.paper.marks import Art, Dots, Fill, Group, Mark, Rule, Tick, Tone

SHADES = {
    Tone.INK: "#1b1b1b",
    Tone.SOFT: "#5c5c5c",
    Tone.RULE: "#9a9a9a",
    Tone.FAINT: "#c4c4c4",
    Tone.TINT: "#f2f2f2",
}
"""Greys of lines and fills; FAINT is light enough to write over, and printers still draw it."""


def drawing(page: Page) -> str:
    """The SVG of a page, its viewBox the sheet in millimetres; "" where there is nothing to draw.

    Decorations lie under fills and fills under lines, whatever their order on the page. They are a
    picture behind the text, so that nobody has them read out (PDF: artifacts).
    """
    marks = list(_flat(page.marks))
    arts = [_art(one) for one in marks if isinstance(one, Art) and not one.alt]
    fills = [_fill(one) for one in marks if isinstance(one, Fill)]
    lines = [_line(one) for one in marks if isinstance(one, Rule)]
    boxes = [part for one in marks if isinstance(one, Tick) for part in _tick(one)]
    dots = [_dots(one) for one in marks if isinstance(one, Dots)]
    inside = "".join((*arts, *fills, *lines, *boxes, *dots))
    if not inside:
        return ""
    width, height = _n(page.sheet.width_mm), _n(page.sheet.height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">{inside}</svg>'
    )


def _flat(marks: Iterable[Mark]) -> Iterator[Mark]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _flat(mark.marks)
        else:
            yield mark


def _art(art: Art) -> str:
    """A decoration at its place, in its own coordinates."""
    box = art.box
    place = f'x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.w)}" height="{_n(box.h)}"'
    return str(art.svg).replace("<svg ", f"<svg {place} ", 1)


def _fill(fill: Fill) -> str:
    box = fill.box
    edge = f' stroke="{escape(fill.edge_colour)}" stroke-width="0.25"' if fill.edge_colour else ""
    colour = escape(fill.colour or SHADES[fill.tone])
    return (
        f'<rect x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.w)}" height="{_n(box.h)}" '
        f'rx="{_n(fill.radius_mm)}" fill="{colour}"{edge}/>'
    )


def _line(rule: Rule) -> str:
    dash = (
        f' stroke-dasharray="{_n(rule.dash[0])} {_n(rule.dash[1])}"'
        if rule.dash is not None
        else ""
    )
    return (
        f'<path d="M{_n(rule.x1)} {_n(rule.y1)}L{_n(rule.x2)} {_n(rule.y2)}" fill="none" '
        f'stroke="{SHADES[rule.tone]}" stroke-width="{_n(rule.width_mm)}"{dash}/>'
    )


def _tick(tick: Tick) -> Iterator[str]:
    box = tick.box
    shade = SHADES[Tone.RULE if tick.faint else Tone.SOFT]
    yield (
        f'<rect x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.w)}" height="{_n(box.h)}" '
        f'rx="0.5" fill="none" stroke="{shade}" stroke-width="0.22"/>'
    )
    if tick.done:
        low, middle = box.y + box.h * 0.75, box.x + box.w * 0.42
        yield (
            f'<path d="M{_n(box.x + box.w * 0.2)} {_n(box.y + box.h * 0.5)}L{_n(middle)} '
            f'{_n(low)}L{_n(box.x + box.w * 0.85)} {_n(box.y + box.h * 0.2)}" fill="none" '
            f'stroke="{SHADES[Tone.INK]}" stroke-width="0.4"/>'
        )


def _dots(dots: Dots) -> str:
    """A field of dots as one path of strokes without length and with round ends."""
    box, step = dots.box, dots.step_mm
    across, down = int(box.w / step) + 1, int(box.h / step) + 1
    path = "".join(
        f"M{_n(box.x + column * step)} {_n(box.y + row * step)}h0.01"
        for row in range(down)
        for column in range(across)
    )
    return (
        f'<path d="{path}" fill="none" stroke="{SHADES[Tone.RULE]}" stroke-width="0.35" '
        'stroke-linecap="round"/>'
    )


def _n(value: float) -> str:
    """A length in hundredths of a millimetre."""
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"
