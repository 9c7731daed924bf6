"""The habit page: boxes at known places, and a code and corners that a reader of photos finds."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from PIL import Image, ImageChops, ImageDraw

from tests.paper.binder_kit import (
    HOLES,
    check_keep_clear,
    check_words,
    darkness,
    document,
    layout,
    pdf,
    picture,
    texts,
)
from tests.paper.reader import read
from tests.support import sample_week
from weeksync.model.fields import MarkKind
from weeksync.model.spread import HabitRow
from weeksync.paper.cell_map import HabitSheet, cell_map
from weeksync.paper.corner_marks import QUIET_MM, code_box, corner_boxes
from weeksync.paper.habit_sheet import habit_pages
from weeksync.paper.layout import Layout
from weeksync.paper.sheet import Box, Side

SPREAD = sample_week.spread()
DPI = 200


def made(
    on: Layout, side: Side = Side.RIGHT, rows: tuple[HabitRow, ...] = ()
) -> tuple[HabitSheet, ...]:
    """The sample's habit pages."""
    return habit_pages(on, replace(SPREAD, habits=rows) if rows else SPREAD, side)


def photographed(drawn: Image.Image, degrees: float) -> Image.Image:
    """The page turned, on a grey table, in a light that falls off to one corner."""
    turned = drawn.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=150)
    light = Image.linear_gradient("L").resize(turned.size).point(lambda value: 95 + value * 0.35)
    return ImageChops.multiply(turned, light)


def ticked(drawn: Image.Image, boxes: list[list[float]]) -> Image.Image:
    """The page with ticks drawn into some boxes, as with a pen."""
    pen, scale = ImageDraw.Draw(drawn), DPI / 25.4
    for x, y, w, h in boxes:
        points = [
            (x + w * 0.2, y + h * 0.5),
            (x + w * 0.45, y + h * 0.8),
            (x + w * 0.85, y + h * 0.15),
        ]
        pen.line([(a * scale, b * scale) for a, b in points], fill=40, width=5)
    return drawn


@pytest.mark.parametrize(
    ("size", "locale", "degrees"),
    [("A4", "en_GB", 7), ("A5", "en_GB", -174), ("95x171", "en_GB", 93), ("A5", "ar_EG", 4)],
)
def test_a_turned_and_darkened_page_is_read_back(size: str, locale: str, degrees: float) -> None:
    """Code, corners, and which boxes a pen has ticked, at 200 dpi; right-to-left pages, too."""
    on = layout(size, locale)  # type: ignore[arg-type]
    sheets = made(on)
    finished = document(on, [one.page for one in sheets])
    told = json.loads(json.dumps(cell_map(sheets, mirrored=finished.direction == "rtl")))
    page = told["pages"][0]
    empty = [cell for cell in page["cells"] if cell["kind"] == "yes/no" and not cell["printed"]]
    chosen = empty[::3]
    assert 0 < len(chosen) < len(empty)
    drawn = ticked(picture(pdf(finished), 0, DPI), [cell["box_mm"] for cell in chosen])
    found = read(photographed(drawn, degrees), told)
    assert found.code == page["code"]
    for seen, corner in zip(found.corners, page["corners_mm"], strict=True):
        expected = found.place((corner[0], corner[1]))
        assert abs(seen[0] - expected[0]) + abs(seen[1] - expected[1]) < 2, "not on one plane"
    assert found.place.pixels_per_mm == pytest.approx(DPI / 25.4, rel=0.01)
    inked = {(cell["habit"], cell["date"]) for cell in chosen}
    read_back = {
        key for key in ((cell["habit"], cell["date"]) for cell in empty) if found.inked[key] > 0.08
    }
    assert read_back == inked


@pytest.mark.browser
def test_a_page_from_chromium_is_read_back_by_the_same_map() -> None:
    """Whatever made the PDF, the boxes are where the map has them."""
    on = layout("A5")
    sheets = made(on)
    told = cell_map(sheets)
    empty = [
        cell
        for cell in told["pages"][0]["cells"]
        if cell["kind"] == "yes/no" and not cell["printed"]
    ]
    content = pdf(document(on, [one.page for one in sheets]), "chromium")
    drawn = ticked(picture(content, 0, DPI), [cell["box_mm"] for cell in empty[1::2]])
    found = read(photographed(drawn, -5), told)
    dark = [found.inked[cell["habit"], cell["date"]] > 0.08 for cell in empty]
    assert dark == [at % 2 == 1 for at in range(len(empty))]


def test_a_corner_that_is_covered_is_missed() -> None:
    """The reader of these tests does not find what is not there."""
    on = layout("A5")
    sheets = made(on)
    drawn = picture(pdf(document(on, [sheets[0].page])), 0, DPI)
    x, y = cell_map(sheets)["pages"][0]["corners_mm"][2]
    scale = DPI / 25.4
    ImageDraw.Draw(drawn).rectangle(
        [(x - 4) * scale, (y - 4) * scale, (x + 4) * scale, (y + 4) * scale], fill=255
    )
    with pytest.raises(AssertionError, match="corner"):
        read(photographed(drawn, 3), cell_map(sheets))


def test_the_code_holds_no_name_and_no_title() -> None:
    """The layout's version, the week, the page, and a number of its boxes."""
    on = layout()
    one = made(on)[0]
    start, version, week, number, digits = one.code.split(":")
    assert (start, version) == ("WEEKSYNC", "H1")
    assert (week, number) == ("2027-W12", "1")
    assert len(digits) == 8
    assert int(digits, 16) >= 0
    for person in on.words.config.people:
        assert person.name.upper() not in one.code


