"""A page for the check-ins of one person's week: what was written, and lines for what was not.

It is a sheet of its own, for the person alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from weeksync.message import Message, message
from weeksync.model.household import CheckIn
from weeksync.model.spread import Spread
from weeksync.paper.content import Entry
from weeksync.paper.document import Page
from weeksync.paper.flow import Flow
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Rule, Tick, Tone
from weeksync.paper.plain import plain_lines
from weeksync.paper.sheet import Box, Side

QUESTIONS: tuple[tuple[str, Message], ...] = (
    ("feeling", message("How do you feel?")),
    ("why", message("Why?")),
    ("help", message("What would help today?")),
    ("gratitude", message("Grateful for")),
)
"""Four of the five questions of a check-in, in short; energy is ticked beside the date."""

ENERGY = 5

WIDER = (1.6, 1.5, 1.4, 1.3, 1.2, 1.15, 1.1, 1.05)
"""How much wider apart than elsewhere lines may be, in the order in which that is tried."""


def check_in_pages(
    layout: Layout, spread: Spread, person: str, side: Side = Side.RIGHT
) -> tuple[Page, ...]:
    """The week's check-ins of that person, a block a day; lines as wide apart as pages allow."""
    drawn = _pages(layout, spread, person, side, 1.0)
    for wider in WIDER:
        trial = _pages(layout, spread, person, side, wider)
        if len(trial) == len(drawn):
            return trial
    return drawn


def _pages(
    layout: Layout, spread: Spread, person: str, side: Side, wider: float
) -> tuple[Page, ...]:
    layout = replace(layout, style=replace(layout.style, row_mm=layout.style.row_mm * wider))
    words = layout.words
    first, last = spread.days[0].date, spread.days[-1].date
    title = words.text(
        message("{week}: {name}", week=words.week_label(first), name=words.person(person).name)
    )
    flow = Flow(layout, title, side, column_em=200, most_columns=1, beside=words.span(first, last))
    for day in spread.days:
        written = [one for one in day.check_ins if one.person == person]
        _day(flow, day.date, written[-1] if written else None)
    return flow.made(Kind.CHECK_IN.value, week=spread.week, private=True)


def _day(flow: Flow, day: date, written: CheckIn | None) -> None:
    layout = flow.layout
    row = layout.style.row_mm
    column = flow.column
    if column.left < _least_mm(layout) and column.y > column.box.y:
        flow.next_column()
    top = flow.column.y
    flow.heading(layout.words.language.date(day, "full"))
    _energy(flow, top, written.energy if written is not None else None)
    for key, question in QUESTIONS:
        label = layout.words.text(question)
        said = tuple(_answer(key, written))
        if not said:
            box = flow.room(row)
            flow.put(
                layout.label(box.x, box.bottom - layout.style.line_mm(), box.w, label),
                Rule(box.x, box.bottom, box.right, box.bottom, tone=Tone.FAINT),
            )
            continue
        for at, text in enumerate(said):
            flow.entry(Entry(text, strong=label if at == 0 else ""))
    for text in plain_lines(written.text) if written is not None else ():
        flow.entry(Entry(text))
    flow.room(1.5)


def _answer(key: str, written: CheckIn | None) -> Iterator[str]:
    if written is not None:
        yield from plain_lines(str(getattr(written, key)))


def _energy(flow: Flow, top: float, chosen: int | None) -> None:
    """Five boxes at the end of the day's heading, the chosen one ticked, with their numbers."""
    layout = flow.layout
    style, box = layout.style, flow.column.box
    size, size_pt = style.tick_mm, style.label_pt
    line = style.line_mm(size_pt)
    step = size + layout.measure.width_mm("8", size_pt) + 2.5
    y = flow.column.y - 1.6 - size if flow.column.y > top else flow.column.y
    x = box.right - ENERGY * step
    label = layout.words.text(message("Energy"))
    width = layout.measure.width_mm(label, size_pt) + 2
    flow.put(layout.label(x - width, y + (size - line) / 2, width, label))
    for number in range(1, ENERGY + 1):
        place = Box(x, y, size, size)
        flow.put(Tick(place, done=chosen == number))
        text = layout.words.language.digits(str(number))
        flow.put(
            layout.write(x + size + 0.6, y + (size - line) / 2, step, text, pt=size_pt, most=1)
        )
        x += step


def _least_mm(layout: Layout) -> float:
    """How high a day's block is that nothing was written in."""
    return layout.style.line_mm() + 3 + len(QUESTIONS) * layout.style.row_mm
