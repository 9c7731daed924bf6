"""The eighth box of a week: the month in small, tasks without a day, notes, what letters mean."""

from __future__ import annotations

from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.spread import Spread
from weeksync.model.week import Month
from weeksync.paper.content import Contents
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Group, Mark, Tone
from weeksync.paper.plain import plain_lines
from weeksync.paper.sheet import MM_PER_PT, Box
from weeksync.paper.zones import LeftOver, Zone, fill, heights

LOW_ROWS = 12
"""A box with room for fewer lines keeps one line free in each of its areas."""


@dataclass(frozen=True, slots=True)
class DrawnMargin:
    """The box as marks, with what has no room and where the references to it go."""

    marks: tuple[Mark, ...]
    left: tuple[LeftOver, ...] = ()
    references: tuple[tuple[Box, int], ...] = ()


def small_month(layout: Layout, x: float, y: float, width: float, first: date) -> tuple[Mark, ...]:
    """The month that holds the week's Thursday; the week that begins on `first` has a tint."""
    words, style = layout.words, layout.style
    month = Month.of(words.rule.week_of(first).thursday)
    size, line = style.label_pt, style.line_mm(style.label_pt)
    cell = width / 8
    marks: list[Mark] = [
        layout.write(x, y, width, words.month_year(month), pt=size, bold=True, role="h2", most=1)
    ]
    y += line + 0.8
    for at in range(7):
        day = words.rule.start(month.first) + timedelta(days=at)
        name = words.language.weekday(day.weekday(), "narrow")
        marks.append(_cell(layout, x + (at + 1) * cell, y, cell, name, soft=True))
    y += line + 0.3
    start = words.rule.start(month.first)
    while start <= month.last:
        if start == first and not style.ink_saving:
            marks.append(Fill(Box(x, y - 0.2, width, line + 0.4), Tone.TINT))
        marks.append(_cell(layout, x, y, cell, words.number(start), soft=True, bold=start == first))
        for at in range(7):
            day = start + timedelta(days=at)
            outside = Month.of(day) != month
            marks.append(
                _cell(
                    layout,
                    x + (at + 1) * cell,
                    y,
                    cell,
                    words.day_number(day),
                    soft=outside,
                    bold=start == first,
                )
            )
        y += line + 0.5
        start += timedelta(days=7)
    return tuple(marks)


def small_month_mm(layout: Layout) -> float:
    """How high the small month is at most: six weeks."""
    line = layout.style.line_mm(layout.style.label_pt)
    return 2 * line + 1.1 + 6 * (line + 0.5)


def _cell(
    layout: Layout, x: float, y: float, width: float, text: str, *, soft: bool, bold: bool = False
) -> Mark:
    return layout.write(
        x,
        y,
        width,
        text,
        pt=layout.style.label_pt,
        align="centre",
        bold=bold and not soft,
        tone=Tone.SOFT if soft else Tone.INK,
        most=1,
    )


def legend(layout: Layout, box: Box) -> tuple[Mark, ...]:
    """What the letters of areas and persons mean, at the foot of the box; () where it is narrow."""
    config = layout.words.config
    said = [f"{one.letter} {one.name}" for one in config.areas]
    said += [f"{one.mark} {one.name}" for one in config.people]
    text = "  ·  ".join(one.replace(" ", "\u00a0") for one in said)
    size = layout.style.label_pt
    words = layout.write(box.x, box.y, box.w, text, pt=size, tone=Tone.SOFT)
    if words.box.h > box.h * 0.34:
        return ()
    shift = box.bottom - words.box.bottom
    return (layout.write(box.x, box.y + shift, box.w, text, pt=size, tone=Tone.SOFT),)


def margin_box(layout: Layout, box: Box, spread: Spread, contents: Contents) -> DrawnMargin:
    """The box, filled for a spread."""
    words = layout.words
    tasks = tuple(contents.task(one) for one in spread.undated)
    notes = tuple(map(contents.plain, plain_lines(spread.notes)))
    rows = 2 if box.h > LOW_ROWS * layout.style.row_mm else 1
    zones = (
        Zone(
            "undated",
            words.text(message("Tasks without a day")),
            tasks,
            layout.style.rows(rows),
            0.7,
            ticks=True,
        ),
        Zone("notes", words.text(message("Notes")), notes, layout.style.rows(rows), 1.0),
    )
    first = spread.days[0].date
    foot = legend(layout, box)
    inside = box.inset(0, 0, 0, foot[0].box.h + 1.5 if foot else 0)  # type: ignore[union-attr]
    marks: list[Mark] = []
    month_mm = small_month_mm(layout)
    month_w = layout.style.label_pt * MM_PER_PT * 15
    if box.w >= month_w * 2.4 and inside.h >= month_mm:
        marks += small_month(layout, box.x, box.y, month_w, first)
        beside = Box(box.x + month_w + 4, inside.y, box.w - month_w - 4, inside.h)
        boxes = beside.columns(2, 4.0) if beside.w > month_w * 2.6 else ()
        places = boxes or _stacked(layout, beside, zones)
    else:
        if inside.h > month_mm * 2.2:
            marks += small_month(layout, box.x, box.y, min(box.w, month_w * 1.3), first)
            inside = inside.inset(0, month_mm + 1, 0, 0)
        places = _stacked(layout, inside, zones)
    left: list[LeftOver] = []
    references: list[tuple[Box, int]] = []
    for place, zone in zip(places, zones, strict=True):
        filled = fill(layout, place, zone)
        marks += filled.marks
        if filled.left is not None and filled.reference is not None:
            left.append(filled.left)
            references.append((filled.reference, len(filled.left.entries)))
    label = words.text(message("Beside the days"))
    return DrawnMargin((Group((*marks, *foot), "section", label),), tuple(left), tuple(references))


def _stacked(layout: Layout, box: Box, zones: tuple[Zone, ...]) -> tuple[Box, ...]:
    tall = heights(layout, box.w, box.h, [zones])[0]
    y, places = box.y, []
    for height in tall:
        places.append(Box(box.x, y, box.w, height))
        y += height
    return tuple(places)
