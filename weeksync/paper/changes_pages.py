"""A strip of what changed since a week was printed: to stick on, or to copy by hand."""

from __future__ import annotations

from collections.abc import Sequence

from weeksync.message import message
from weeksync.model.spread import Spread
from weeksync.paper.content import Entry
from weeksync.paper.document import Page
from weeksync.paper.flow import Flow
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Rule, Tone
from weeksync.paper.plain import plain_lines
from weeksync.paper.sheet import Side


def changes_pages(
    layout: Layout, spread: Spread, changes: Sequence[str], since: str, side: Side = Side.RIGHT
) -> tuple[Page, ...]:
    """The sentences that say what changed, each with a box for what is copied already.

    Below them is the line along which the strip is cut off.
    """
    words = layout.words
    label = words.text(message("{week}: changes", week=words.week_label(spread.days[0].date)))
    flow = Flow(layout, label, side, column_em=24.0, most_columns=2)
    flow.heading(since)
    for text in changes:
        flow.entry(Entry("; ".join(plain_lines(text)), tick=True))
    if not changes:
        flow.entry(Entry(words.text(message("Nothing has changed."))))
    for at, _ in enumerate(flow.pages):
        _cut(flow, at)
    return flow.made(Kind.CHANGES.value, week=spread.week)


def _cut(flow: Flow, at: int) -> None:
    """A dashed line across the page where its strip ends; none on one that is full."""
    last = at == len(flow.pages) - 1
    area = flow.layout.area(flow.side)
    if last and flow.at == 0 and flow.column.left > 8:
        y = flow.column.y + 3
        flow.pages[at].append(Rule(area.x, y, area.right, y, 0.2, Tone.SOFT, (1.5, 1.5)))
