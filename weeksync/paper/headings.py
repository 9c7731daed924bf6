"""Headings: of a page, and of a day."""

from __future__ import annotations

from weeksync.paper.content import DayContent
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Rule, Tone
from weeksync.paper.sheet import Box


def page_head_mm(layout: Layout) -> float:
    """How high the heading of a page is, with the white below it."""
    return layout.style.line_mm(layout.style.title_pt) + 1.5


def page_head(
    layout: Layout, area: Box, title: str, beside: str = "", *, role: str = "h1"
) -> tuple[Mark, ...]:
    """The title of a page along the top of its area, with a smaller text at its end."""
    style = layout.style
    size = style.title_pt
    while size > style.type_pt and not layout.measure.fits(title, size, area.w * 0.72, bold=True):
        size -= 0.5
    width = layout.measure.width_mm(title, size, bold=True)
    line = style.line_mm(style.title_pt)
    marks: list[Mark] = [
        layout.write(
            area.x,
            area.y + (line - style.line_mm(size)) * 0.8,
            area.w if not beside else max(width, area.w * 0.5),
            title,
            pt=size,
            bold=True,
            role="h1" if role == "h1" else "p",
            tone=Tone.INK if role == "h1" else Tone.SOFT,
            most=1,
        )
    ]
    if beside:
        room = area.w - max(width, area.w * 0.5) - 2
        small = style.line_mm()
        marks.append(
            layout.write(
                area.right - room,
                area.y + (line - small) * 0.72,
                room,
                beside,
                align="end",
                tone=Tone.SOFT,
                most=1,
            )
        )
    return tuple(marks)


def day_head_mm(layout: Layout) -> float:
    """How high the heading of a day is."""
    return layout.style.line_mm(layout.style.head_pt) + 0.6


def day_head(
    layout: Layout, box: Box, content: DayContent, *, month: bool, beside: str = ""
) -> tuple[Mark, ...]:
    """Number and name of a day over a rule; weekends and holidays have a tint below them.

    `beside` stands at the end of the line, where there is room for it.
    """
    words, style = layout.words, layout.style
    height = day_head_mm(layout)
    marks: list[Mark] = []
    if (content.weekend or content.holiday) and not style.ink_saving:
        marks.append(Fill(Box(box.x, box.y, box.w, height), Tone.TINT))
    marks.append(Rule(box.x, box.y + height, box.right, box.y + height, 0.35, Tone.INK))
    number = words.day_number(content.date)
    number_mm = layout.measure.width_mm(number, style.head_pt, bold=True) + 0.5
    marks.append(
        layout.write(
            box.x + 0.8, box.y + 0.2, number_mm, number, pt=style.head_pt, bold=True, role="h2"
        )
    )
    x = box.x + 0.8 + number_mm + 1.2
    name = words.weekday(content.date)
    if month:
        name = f"{name}, {words.month(content.date)}"
    room = box.right - x - 0.8
    if not layout.measure.fits(name, style.type_pt, room, bold=True):
        name = words.weekday(content.date)
    if not layout.measure.fits(name, style.type_pt, room, bold=True):
        name = words.language.weekday(content.date.weekday(), "abbreviated")
    line = style.line_mm()
    y = box.y + (style.line_mm(style.head_pt) - line) * 0.75
    marks.append(layout.write(x, y, room, name, bold=True, role="h2", most=1))
    used = layout.measure.width_mm(name, style.type_pt, bold=True) + 3
    if beside and room - used > 12:
        marks.append(
            layout.write(
                x + used,
                y + (line - style.line_mm(style.label_pt)) * 0.8,
                room - used,
                beside,
                pt=style.label_pt,
                tone=Tone.SOFT,
                align="end",
                most=1,
            )
        )
    return tuple(marks)
