"""Which page lies where, tried by folding and cutting in the mind, and the PDFs that come of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.paper.binder_kit import darkness, document, layout, pdf, picture, sheet
from weeksync.errors import BuildError, UsageError
from weeksync.message import Message
from weeksync.model.sheets import SizeName
from weeksync.paper.document import Document, Page
from weeksync.paper.feeding import instruction
from weeksync.paper.impose import imposed
from weeksync.paper.kinds import Kind
from weeksync.paper.page_order import (
    PaperSheet,
    Way,
    front_side,
    in_order,
    sheets,
    side_of,
    slots,
    week_pages,
)
from weeksync.paper.printer import Printer
from weeksync.paper.sheet import MM_PER_PT, Box, Side

A4 = (210.0, 297.0)
A5 = (148.0, 210.0)

ways = st.sampled_from(list(Way))
directions = st.sampled_from(["ltr", "rtl"])


def laid(order: Sequence[PaperSheet]) -> list[list[tuple[int | None, ...]]]:
    """The sheets as lists of their sides, pages counted from 1 as people do."""
    return [
        [
            tuple(None if page is None else page + 1 for page in side.pages)
            for side in (one.front, one.back)
            if side is not None
        ]
        for one in order
    ]


# The order of pages


def test_eight_pages_of_a_booklet_lie_as_binders_lay_them() -> None:
    """Two sheets, the outer one 8–1 and 2–7, the inner one 6–3 and 4–5; common practice."""
    assert laid(sheets(Way.BOOKLET, range(8))) == [[(8, 1), (2, 7)], [(6, 3), (4, 5)]]


def test_a_booklet_from_right_to_left_is_its_mirror_image() -> None:
    """Its first page lies at the left of the outer sheet, as it is bound at the right."""
    assert laid(sheets(Way.BOOKLET, range(8), "rtl")) == [[(1, 8), (7, 2)], [(3, 6), (5, 4)]]


def test_a_booklet_of_five_pages_ends_with_empty_ones() -> None:
    """Paper comes by fours."""
    assert laid(sheets(Way.BOOKLET, range(5))) == [
        [(None, 1), (2, None)],
        [(None, 3), (4, 5)],
    ]


def test_a_week_with_its_neighbours_makes_two_leaves() -> None:
    """Right page of the week before and left page of the week; its right page and the next left."""
    wanted = week_pages(Way.DUPLEX, ["W12"], before="W11", after="W13")
    assert [(one.week, one.part, one.side) for one in wanted] == [
        ("W11", 1, Side.RIGHT),
        ("W12", 0, Side.LEFT),
        ("W12", 1, Side.RIGHT),
        ("W13", 0, Side.LEFT),
    ]
    placed = slots([one.side for one in wanted], Way.DUPLEX)
    assert laid(sheets(Way.DUPLEX, placed)) == [[(1,), (2,)], [(3,), (4,)]]


def test_a_run_without_neighbours_has_an_empty_front_and_an_empty_back() -> None:
    """Three weeks are four leaves."""
    wanted = week_pages(Way.DUPLEX, ["W12", "W13", "W14"])
    placed = slots([one.side for one in wanted], Way.DUPLEX)
    assert laid(sheets(Way.DUPLEX, placed)) == [
        [(None,), (1,)],
        [(2,), (3,)],
        [(4,), (5,)],
        [(6,), (None,)],
    ]


def test_a_week_on_one_leaf_has_its_first_page_in_front() -> None:
    """Its left page is punched at the left, for once."""
    wanted = week_pages(Way.ONE_LEAF, ["W12"])
    assert [one.side for one in wanted] == [Side.RIGHT, Side.LEFT]
    placed = slots([one.side for one in wanted], Way.ONE_LEAF)
    assert laid(sheets(Way.ONE_LEAF, placed)) == [[(1,), (2,)]]


def test_two_pages_of_a_week_lie_beside_each_other() -> None:
    """Left and right; from right to left the first page lies at the right."""
    sides = [one.side for one in week_pages(Way.TWO_UP, ["W12", "W13"])]
    assert laid(sheets(Way.TWO_UP, slots(sides, Way.TWO_UP))) == [[(1, 2)], [(3, 4)]]
    turned = [one.side for one in week_pages(Way.TWO_UP, ["W12"], direction="rtl")]
    assert turned == [Side.RIGHT, Side.LEFT]
    assert laid(sheets(Way.TWO_UP, slots(turned, Way.TWO_UP, "rtl"), "rtl")) == [[(2, 1)]]


def test_leaves_are_cut_from_one_sheet() -> None:
    """Two weeks with their neighbours: leaf 1 and 3 at the left, leaf 2 at the right."""
    sides = [one.side for one in week_pages(Way.TWO_UP_DUPLEX, [1, 2], before=0, after=3)]
    placed = slots(sides, Way.TWO_UP_DUPLEX)
    assert laid(sheets(Way.TWO_UP_DUPLEX, placed)) == [
        [(1, 5), (6, 2)],
        [(3, None), (None, 4)],
    ]


@given(count=st.integers(1, 60), direction=directions)
def test_a_folded_booklet_is_read_in_order(count: int, direction: str) -> None:
    """The sheets laid into each other and leafed through give every page in its turn."""
    order = sheets(Way.BOOKLET, range(count), direction)
    first = 0 if direction == "rtl" else 1
    second = 1 - first
    read: list[int | None] = []
    for one in order:  # from the cover to the middle
        assert one.back is not None
        read += [one.front.pages[first], one.back.pages[second]]
    for one in reversed(order):  # and from the middle to the last page
        assert one.back is not None
        read += [one.back.pages[first], one.front.pages[second]]
    assert read[:count] == list(range(count))
    assert set(read[count:]) <= {None}
    assert len(read) - count < 4


@given(count=st.integers(1, 60))
def test_cut_leaves_come_in_order(count: int) -> None:
    """Turned over the short edge, the back of the left leaf is at the right; the piles follow."""
    order = sheets(Way.TWO_UP_DUPLEX, range(count))
    piles: tuple[list[tuple[int | None, int | None]], ...] = ([], [])
    for one in order:
        assert one.back is not None
        for at in (0, 1):
            piles[at].append((one.front.pages[at], one.back.pages[1 - at]))
    read = [page for leaf in piles[0] + piles[1] for page in leaf]
    assert read[:count] == list(range(count))
    assert set(read[count:]) <= {None}


@given(way=ways, direction=directions, weeks=st.integers(1, 8), around=st.booleans())
def test_every_page_is_printed_once_and_on_its_own_side(
    way: Way, direction: str, weeks: int, around: bool
) -> None:
    """Whatever the way: no page twice, none missing, and holes on the side they were laid out for.

    Printed on both sides, a page lies in front just when its punch side is that of a front.
    """
    before, after = (-1, weeks) if around else (None, None)
    wanted = week_pages(way, range(weeks), before, after, direction)
    assert len(wanted) == 2 * weeks + (2 if around and way.with_neighbours else 0)
    sides = [one.side for one in wanted]
    order = sheets(way, slots(sides, way, direction), direction)
    printed = [
        (page, side is one.front)
        for one in order
        for side in (one.front, one.back)
        if side is not None
        for page in side.pages
        if page is not None
    ]
    assert sorted(page for page, _ in printed) == list(range(len(wanted)))
    if way in {Way.DUPLEX, Way.ONE_LEAF, Way.TWO_UP_DUPLEX}:
        for page, is_front in printed:
            assert is_front == (sides[page] is front_side(direction))


@given(direction=directions, weeks=st.integers(1, 8), way=ways)
def test_the_two_pages_of_a_week_meet(direction: str, weeks: int, way: Way) -> None:
    """But for a week on one leaf, they lie on both sides of the rings, first one first."""
    wanted = week_pages(way, range(weeks), direction=direction)
    for first, second in zip(wanted[::2], wanted[1::2], strict=True):
        assert first.week == second.week
        assert first.side is second.side.other
        front = front_side(direction)
        assert (first.side is front) == (way is Way.ONE_LEAF)
        assert first.side is side_of(first.part, way, direction)


# The PDF


def leaves(size: SizeName, sides: Sequence[Side], *, direction: str = "ltr") -> Document:
    """A page for each side, with its number 20 mm below the top of its area."""
    on = layout(size)
    pages = []
    for number, side in enumerate(sides, 1):
        area = on.sheet.area(side)
        text = on.write(area.x, area.y + 20, 60, f"Sheet number {number}", role="h1")
        pages.append(Page(Kind.BLANK, f"Page {number}", on.sheet, side, (text,)))
    return replace(document(on, pages), direction=direction)


SPREADS = (Side.LEFT, Side.RIGHT) * 2


def sizes(content: bytes) -> list[tuple[float, float]]:
    """Width and height of every page in millimetres."""
    return [
        (float(page.mediabox.width) * MM_PER_PT, float(page.mediabox.height) * MM_PER_PT)
        for page in PdfReader(BytesIO(content)).pages
    ]


def said(content: bytes) -> list[list[int]]:
    """The numbers that stand on each page, in order of their places in the file."""
    return [
        sorted(int(word) for word in page.extract_text().split() if word.isdigit())
        for page in PdfReader(BytesIO(content)).pages
    ]


def test_two_a5_pages_go_on_a4() -> None:
    """Sizes to a tenth of a millimetre, two pages to a side, bookmarks, no names in it."""
    made = leaves("A5", SPREADS)
    found = imposed(pdf(made), made, Way.TWO_UP, paper=A4)
    assert sizes(found) == [pytest.approx((297, 210), abs=0.1)] * 2
    assert said(found) == [[1, 2], [3, 4]]
    reader = PdfReader(BytesIO(found))
    assert [item.title for item in reader.outline if not isinstance(item, list)] == [
        "Page 1",
        "Page 2",
        "Page 3",
        "Page 4",
    ]
    told = {key: str(value) for key, value in (reader.metadata or {}).items()}
    assert told == {"/Title": "Weeksync", "/Producer": "weeksync"}


def test_pages_keep_their_size_and_place_on_larger_paper() -> None:
    """An A5 page is in the middle of A4 paper: its text lies where it lay, 31 mm further in."""
    made = leaves("A5", (Side.RIGHT,))
    found = imposed(pdf(made), made, Way.SINGLE, paper=A4)
    assert sizes(found) == [pytest.approx(A4, abs=0.1)]
    before, after = picture(pdf(made)), picture(found)
    box = Box(20, 27, 40, 5)
    moved = Box(box.x + 31, box.y + 43.5, box.w, box.h)
    assert darkness(after, moved) == pytest.approx(darkness(before, box), abs=0.02)
    assert darkness(before, box) > 0.03


def test_a_booklet_of_weeks_opens_with_spreads() -> None:
    """Two weeks after an empty first page: two sheets, four sides, the rings' margins inside."""
    made = leaves("A5", SPREADS)
    found = imposed(pdf(made), made, Way.BOOKLET, paper=A4)
    assert said(found) == [[], [1], [2], [3, 4]]
    assert sizes(found) == [pytest.approx((297, 210), abs=0.1)] * 4