def test_another_set_of_boxes_is_another_code() -> None:
    """So that a photo is never read by the map of another print."""
    on = layout()
    fewer = made(on, rows=SPREAD.habits[:-1])
    assert fewer[0].code != made(on)[0].code
    assert made(on)[0].code == made(on)[0].code


def test_every_day_that_can_be_marked_has_one_box_and_no_other_has() -> None:
    """By the boxes of the spread's rows; what is recorded is printed in them."""
    cells = [cell for one in made(layout()) for cell in one.cells]
    wanted = [(row.id, row.cells[number - 1].day) for row in SPREAD.habits for number in row.boxes]
    assert [(cell.habit, cell.day) for cell in cells] == wanted
    for cell in cells:
        row = next(one for one in SPREAD.habits if one.id == cell.habit)
        assert cell.kind is row.kind
        value = next(one.value for one in row.cells if one.day == cell.day)
        assert cell.printed == value


@pytest.mark.parametrize("size", HOLES)
@pytest.mark.parametrize("side", list(Side))
def test_boxes_are_large_enough_and_lie_apart_inside_the_corners(size: str, side: Side) -> None:
    """Ticks 3.5 to 5 mm wide, figures in rows of 8 mm (common practice), on every sheet."""
    on = layout(size)  # type: ignore[arg-type]
    sheets = made(on, side)
    check_words(on, [one.page for one in sheets])
    for one in sheets:
        area = one.page.sheet.area(side)
        marks = [*corner_boxes(area), code_box(area)]
        for cell in one.cells:
            if cell.kind is MarkKind.YES_NO:
                assert 3.5 <= cell.box.w <= 5
            assert 3.5 <= cell.box.h <= 8
            assert area.x <= cell.box.x <= cell.box.right <= area.right
            for mark in marks:
                assert _gap(mark, cell.box) >= QUIET_MM - 0.01
        for first, second in pairwise(one.cells):
            assert _gap(first.box, second.box) > 0.5


def _gap(one: Box, other: Box) -> float:
    """How far two boxes are apart, by the wider of both ways."""
    return max(other.x - one.right, one.x - other.right, other.y - one.bottom, one.y - other.bottom)


def test_the_code_has_white_around_it() -> None:
    """Four modules, but for what stands at the edge of the page."""
    on = layout("81x120")
    sheets = made(on)
    drawn = picture(pdf(document(on, [sheets[0].page])), 0, DPI)
    box = code_box(on.sheet.area(Side.RIGHT))
    left = Box(box.x - QUIET_MM + 0.3, box.y, QUIET_MM - 0.6, box.h)
    right = Box(box.right + 0.3, box.y, QUIET_MM - 0.6, box.h)
    below = Box(box.x, box.bottom + 0.3, box.w, QUIET_MM - 0.6)
    assert [darkness(drawn, one, DPI) for one in (left, right, below)] == [0, 0, 0]


def test_many_habits_go_on_with_a_code_of_their_own() -> None:
    """Forty rows on A5: every box once, every page with its number, nothing lost."""
    rows = tuple(
        replace(row, id=f"{row.id}-{turn}", title=f"{row.title} {turn}")
        for turn in range(6)
        for row in SPREAD.habits
    )
    on = layout("A5")
    sheets = made(on, rows=rows)
    assert len(sheets) > 2
    assert [one.code.split(":")[3] for one in sheets] == [str(n + 1) for n in range(len(sheets))]
    assert len({one.code for one in sheets}) == len(sheets)
    cells = [(cell.habit, cell.day) for one in sheets for cell in one.cells]
    assert sorted(cells) == sorted(
        (row.id, row.cells[number - 1].day) for row in rows for number in row.boxes
    )
    printed = " ".join(text for one in sheets for text in texts(one.page))
    assert all(row.title in printed for row in rows)


def test_a_long_title_is_written_whole() -> None:
    """In as many lines as it needs; its row grows."""
    title = (
        "Read aloud to each other from the thick blue book of stories about the sea and the moor"
    )
    rows = (replace(SPREAD.habits[0], title=title), *SPREAD.habits[1:])
    printed = texts(made(layout("95x171"), rows=rows)[0].page)
    assert any(text.replace("-", "") == title for text in printed)


def test_nothing_is_printed_where_the_holes_go() -> None:
    """On both sides, to the pixel."""
    on = layout("A5")
    pages = [made(on, side)[0].page for side in Side]
    check_keep_clear(pdf(document(on, pages)), pages)


def test_a_week_without_habits_has_no_page() -> None:
    """And no map."""
    assert habit_pages(layout(), replace(SPREAD, habits=()), Side.LEFT) == ()
    assert cell_map(())["pages"] == []


def test_the_map_is_the_mirror_image_where_the_page_is() -> None:
    """Corners stay in their order: top left, top right, bottom right, bottom left."""
    on = layout("A5", "ar_EG")
    sheets = made(on)
    plain, turned = cell_map(sheets)["pages"][0], cell_map(sheets, mirrored=True)["pages"][0]
    width = on.sheet.width_mm
    for one, other in zip(plain["cells"], turned["cells"], strict=True):
        x, y, w, h = one["box_mm"]
        assert other["box_mm"] == pytest.approx([width - x - w, y, w, h], abs=0.002)
        assert date.fromisoformat(other["date"]) in {day.date for day in SPREAD.days}
    left, right, *_ = turned["corners_mm"]
    assert left[0] < right[0]
    assert left[1] == right[1]
