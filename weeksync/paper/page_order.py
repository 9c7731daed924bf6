"""Which page lies on which side of which sheet: the order of printing, worked out before it.

In a ring binder the left and the right page of one week are on different leaves: a leaf has
the right page of a week in front and the left page of the next one on its back. Nothing here
knows PDF. Pages are numbered from 0; None is a side or a place that stays empty. Where reading
runs from right to left, everything is mirrored: the first page of a week lies right of the rings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Generic, Literal, NamedTuple, TypeVar

from weeksync.paper.document import Document
from weeksync.paper.sheet import Side

T = TypeVar("T")

Direction = Literal["ltr", "rtl"]


class Way(StrEnum):
    """How pages go on paper."""

    SINGLE = "single"
    """Every page on a sheet of its own, one side printed."""
    DUPLEX = "duplex"
    """Both sides, each week with its neighbours, so that left and right page meet in the binder."""
    ONE_LEAF = "one-leaf"
    """Both pages of a week on the two sides of one leaf."""
    TWO_UP = "two-up"
    """The two pages of a week beside each other on one sheet, to fold or to cut."""
    TWO_UP_DUPLEX = "two-up-duplex"
    """As `duplex`, two leaves on each sheet, to cut."""
    BOOKLET = "booklet"
    """A run of weeks as sheets to fold into each other and staple."""

    @property
    def both_sides(self) -> bool:
        """Whether paper is printed on both sides."""
        return self not in {Way.SINGLE, Way.TWO_UP}

    @property
    def two_up(self) -> bool:
        """Whether two pages lie beside each other on a side."""
        return self in {Way.TWO_UP, Way.TWO_UP_DUPLEX, Way.BOOKLET}

    @property
    def with_neighbours(self) -> bool:
        """Whether pages of the week before and after complete the outer leaves."""
        return self in {Way.DUPLEX, Way.TWO_UP_DUPLEX}


class WeekPage(NamedTuple, Generic[T]):
    """A page of a week to lay out: `part` 0 or 1, and the side it is laid out for."""

    week: T
    part: int
    side: Side


class PaperSide(NamedTuple):
    """One side of a sheet of paper: the pages on it as they lie from left to right."""

    pages: tuple[int | None, ...]


class PaperSheet(NamedTuple):
    """A sheet of paper; `back` is None where it is not printed."""

    front: PaperSide
    back: PaperSide | None = None


def front_side(direction: str) -> Side:
    """How the front of a leaf lies in the binder, before it is turned: right, in English."""
    return Side.LEFT if direction == "rtl" else Side.RIGHT


def side_of(part: int, way: Way, direction: str = "ltr") -> Side:
    """The side a page of a spread is laid out for; `part` 0 is read first.

    The first page of a spread is the back of its leaf, the second one the front of the next;
    only a week on one leaf has its first page in front.
    """
    front = front_side(direction)
    in_front = part % 2 == (0 if way is Way.ONE_LEAF else 1)
    return front if in_front else front.other


def week_pages(
    way: Way,
    weeks: Sequence[T],
    before: T | None = None,
    after: T | None = None,
    direction: str = "ltr",
) -> tuple[WeekPage[T], ...]:
    """The pages to lay out for a run of weeks, in their order.

    For the ways that print leaves, the second page of `before` and the first one of `after`
    complete the outer leaves, where they are given.
    """
    wanted = [(week, part) for week in weeks for part in (0, 1)]
    if way.with_neighbours and weeks:
        if before is not None:
            wanted.insert(0, (before, 1))
        if after is not None:
            wanted.append((after, 0))
    return tuple(WeekPage(week, part, side_of(part, way, direction)) for week, part in wanted)


def in_order(document: Document) -> Document:
    """The document with its continuations last: on leaves of their own they part no week."""
    main = tuple(page for page in document.pages if not page.continuation)
    rest = tuple(page for page in document.pages if page.continuation)
    return replace(document, pages=main + rest)


def slots(sides: Sequence[Side], way: Way, direction: str = "ltr") -> tuple[int | None, ...]:
    """Pages with an empty place before each that would lie on the wrong side.

    `sides` are those of the pages, in order. With leaves and booklets every other slot is a
    front; beside each other every other slot is read first.
    """
    if way is Way.SINGLE:
        return tuple(range(len(sides)))
    even = front_side(direction)
    if way is Way.TWO_UP:
        even = even.other
    placed: list[int | None] = []
    for page, side in enumerate(sides):
        if (len(placed) % 2 == 0) != (side is even):
            placed.append(None)
        placed.append(page)
    return tuple(placed)


def sheets(way: Way, pages: Sequence[int | None], direction: str = "ltr") -> tuple[PaperSheet, ...]:
    """The sheets that the slots go on; every page stands exactly once.

    With two pages to a side and the sheet turned over its short edge, the back's right page
    lies behind the front's left one.
    """
    if way is Way.SINGLE:
        return tuple(PaperSheet(PaperSide((page,))) for page in pages)
    if way is Way.BOOKLET:
        return _booklet(pages, direction)
    pairs = list(zip(*_dealt(pages), strict=True))
    if way is Way.TWO_UP:
        return tuple(PaperSheet(_side(pair, direction)) for pair in pairs)
    if way is Way.TWO_UP_DUPLEX:
        return _cut_leaves(pairs)
    return tuple(PaperSheet(PaperSide((front,)), PaperSide((back,))) for front, back in pairs)


def _padded(pages: Sequence[int | None], multiple: int) -> list[int | None]:
    return [*pages, *([None] * (-len(pages) % multiple))]


def _dealt(pages: Sequence[int | None]) -> tuple[list[int | None], list[int | None]]:
    padded = _padded(pages, 2)
    return padded[::2], padded[1::2]


def _side(pages: tuple[int | None, ...], direction: str) -> PaperSide:
    """Pages in the order of reading, as they lie from left to right."""
    return PaperSide(pages[::-1] if direction == "rtl" else pages)


def _cut_leaves(leaves: Sequence[tuple[int | None, int | None]]) -> tuple[PaperSheet, ...]:
    """Leaves (front, back) two to a sheet; after cutting, the right pile goes under the left."""
    half = (len(leaves) + 1) // 2
    beside = [*leaves[half:], *([(None, None)] * (2 * half - len(leaves)))]
    return tuple(
        PaperSheet(PaperSide((left[0], right[0])), PaperSide((right[1], left[1])))
        for left, right in zip(leaves[:half], beside, strict=True)
    )


def _booklet(pages: Sequence[int | None], direction: str) -> tuple[PaperSheet, ...]:
    """Sheets folded into each other, the outermost first.

    Of eight pages, counted from 1: outside 8 and 1, inside 2 and 7, then 6 and 3, 4 and 5.
    """
    padded = _padded(pages, 4)
    last = len(padded) - 1
    return tuple(
        PaperSheet(
            _side((padded[last - first], padded[first]), direction),
            _side((padded[first + 1], padded[last - first - 1]), direction),
        )
        for first in range(0, len(padded) // 2, 2)
    )