def test_leaves_are_filled_with_empty_pages_and_keep_their_tags() -> None:
    """Printed on paper of their own size; a reader for the blind still finds the structure."""
    made = leaves("A4", SPREADS)
    found = imposed(pdf(made), made, Way.DUPLEX)
    assert said(found) == [[], [1], [2], [3], [4], []]
    assert sizes(found) == [pytest.approx(A4, abs=0.1)] * 6
    root = PdfReader(BytesIO(found)).root_object
    assert "/StructTreeRoot" in root
    assert "'/Marked': True" in str(root["/MarkInfo"].get_object())


def test_the_same_pages_give_the_same_bytes() -> None:
    """Imposed twice, on other paper and on their own."""
    made = leaves("A5", SPREADS)
    content = pdf(made)
    for way, paper in ((Way.DUPLEX, None), (Way.BOOKLET, A4)):
        once = imposed(content, made, way, paper=paper)
        assert imposed(content, made, way, paper=paper) == once


def test_paper_that_is_too_small_is_told() -> None:
    """Two A4 pages do not fit on A4."""
    made = leaves("A4", SPREADS)
    with pytest.raises(UsageError, match=r"420.*297"):
        imposed(pdf(made), made, Way.TWO_UP, paper=A4)


def test_pages_of_several_sizes_cannot_lie_beside_each_other() -> None:
    """A landscape month among upright weeks goes on paper of its own."""
    made = leaves("A5", (Side.LEFT, Side.RIGHT))
    turned = replace(made.pages[1], sheet=made.pages[1].sheet.turned())
    mixed = replace(made, pages=(made.pages[0], turned))
    with pytest.raises(UsageError, match="several sizes"):
        imposed(pdf(mixed), mixed, Way.TWO_UP, paper=A4)


