"""A page for the check-ins of one person's week: what was written, and lines for what was not.

It is a sheet of its own, for the person alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from weeksync.message import Message, message
from weeksync.model.household import CheckIn
from weeksync.model.spread import Spread
from weeksync.paper.content import Entry
from weeksync.paper.document import Page
from weeksync.paper.flow import Flow
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Rule, Tick, Tone
from weeksync.paper.plain import plain_lines
from weeksync.paper.sheet import Box, Side

QUESTIONS: tuple[tuple[str, Message], ...] = (
    ("feeling", message("How do you feel?")),
    ("energy", message("Energy, 1 to 5")),
    ("why", message("Why?")),
    ("help", message("What would help today?")),
    ("gratitude", message("Grateful for")),
)
"""The five questions of a check-in, in short."""

ENERGY = 5


def check_in_pages(
    layout: Layout, spread: Spread, person: str, side: Side = Side.RIGHT
) -> tuple[Page, ...]:
    """The week's check-ins of that person, a block a day."""
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
    flow.heading(layout.words.language.date(day, "full"))
    for key, question in QUESTIONS:
        label = layout.words.text(question)
        if key == "energy":
            _energy(flow, label, written.energy if written is not None else None)
            continue
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
    flow.room(2.0)


def _answer(key: str, written: CheckIn | None) -> Iterator[str]:
    if written is not None:
        yield from plain_lines(str(getattr(written, key)))


def _energy(flow: Flow, label: str, chosen: int | None) -> None:
    """Five boxes to tick, the chosen one ticked, with their numbers."""
    layout = flow.layout
    size = max(layout.style.tick_mm, layout.style.label_pt * 0.5)
    box = flow.room(max(layout.style.row_mm, size + 1.5))
    y = box.bottom - size - 0.6
    width = layout.measure.width_mm(label, layout.style.label_pt) + 3
    flow.put(layout.label(box.x, box.bottom - layout.style.line_mm(), width, label))
    x = box.x + width
    for number in range(1, ENERGY + 1):
        place = Box(x, y, size, size)
        if chosen == number:
            flow.put(Fill(place, Tone.TINT))
        flow.put(Tick(place, done=chosen == number))
        text = layout.words.language.digits(str(number))
        size_pt = layout.style.label_pt
        line = layout.style.line_mm(size_pt)
        flow.put(layout.write(x + size + 0.8, y + (size - line) / 2, 6, text, pt=size_pt, most=1))
        x += size + 7


def _least_mm(layout: Layout) -> float:
    """How high a day's block is that nothing was written in."""
    return layout.style.line_mm() + 3 + 5 * max(layout.style.row_mm, layout.style.tick_mm + 1.5)
