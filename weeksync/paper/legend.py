"""The letters of the areas, and what they stand for."""

from __future__ import annotations

from collections.abc import Sequence

from weeksync.model.config import Area
from weeksync.paper.entries import badge_mm, letter
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Tone
from weeksync.paper.sheet import Box
from weeksync.paper.tints import TINTS

GAP_MM = 4.0


def area_badge(layout: Layout, box: Box, area: Area) -> tuple[Mark, ...]:
    """The letter of an area in a circle of its tint."""
    fill, edge = TINTS[area.colour]
    colour = "#ffffff" if layout.style.ink_saving else fill
    circle = Fill(box, colour=colour, radius_mm=box.w / 2, edge_colour=edge)
    return circle, letter(layout, box, area.letter)


def legend(layout: Layout, area: Box, areas: Sequence[Area]) -> tuple[tuple[Mark, ...], float]:
    """(marks along the foot of an area, how high they are): in as many lines as they need."""
    size, style = badge_mm(layout), layout.style
    line = max(size, style.line_mm(style.label_pt)) + 0.6
    rows: list[list[tuple[Area, float]]] = [[]]
    x = 0.0
    for one in areas:
        width = size + 1 + layout.measure.width_mm(one.name, style.label_pt)
        if rows[-1] and x + width > area.w:
            rows.append([])
            x = 0.0
        rows[-1].append((one, x))
        x += width + GAP_MM
    if not areas:
        return (), 0.0
    height = line * len(rows)
    marks: list[Mark] = []
    for number, row in enumerate(rows):
        y = area.bottom - height + number * line
        for one, at in row:
            marks += area_badge(layout, Box(area.x + at, y, size, size), one)
            words = layout.write(
                area.x + at + size + 1,
                y + (size - style.line_mm(style.label_pt)) / 2,
                min(layout.measure.width_mm(one.name, style.label_pt) + 0.1, area.w - size - 1),
                one.name,
                pt=style.label_pt,
                tone=Tone.SOFT,
                most=1,
            )
            marks.append(words)
    return tuple(marks), height
