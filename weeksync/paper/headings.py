"""Headings: of a page, and of a day."""

from __future__ import annotations

from weeksync.paper.content import DayContent
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Role, Rule, Tone
from weeksync.paper.sheet import MM_PER_PT, Box, Side

NARROW_EM = 27.0
"""A page that is narrower than that many ems has what stands beside its title below it."""


def _narrow(layout: Layout) -> bool:
    return layout.sheet.area(Side.RIGHT).w < NARROW_EM * layout.style.type_pt * MM_PER_PT


def page_head_mm(layout: Layout) -> float:
    """How high the heading of a page is, with the white below it."""
    below = layout.style.line_mm() if _narrow(layout) else 0.0
    return layout.style.line_mm(layout.style.title_pt) + below + 1.5


def page_head(
    layout: Layout, area: Box, title: str, beside: str = "", *, role: Role = "h1"
) -> tuple[Mark, ...]:
    """The title of a page along the top of its area, with a smaller text at its end.

    The title is set smaller where it is long, and in two lines where that does not do; what
    stands beside it stands below it on narrow pages, or where the line has no room for it.
    """
    style, measure = layout.style, layout.measure
    narrow = _narrow(layout)
    beside_mm = measure.width_mm(beside, style.type_pt) + 3 if beside and not narrow else 0.0
    room = area.w - beside_mm
    size = style.title_pt
    while size > style.type_pt and not measure.fits(title, size, room, bold=True):
        size = max(size - 0.5, style.type_pt)
    line = style.line_mm(style.title_pt)
    words = layout.write(area.x, area.y, room, title, pt=size, bold=True)
    y = area.y + max((line - words.box.h) * 0.8, 0.0)
    tone = Tone.INK if role == "h1" else Tone.SOFT
    words = layout.write(area.x, y, room, title, pt=size, bold=True, role=role, tone=tone)
    if not beside:
        return (words,)
    if narrow:
        return (words, layout.write(area.x, area.y + line, area.w, beside, tone=Tone.SOFT))
    y = area.y + (line - style.line_mm()) * 0.72
    at = area.right - beside_mm
    return (words, layout.write(at, y, beside_mm, beside, align="end", tone=Tone.SOFT))


def day_head_mm(layout: Layout) -> float:
    """How high the heading of a day is."""
    return layout.style.line_mm(layout.style.head_pt) + 0.6


def day_head(
    layout: Layout, box: Box, content: DayContent, *, beside: str = ""
) -> tuple[Mark, ...]:
    """Number and name of a day over a rule; weekends and holidays have a tint below them.

    The month stands in the heading of the page: half a date has no order in any language.
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
    room = box.right - x - 0.8
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