def test_a_pdf_that_is_not_the_documents_is_refused() -> None:
    """A page is missing."""
    made = leaves("A5", SPREADS)
    with pytest.raises(BuildError, match="4"):
        imposed(pdf(replace(made, pages=made.pages[:3])), made, Way.SINGLE)


def test_cutting_marks_lie_outside_of_the_pages_and_on_the_cut() -> None:
    """At the corners of an A5 page on A4; between two of them only in the strip of the rings."""
    made = leaves("A5", (Side.LEFT, Side.RIGHT))
    single = picture(imposed(pdf(made), made, Way.SINGLE, paper=A4, cutting_marks=True), dpi=200)
    corner = Box(24, 43.5 - 0.5, 5, 1)
    assert darkness(single, corner, 200) > 0.02
    plain = picture(imposed(pdf(made), made, Way.SINGLE, paper=A4), dpi=200)
    assert darkness(plain, corner, 200) == 0
    beside = picture(imposed(pdf(made), made, Way.TWO_UP, paper=A4, cutting_marks=True), dpi=200)
    assert darkness(beside, Box(148, 2, 1, 6), 200) > 0.05
    assert darkness(beside, Box(148, 20, 1, 170), 200) == 0


def test_continuations_go_to_leaves_of_their_own() -> None:
    """So that they part no week."""
    made = leaves("A4", (Side.LEFT, Side.RIGHT, Side.RIGHT, Side.LEFT, Side.RIGHT))
    pages = [replace(page, continuation=at == 2) for at, page in enumerate(made.pages)]
    ordered = in_order(replace(made, pages=tuple(pages)))
    assert [page.title for page in ordered.pages] == [f"Page {n}" for n in (1, 2, 4, 5, 3)]
    assert said(imposed(pdf(ordered), ordered, Way.DUPLEX)) == [
        [], [1], [2], [4], [5], [], [3], [],
    ]  # fmt: skip


