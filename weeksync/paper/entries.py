"""Entries as marks: a box to tick or the letter of an area, the text beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import Area
from weeksync.paper.content import Entry
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Rule, Tick, Tone, Words
from weeksync.paper.sheet import Box
from weeksync.paper.tints import TINTS

GAP_MM = 0.7
"""White between two entries."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """An entry as marks, with its text apart (for the list it is an item of), and its height."""

    height: float
    text: Words
    marks: tuple[Mark, ...] = ()


def gutter_mm(layout: Layout) -> float:
    """Room before the text for a box or a letter."""
    return badge_mm(layout) + 1.2


def badge_mm(layout: Layout) -> float:
    """How wide a box or a letter's circle is."""
    return max(layout.style.tick_mm, layout.style.label_pt * 0.5)


def draw_entry(layout: Layout, x: float, y: float, width: float, entry: Entry) -> Drawn:
    """An entry from (x, y) on, broken to that width."""
    gutter, badge = gutter_mm(layout), badge_mm(layout)
    letters = f"\u00a0({chr(0xA0).join(entry.persons)})" if entry.persons else ""
    words = layout.write(
        x + gutter,
        y,
        width - gutter,
        f"{entry.text}{letters}",
        strong=entry.strong,
        role="li",
        struck=entry.struck,
        tone=Tone.SOFT if entry.done or entry.struck else Tone.INK,
    )
    line = layout.style.line_mm()
    height = max(words.box.h, badge if entry.tick or entry.area else 0.0)
    box = Box(x, y + (line - badge) / 2 if line >= badge else y, badge, badge)
    marks: list[Mark] = []
    if line < badge:  # the text is centred beside a box that is higher than a line
        words = layout.write(
            x + gutter,
            y + (badge - line) / 2,
            width - gutter,
            f"{entry.text}{letters}",
            strong=entry.strong,
            role="li",
            struck=entry.struck,
            tone=words.tone,
        )
        height = max(height, words.box.h + (badge - line) / 2)
    if entry.tick:
        marks.append(Tick(_inside(box, layout.style.tick_mm), entry.done))
    elif entry.area is not None:
        marks.append(_circle(layout, box, entry.area))
    if entry.area is not None and not (entry.tick and entry.done):
        marks.append(letter(layout, box, entry.area.letter))
    return Drawn(height, words, tuple(marks))


def _inside(box: Box, size: float) -> Box:
    """A square of that size in the middle of the box: a tick box has its size in large print, too,
    where a letter takes more room."""
    return Box(box.x + (box.w - size) / 2, box.y + (box.h - size) / 2, size, size)


def _circle(layout: Layout, box: Box, area: Area) -> Fill:
    fill, edge = TINTS[area.colour]
    colour = "" if layout.style.ink_saving else fill
    return Fill(box, colour=colour or "#ffffff", radius_mm=box.w / 2, edge_colour=edge)


def letter(layout: Layout, box: Box, text: str) -> Words:
    """A letter in the middle of a small box."""
    size = layout.style.label_pt
    line = layout.style.line_mm(size)
    return layout.write(
        box.x - 1, box.y + (box.h - line) / 2, box.w + 2, text, pt=size, align="centre", most=1
    )


@dataclass(slots=True)
class Column:
    """Entries one below the other in a box, as far as they fit."""

    layout: Layout
    box: Box
    y: float = -1.0
    marks: list[Mark] = field(default_factory=list)
    items: list[Words] = field(default_factory=list)

    def __post_init__(self) -> None:
        if self.y < 0:
            self.y = self.box.y

    @property
    def left(self) -> float:
        """How much room is left."""
        return self.box.bottom - self.y

    def put(self, entry: Entry, reserve: float = 0.0) -> bool:
        """Write an entry; False, and nothing written, where it does not fit above `reserve`."""
        drawn = draw_entry(self.layout, self.box.x, self.y, self.box.w, entry)
        if drawn.height > self.left - reserve + 1e-6:
            return False
        self.items.append(drawn.text)
        self.marks += drawn.marks
        self.y += drawn.height + GAP_MM
        return True

    def put_all(self, entries: Sequence[Entry], reserve: float = 0.0) -> tuple[Entry, ...]:
        """Write as many as fit above `reserve`, in order; those that were left out.

        Where some are left out, a line is kept for the reference to where they stand.
        """
        if not entries:
            return ()
        if height_of(self.layout, self.box.w, entries) <= self.left - reserve + 1e-6:
            for one in entries:
                self.put(one, reserve)
            return ()
        line = self.layout.style.line_mm(self.layout.style.label_pt) + GAP_MM
        for at, one in enumerate(entries):
            if not self.put(one, reserve + line):
                return tuple(entries[at:])
        return ()


def height_of(layout: Layout, width: float, entries: Iterable[Entry]) -> float:
    """How high entries are, one below the other; 0 for none."""
    heights = [draw_entry(layout, 0, 0, width, one).height + GAP_MM for one in entries]
    return sum(heights) - GAP_MM if heights else 0.0


def writing_rows(layout: Layout, box: Box, *, ticks: bool = False) -> tuple[Mark, ...]:
    """Lines to write on over a box, counted from its foot, so that they meet across columns."""
    row = layout.style.row_mm
    marks: list[Mark] = []
    count = int((box.h + 0.3) / row)
    for at in range(count):
        y = box.bottom - at * row
        marks.append(Rule(box.x, y, box.right, y, tone=Tone.FAINT))
        if ticks:
            size = layout.style.tick_mm
            x = box.x + (badge_mm(layout) - size) / 2
            marks.append(Tick(Box(x, y - (row + size) / 2, size, size), faint=True))
    return tuple(marks)


def more_text(layout: Layout, count: int, where: str) -> str:
    """The reference from a full area to the continuation."""
    return layout.words.text(message("{count} more: {where}", count=count, where=where))
