"""A page a day: the day parts with much room, beside them priorities, tasks and notes."""

from __future__ import annotations

from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.model.spread import Spread
from weeksync.paper.content import Contents, DayContent, Entry
from weeksync.paper.document import Page
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Rule, Tone
from weeksync.paper.pages_of import Pages
from weeksync.paper.sheet import MM_PER_PT, Box, Side
from weeksync.paper.zones import Zone, fill, heights

BESIDE_EM = 30.0
"""A page that is wider than that many ems has two columns."""


def day_pages(
    layout: Layout,
    spread: Spread,
    sides: tuple[Side, Side] = (Side.RIGHT, Side.LEFT),
    *,
    contents: Contents | None = None,
) -> tuple[Page, ...]:
    """Seven pages, first and back of each leaf in turn, and the continuation of each."""
    contents = contents or Contents(layout.words, alone=True)
    made: list[Page] = []
    for at, day in enumerate(contents.week(spread)):
        made += _day(layout, spread, day, sides[at % 2])
    return tuple(made)


def _day(layout: Layout, spread: Spread, day: DayContent, side: Side) -> tuple[Page, ...]:
    words = layout.words
    area = layout.area(side)
    title = words.language.date(day.date, "full")
    pages = Pages(layout)
    pages.begin(page_head(layout, area, title, words.week_label(spread.days[0].date)))
    body = area.inset(0, page_head_mm(layout), 0, 0)
    pages.put(Rule(body.x, body.y, body.right, body.y, 0.35, Tone.INK))
    left, right = _zones(layout, day)
    columns: tuple[tuple[Box, tuple[Zone, ...]], ...]
    if area.w >= BESIDE_EM * layout.style.type_pt * MM_PER_PT:
        wide = (body.w - 6.0) * 0.56
        columns = (
            (Box(body.x, body.y, wide, body.h), left),
            (Box(body.x + wide + 6.0, body.y, body.w - wide - 6.0, body.h), right),
        )
    else:
        columns = ((body, (*left[:1], *right[:1], *left[1:], *right[1:])),)
    for box, zones in columns:
        y = box.y
        for zone, height in zip(zones, heights(layout, box.w, box.h, [zones])[0], strict=True):
            place = Box(box.x, y, box.w, height)
            pages.area(fill(layout, place, zone, rule=y > box.y), title)
            y += height
    return pages.made(Kind.DAYS.value, title, (side,), week=spread.week)


def _zones(layout: Layout, day: DayContent) -> tuple[tuple[Zone, ...], tuple[Zone, ...]]:
    """(what is fixed, what is to be done)."""
    words = layout.words
    most = words.config.planning.priorities_a_day
    notes = tuple(Entry(text) for text in day.notes)
    parts = tuple(Zone(part.value, words.part(part), day.parts[part], 2, 1.0) for part in DayPart)
    return (
        (Zone("top", "", (*notes, *day.top), 0, 0.0), *parts),
        (
            Zone(
                "priorities",
                words.text(message("Priorities")),
                day.priorities,
                max(most - len(day.priorities), 0),
                0.0,
                ticks=True,
            ),
            Zone("tasks", words.text(message("Tasks")), day.tasks, 3, 0.6, ticks=True),
            Zone("notes", words.text(message("Notes")), (), 3, 1.0),
        ),
    )
