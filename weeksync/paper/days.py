"""A day on paper: as a column of a wide spread, or as a box with one or two columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.paper.content import DayContent, Entry
from weeksync.paper.headings import day_head, day_head_mm
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Mark
from weeksync.paper.sheet import MM_PER_PT, Box
from weeksync.paper.zones import Filled, LeftOver, Zone, fill, heights

TWO_COLUMNS_EM = 27.0
"""A box that is wider than that many ems has what is fixed beside what is to be done."""


@dataclass(frozen=True, slots=True)
class DrawnDay:
    """A day as marks, with what has no room and where the references to it go."""

    content: DayContent
    marks: tuple[Mark, ...]
    left: tuple[LeftOver, ...] = ()
    references: tuple[tuple[Box, int], ...] = ()
    """(place, how many are left out there)."""


@dataclass(slots=True)
class _Collected:
    marks: list[Mark] = field(default_factory=list)
    left: list[LeftOver] = field(default_factory=list)
    references: list[tuple[Box, int]] = field(default_factory=list)

    def add(self, filled: Filled) -> None:
        self.marks += filled.marks
        if filled.left is not None and filled.reference is not None:
            self.left.append(filled.left)
            self.references.append((filled.reference, len(filled.left.entries)))

    def day(self, layout: Layout, content: DayContent) -> DrawnDay:
        label = layout.words.language.date(content.date, "full")
        return DrawnDay(
            content,
            (Group(tuple(self.marks), "section", label),),
            tuple(self.left),
            tuple(self.references),
        )


def column_zones(layout: Layout, content: DayContent) -> tuple[Zone, ...]:
    """The areas of a day as a column: top, priorities, three day parts, tasks."""
    words = layout.words
    most, rows = words.config.planning.priorities_a_day, layout.style.rows
    parts = tuple(
        Zone(part.value, words.part(part), content.parts[part], rows(1), 1.0) for part in DayPart
    )
    return (
        Zone("top", "", (*_notes(content), *content.top), 0, 0.0),
        Zone(
            "priorities",
            words.text(message("Priorities")),
            content.priorities,
            max(most - len(content.priorities), 0),
            0.0,
            ticks=True,
        ),
        *parts,
        Zone("tasks", words.text(message("Tasks")), content.tasks, rows(2), 1.0, ticks=True),
    )


def _notes(content: DayContent) -> tuple[Entry, ...]:
    return tuple(Entry(text) for text in content.notes)


def column_heights(
    layout: Layout, width: float, height: float, days: Sequence[DayContent]
) -> tuple[tuple[float, ...], ...]:
    """How high the areas of the columns of a week are, day by day."""
    zones = [column_zones(layout, one) for one in days]
    return heights(layout, width, height - day_head_mm(layout), zones, together=3)


def day_column(layout: Layout, box: Box, content: DayContent, tall: Sequence[float]) -> DrawnDay:
    """A day as a column, its areas as high as `tall` says."""
    drawn = _Collected()
    drawn.marks += day_head(layout, box, content)
    y = box.y + day_head_mm(layout)
    for at, (zone, height) in enumerate(zip(column_zones(layout, content), tall, strict=True)):
        drawn.add(fill(layout, Box(box.x, y, box.w, height), zone, rule=at > 0))
        y += height
    return drawn.day(layout, content)


ONE_LIST_ROWS = 5.5
"""A box with room for fewer lines has one list in it, and not one below the other."""

SPLITS = (0.5, 0.56, 0.62, 0.44)
"""Shares of a box's width for what is fixed, in the order in which they are tried."""


def best_split(layout: Layout, box: Box, days: Sequence[DayContent]) -> float:
    """The share with which the boxes of a week leave out least; the same for all its days."""
    if not _two_columns(layout, box):
        return SPLITS[0]

    def left_out(split: float) -> int:
        return sum(
            len(one.entries) for day in days for one in day_box(layout, box, day, split=split).left
        )

    return min(SPLITS, key=left_out)


def _two_columns(layout: Layout, box: Box) -> bool:
    return box.w >= TWO_COLUMNS_EM * layout.style.type_pt * MM_PER_PT


def day_box(layout: Layout, box: Box, content: DayContent, *, split: float = 0.5) -> DrawnDay:
    """A day as a box: what is fixed, and beside or below it what is to be done.

    `split` is the share of the width that what is fixed gets, where they stand side by side.
    """
    drawn, rows = _Collected(), layout.style.rows
    beside = layout.words.language.joined(content.notes)
    if not _fits_beside(layout, box, content, beside):
        beside = ""
    drawn.marks += day_head(layout, box, content, beside=beside)
    top = day_head_mm(layout)
    inside = box.inset(0, top, 0, 0)
    fixed, to_do = _fixed(layout, content), _to_do(content)
    notes = () if beside else _notes(content)
    if _two_columns(layout, box):
        width = (inside.w - 4.0) * split
        left = Box(inside.x, inside.y, width, inside.h)
        right = Box(left.right + 4.0, inside.y, inside.w - width - 4.0, inside.h)
        drawn.add(fill(layout, left, Zone("fixed", "", (*notes, *fixed), rows(1)), rule=False))
        drawn.add(fill(layout, right, Zone("to-do", "", to_do, rows(1), ticks=True), rule=False))
    elif inside.h < ONE_LIST_ROWS * layout.style.row_mm:
        everything = (*notes, *fixed, *to_do)
        drawn.add(fill(layout, inside, Zone("day", "", everything, rows(1)), rule=False))
    else:
        zones = (
            Zone("fixed", "", (*notes, *fixed), rows(1), 1.0),
            Zone("to-do", "", to_do, rows(1), 0.6, ticks=True),
        )
        y = inside.y
        for zone, height in zip(zones, heights(layout, box.w, inside.h, [zones])[0], strict=True):
            drawn.add(fill(layout, Box(box.x, y, box.w, height), zone, rule=y > inside.y))
            y += height
    return drawn.day(layout, content)


def _fits_beside(layout: Layout, box: Box, content: DayContent, beside: str) -> bool:
    """Whether the notes of a day stand whole in its heading."""
    if not beside:
        return True
    style = layout.style
    name = layout.words.weekday(content.date)
    head = layout.measure.width_mm("88", style.head_pt, bold=True) + layout.measure.width_mm(
        name, style.type_pt, bold=True
    )
    return layout.measure.fits(beside, style.label_pt, box.w - head - 8)


def _fixed(layout: Layout, content: DayContent) -> tuple[Entry, ...]:
    """What is fixed, in the order of the day; what has a part and no time says the part."""
    found = list(content.top)
    for part in DayPart:
        for one in content.parts[part]:
            if not one.strong:
                one = replace(one, strong=layout.words.part(part))
            found.append(one)
    return tuple(found)


def _to_do(content: DayContent) -> tuple[Entry, ...]:
    """Priorities, numbered, then tasks."""
    numbered = (
        replace(one, strong=f"{number}.") for number, one in enumerate(content.priorities, 1)
    )
    return (*numbered, *content.tasks)
