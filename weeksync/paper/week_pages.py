"""A week on paper: on two pages, or on one for everybody or for one person."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from weeksync.message import message
from weeksync.model.spread import Spread
from weeksync.paper.content import Contents, DayContent
from weeksync.paper.days import best_split, column_heights, day_box, day_column
from weeksync.paper.document import Page
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.margin import margin_box
from weeksync.paper.marks import Mark, Rule
from weeksync.paper.pages_of import Pages
from weeksync.paper.sheet import MM_PER_PT, Box, Side

COLUMN_EM = 12.5
"""A day stands as a column where four of them on a page are at least that many ems wide."""

GAP_MM = 3.0


def spread_pages(
    layout: Layout,
    spread: Spread,
    sides: tuple[Side, Side] = (Side.LEFT, Side.RIGHT),
    *,
    contents: Contents | None = None,
) -> tuple[Page, ...]:
    """A week on two pages, four days and three with the margin, and its continuation.

    On wide sheets days are columns whose areas meet across both pages, else boxes.
    """
    contents = contents or Contents(layout.words)
    label = layout.words.week_label(spread.days[0].date)
    drawn = _whole(layout, lambda on: _spread(on, spread, sides, contents))
    return drawn.made(Kind.SPREAD.value, label, sides, week=spread.week)


def _whole(layout: Layout, draw: Callable[[Layout], Pages]) -> Pages:
    """The pages with all their free lines; with fewer where then nothing is left over."""
    drawn = draw(layout)
    if not drawn.rests:
        return drawn
    tight = draw(layout.tightened())
    return drawn if tight.rests else tight


def _spread(layout: Layout, spread: Spread, sides: tuple[Side, Side], contents: Contents) -> Pages:
    days = contents.week(spread)
    first, last = days[0].date, days[-1].date
    label, dates = layout.words.week_label(first), layout.words.span(first, last)
    drawn = Pages(layout)
    columns = _columns_fit(layout, sides[0])
    tall: tuple[tuple[float, ...], ...] = ()
    split = 0.5
    for at, side in enumerate(sides):
        area = layout.area(side)
        title, beside = (label, dates) if at == 0 else (_months(layout, days), "")
        drawn.begin(page_head(layout, area, title, beside, role="h1" if at == 0 else "p"))
        body = area.inset(0, page_head_mm(layout), 0, 0)
        boxes = body.columns(4, GAP_MM) if columns else body.rows(4, GAP_MM)
        if not columns and at == 0:
            split = best_split(layout, boxes[0], days)
        elif not columns:
            boxes = _with_margin(layout, body, spread, contents, split)
        if columns and not tall:
            tall = column_heights(layout, boxes[0].w, body.h, days)
        for place, day in enumerate(days[at * 4 : at * 4 + 4]):
            box = boxes[place]
            if columns:
                drawn.day(day_column(layout, box, day, tall[at * 4 + place]))
            else:
                drawn.day(day_box(layout, box, day, split=split))
        if columns:
            drawn.put(*_between(boxes))
        if at == 1:
            drawn.margin(margin_box(layout, boxes[3], spread, contents))
    return drawn


MARGIN_SHARES = (0.25, 0.3, 0.35)
"""How much of the second page the box beside the days may take, in the order in which they are
tried: as much as the days, or more where less is left over then."""


def _with_margin(
    layout: Layout, body: Box, spread: Spread, contents: Contents, split: float
) -> tuple[Box, ...]:
    """Three boxes of one height for days, and one for what stands beside them."""
    days = contents.week(spread)[4:]

    def boxes(share: float) -> tuple[Box, ...]:
        low = (body.h - 3 * GAP_MM) * share
        above = body.inset(0, 0, 0, low + GAP_MM).rows(3, GAP_MM)
        return (*above, Box(body.x, body.bottom - low, body.w, low))

    def left_out(share: float) -> int:
        places = boxes(share)
        found = margin_box(layout, places[3], spread, contents).left
        for place, day in zip(places, days, strict=False):
            found += day_box(layout, place, day, split=split).left
        return sum(len(one.entries) for one in found)

    return boxes(min(MARGIN_SHARES, key=left_out))


def week_page(
    layout: Layout,
    spread: Spread,
    side: Side = Side.RIGHT,
    *,
    kind: Kind = Kind.WEEK,
    contents: Contents | None = None,
    name: str = "",
    private: bool = False,
) -> tuple[Page, ...]:
    """A week on one page in eight boxes, and its continuation; `name` is whose week it is."""
    contents = contents or Contents(layout.words)
    title = layout.words.week_label(spread.days[0].date)
    if name:
        title = layout.words.text(message("{week}: {name}", week=title, name=name))
    drawn = _whole(layout, lambda on: _one_page(on, spread, side, contents, title))
    return drawn.made(kind.value, title, (side,), week=spread.week, private=private)


def _one_page(layout: Layout, spread: Spread, side: Side, contents: Contents, title: str) -> Pages:
    days = contents.week(spread)
    first, last = days[0].date, days[-1].date
    dates = layout.words.span(first, last)
    drawn = Pages(layout)
    area = layout.area(side)
    drawn.begin(page_head(layout, area, title, dates))
    body = area.inset(0, page_head_mm(layout), 0, 0)
    boxes = _eight(layout, body)
    split = best_split(layout, boxes[0], days)
    for box, day in zip(boxes, days, strict=False):
        drawn.day(day_box(layout, box, day, split=split))
    drawn.margin(margin_box(layout, boxes[7], spread, contents))
    return drawn


def _eight(layout: Layout, body: Box) -> tuple[Box, ...]:
    """Eight boxes, days down the first column and on in the second; across where it is wide."""
    if body.w > body.h:
        rows = body.rows(2, GAP_MM + 1)
        return tuple(box for row in rows for box in row.columns(4, GAP_MM + 1))
    columns = body.columns(2, GAP_MM + 2)
    return tuple(box for column in columns for box in column.rows(4, GAP_MM))


def _columns_fit(layout: Layout, side: Side) -> bool:
    width = (layout.area(side).w - 3 * GAP_MM) / 4
    return width >= COLUMN_EM * layout.style.type_pt * MM_PER_PT


def _between(boxes: Sequence[Box]) -> list[Mark]:
    """Fine rules between columns."""
    return [
        Rule(box.right + GAP_MM / 2, box.y, box.right + GAP_MM / 2, box.bottom, 0.12)
        for box in boxes[:-1]
    ]


def _months(layout: Layout, days: Sequence[DayContent]) -> str:
    """The months of a week, as March 2027 or March – April 2027."""
    words = layout.words
    first, last = days[0].date, days[-1].date
    name = words.language.date(last, "month")
    if (first.year, first.month) == (last.year, last.month):
        return name
    before = words.month(first) if first.year == last.year else words.language.date(first, "month")
    return f"{before} – {name}"
