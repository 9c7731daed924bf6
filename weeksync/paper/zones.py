"""Areas of a day one below the other: how high each is, what stands in it, what has no room.

Print stands close, so that white is left to write in: below what is printed there are lines of
`row_mm`. Every area keeps at least as many of them as it asks for; print that would take those
goes to the continuation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.paper.content import Entry
from weeksync.paper.entries import GAP_MM, Column, height_of, writing_rows
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Mark, Rule, Tone, Words
from weeksync.paper.sheet import Box

LABEL_MM = 0.7
"""White above and below a label."""

PAD_MM = 1.4
"""White at the foot of an area."""


@dataclass(frozen=True, slots=True)
class Zone:
    """An area: its label, what is printed, how many lines stay free, and how it grows.

    `grow` is its share of room that nobody needs; `ticks` gives its free lines boxes.
    """

    key: str
    label: str
    entries: tuple[Entry, ...] = ()
    rows: int = 1
    grow: float = 1.0
    ticks: bool = False


@dataclass(frozen=True, slots=True)
class LeftOver:
    """What a zone has no room for."""

    key: str
    label: str
    entries: tuple[Entry, ...]


@dataclass(slots=True)
class Filled:
    """A zone that was filled: its marks, what is left over, and where the reference goes."""

    marks: list[Mark] = field(default_factory=list)
    left: LeftOver | None = None
    reference: Box | None = None


def label_mm(layout: Layout, zone: Zone) -> float:
    """How high the label of a zone is, with the white below it; 0 for none."""
    return layout.style.line_mm(layout.style.label_pt) + 2 * LABEL_MM if zone.label else 0.0


def wanted_mm(layout: Layout, width: float, zone: Zone) -> float:
    """How high a zone is with all that is printed and its free lines."""
    printed = height_of(layout, width, zone.entries)
    return label_mm(layout, zone) + printed + zone.rows * layout.style.row_mm + PAD_MM


def least_mm(layout: Layout, zone: Zone) -> float:
    """The least that a zone can be: label, free lines, and a line for the reference."""
    line = layout.style.line_mm(layout.style.label_pt) + GAP_MM
    return (
        label_mm(layout, zone)
        + zone.rows * layout.style.row_mm
        + PAD_MM
        + line * bool(zone.entries)
    )


def heights(
    layout: Layout, width: float, total: float, days: Sequence[Sequence[Zone]], together: int = 1
) -> tuple[tuple[float, ...], ...]:
    """How high each zone of each day is.

    The first `together` zones of a day share one stretch, in which only the last of them takes
    what the others leave: so a day with much on top does not take room from the rest. All other
    zones are the same height in all days, so that they meet across columns. Each gets what the
    fullest day wants; what is too much is taken from those that want most above their least, and
    what is left over goes to those that grow.
    """
    stretches = [(day[:together], *((zone,) for zone in day[together:])) for day in days]
    columns = list(zip(*stretches, strict=True))
    least = [max(sum(least_mm(layout, one) for one in zones) for zones in same) for same in columns]
    want = [
        max(low, *(sum(wanted_mm(layout, width, one) for one in zones) for zones in same))
        for low, same in zip(least, columns, strict=True)
    ]
    grow = [same[0][-1].grow for same in columns]
    tall = _shared_out(total, least, want, grow)
    return tuple((*_in_stretch(layout, width, tall[0], day[:together]), *tall[1:]) for day in days)


def _shared_out(
    total: float, least: Sequence[float], want: Sequence[float], grow: Sequence[float]
) -> list[float]:
    spare = total - sum(want)
    if spare >= 0:
        whole = sum(grow) or 1.0
        return [height + spare * one / whole for height, one in zip(want, grow, strict=True)]
    room = max(total - sum(least), 0.0)
    over = [height - low for height, low in zip(want, least, strict=True)]
    scale = min(total / sum(least), 1.0)
    return [low * scale + one for low, one in zip(least, _levelled(over, room), strict=True)]


def _in_stretch(layout: Layout, width: float, total: float, zones: Sequence[Zone]) -> list[float]:
    """The zones of one day in a stretch of that height; the last one takes what is left."""
    least = [least_mm(layout, zone) for zone in zones]
    want = [wanted_mm(layout, width, zone) for zone in zones]
    return _shared_out(total, least, want, [0.0] * (len(zones) - 1) + [1.0])


def _levelled(wants: Sequence[float], room: float) -> list[float]:
    """Room shared out so that small wants are met in full, and large ones get equally much."""
    given = [0.0] * len(wants)
    open_ = sorted(range(len(wants)), key=lambda at: wants[at])
    while open_:
        each = room / len(open_)
        at = open_[0]
        given[at] = min(wants[at], each)
        room -= given[at]
        open_.pop(0)
    return given


def fill(layout: Layout, box: Box, zone: Zone, *, rule: bool = True) -> Filled:
    """A zone in its box: a rule along its top, label, print, and lines to write on."""
    filled = Filled()
    if rule:
        filled.marks.append(Rule(box.x, box.y, box.right, box.y, tone=Tone.RULE))
    y = box.y
    if zone.label:
        filled.marks.append(layout.label(box.x, y + LABEL_MM, box.w, zone.label))
        y += label_mm(layout, zone)
    else:
        y += 0.6
    column = Column(layout, Box(box.x, y, box.w, box.bottom - y))
    left = column.put_all(zone.entries, zone.rows * layout.style.row_mm)
    filled.marks += column.marks
    if column.items:
        filled.marks.append(Group(tuple(column.items), "list", zone.label))
    if left:
        line = layout.style.line_mm(layout.style.label_pt)
        filled.left = LeftOver(zone.key, zone.label, left)
        filled.reference = Box(box.x, column.y, box.w, line)
        column.y += line + GAP_MM
    free = Box(box.x, column.y, box.w, box.bottom - column.y)
    if zone.rows or zone.grow:
        filled.marks += writing_rows(layout, free, ticks=zone.ticks)
    return filled


def reference(layout: Layout, box: Box, text: str) -> Words:
    """The line that says where the rest stands."""
    return layout.write(
        box.x, box.y, box.w, text, pt=layout.style.label_pt, bold=True, most=1, role="p"
    )