# The printer


def test_backs_are_turned_where_the_printer_turns_them() -> None:
    """The text of a front stays where it is, that of a back lies at the other end."""
    made = leaves("A4", (Side.RIGHT, Side.LEFT))
    content = pdf(made)
    found = imposed(content, made, Way.ONE_LEAF, printer=Printer(turned=True))
    for page in (0, 1):
        before, after = picture(content, page), picture(found, page)
        area = made.pages[page].sheet.area(made.pages[page].side)
        box = Box(area.x, area.y + 20, 60, 5)
        there = Box(210 - box.right, 297 - box.bottom, box.w, box.h)
        assert darkness(after, there if page else box) == pytest.approx(
            darkness(before, box), abs=0.02
        )
        assert darkness(before, box) > 0.03


def test_a_shift_of_the_printer_is_taken_back() -> None:
    """What it prints 2 mm too far to the right and 3 mm too low is laid out that much before."""
    made = leaves("A4", (Side.RIGHT, Side.LEFT))
    content = pdf(made)
    printer = Printer(back_right=2, back_down=3)
    found = imposed(content, made, Way.ONE_LEAF, printer=printer)
    area = made.pages[1].sheet.area(Side.LEFT)
    box = Box(area.x, area.y + 20, 60, 5)
    moved = Box(box.x - 2, box.y - 3, box.w, box.h)
    assert picture(found, 0).tobytes() == picture(content, 0).tobytes()
    expected = darkness(picture(content, 1, 200), box, 200)
    assert darkness(picture(found, 1, 200), moved, 200) == pytest.approx(expected, abs=0.01)
    assert darkness(picture(found, 1, 200), box, 200) < expected - 0.02


# The one line


@pytest.mark.parametrize("way", list(Way))
def test_every_way_says_how_to_feed_the_paper(way: Way) -> None:
    """One line, at 100 %; which edge where both sides are printed; a second time by hand."""
    line = instruction(way)
    assert isinstance(line, Message)
    assert "100 %" in str(line)
    assert "\n" not in str(line)
    assert ("edge" in str(line)) == way.both_sides
    assert ("short edge" in str(line)) == (way.two_up and way.both_sides)
    by_hand = instruction(way, Printer(both_sides=False))
    assert ("even pages" in str(by_hand)) == way.both_sides


def test_sheets_of_the_kit_are_upright() -> None:
    """What the measures above stand on."""
    assert (sheet("A5").width_mm, sheet("A5").height_mm) == A5
