"""The test sheet, and the printer's numbers that are read off it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.paper.binder_kit import all_marks, darkness, document, layout, pdf, picture, texts
from weeksync.errors import UsageError
from weeksync.model.sheets import SizeName
from weeksync.paper.marks import Rule
from weeksync.paper.printer import Printer, as_json, from_json
from weeksync.paper.printer_questions import line_mm, printer_of, questions
from weeksync.paper.sheet import Box, Sheet, Side
from weeksync.paper.test_sheet import CROSS_MM, REACH_MM
from weeksync.paper.test_sheet import test_pages as sheet_pages

SIZES: tuple[SizeName, ...] = ("A4", "A5", "letter", "half-letter", "A6")
A4 = Sheet(210, 297)


def lines(size: SizeName, page: int = 0) -> list[Rule]:
    """The strokes of a side."""
    marks = sheet_pages(layout(size))[page].marks
    return [one for one in all_marks(marks) if isinstance(one, Rule)]


@pytest.mark.parametrize("size", SIZES)
def test_strokes_stand_a_millimetre_apart_from_every_edge(size: SizeName) -> None:
    """1 to 20 mm in, from all four edges, each beside the last one."""
    found = [one for one in lines(size) if one.tone == "ink" and one.width_mm < 0.5]
    on = layout(size).sheet
    reach = set(range(1, REACH_MM + 1))
    level = [one for one in found if one.y1 == one.y2 and one.x2 - one.x1 < 3]
    upright = [one for one in found if one.x1 == one.x2 and one.y2 - one.y1 < 3]
    assert {round(one.y1, 3) for one in level} >= reach
    assert {round(on.height_mm - one.y1, 3) for one in level} >= reach
    assert {round(one.x1, 3) for one in upright} >= reach
    assert {round(on.width_mm - one.x1, 3) for one in upright} >= reach


def test_front_and_back_are_there_with_a_cross_in_the_middle() -> None:
    """Seen in the PDF, at the same place on both sides; the strokes reach to the edge."""
    on = layout("A4")
    pages = sheet_pages(on)
    content = pdf(document(on, pages))
    assert [page.side for page in pages] == [Side.RIGHT, Side.LEFT]
    for at in (0, 1):
        drawn = picture(content, at, 300)
        for box in (Box(104.7, 145, 0.6, 7), Box(101.5, 148.2, 7, 0.6)):
            assert darkness(drawn, box, 300) > 0.2, at
    front = picture(content, 0, 300)
    assert darkness(front, Box(80, 0.7, 8, 0.6), 300) > 0.02
    assert CROSS_MM == 5


@pytest.mark.parametrize("size", SIZES)
def test_the_line_to_measure_is_as_long_as_it_says(size: SizeName) -> None:
    """100 mm, 50 on narrow paper: no fault of drawing is taken for one of the printer."""
    long = line_mm(layout(size).sheet)
    assert any(one.x2 - one.x1 == pytest.approx(long) and one.y1 == one.y2 for one in lines(size))
    assert f"{long:.0f} mm" in " ".join(texts(sheet_pages(layout(size))[0]))


def test_the_questions_stand_on_the_side_they_are_about() -> None:
    """As the command asks them."""
    front, back = (" ".join(texts(page)) for page in sheet_pages(layout("A4")))
    for one in questions(A4):
        assert str(one.text) in (back if one.on_back else front)


def test_paper_that_is_too_small_is_told() -> None:
    """With what to write into config.toml."""
    with pytest.raises(UsageError, match=r'paper = "A4"'):
        sheet_pages(layout("81x120"))


def test_a_landscape_sheet_is_printed_upright() -> None:
    """Edges are named as the paper lies in the printer."""
    on = layout("A4")
    pages = sheet_pages(replace(on, sheet=on.sheet.turned()))
    assert {(page.sheet.width_mm, page.sheet.height_mm) for page in pages} == {(210, 297)}


# The numbers


def test_a_printer_without_faults_has_none() -> None:
    """What is measured is what is printed."""
    answers: dict[str, float | bool] = {
        "line": 100, "top": 0, "right": 0, "bottom": 0, "left": 0, "front_x": 105,
        "front_y": 148.5, "by_hand": False, "turned": False, "back_x": 105, "back_y": 148.5,
    }  # fmt: skip
    assert set(answers) == {one.key for one in questions(A4)}
    assert printer_of(answers, A4) == printer_of({}, A4) == Printer()
    assert Printer().cautions(A4) == ()


def test_what_is_measured_becomes_what_is_corrected() -> None:
    """Line 97 mm long, strips of 4 and 6 mm, the back 2 mm right and 1 mm high, upside down."""
    found = printer_of(
        {"line": 97, "top": 4, "left": 6, "back_x": 107, "back_y": 147.5, "turned": True}, A4
    )
    assert found == Printer(
        top=4, left=6, percent=97, back_right=2, back_down=-1, turned=True, both_sides=True
    )
    assert found.margin_mm == 6
    assert not printer_of({"by_hand": True}, A4).both_sides
    said = " ".join(map(str, found.cautions(replace(A4, margin_mm=5))))
    assert "97" in said
    assert "margin_mm = 6" in said
    assert len(found.cautions(A4)) == 1


@pytest.mark.parametrize(
    "answers", [{"top": 80}, {"line": 10}, {"back_x": 10}, {"left": -1}, {"front_y": 400}]
)
def test_a_number_that_no_printer_has_is_told(answers: dict[str, float]) -> None:
    """With its value and the remedy."""
    with pytest.raises(UsageError, match="measure again"):
        printer_of(dict(answers), A4)


@given(
    printer=st.builds(
        Printer,
        top=st.floats(0, 40),
        right=st.floats(0, 40),
        percent=st.floats(80, 120),
        back_right=st.floats(-15, 15),
        back_down=st.floats(-15, 15),
        turned=st.booleans(),
        both_sides=st.booleans(),
    )
)
def test_numbers_are_kept_as_they_are(printer: Printer) -> None:
    """Written and read again."""
    assert from_json(as_json(printer), "state/printer.json") == printer


@pytest.mark.parametrize(
    "text",
    [
        "", "{}", "[]", "null", '{"format": 2}', '{"format": 1, "top": "4"}', "\x00",
        '{"format": 1, "top": 99}', '{"format": 1, "unknown": 1}', '{"format": 1, "turned": 1}',
        '{"format": 1, "top": true}', '{"format": 1, "top": NaN}',
    ],
)  # fmt: skip
def test_a_damaged_file_is_told_with_its_name(text: str) -> None:
    """And what to do."""
    with pytest.raises(UsageError, match=r"state/printer\.json|measure again"):
        from_json(text, "state/printer.json")


def test_an_older_file_with_fewer_numbers_is_read() -> None:
    """What is not said has no fault."""
    assert from_json(json.dumps({"format": 1, "top": 4.2}), "x") == Printer(top=4.2)
