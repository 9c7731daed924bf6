"""How much ink a page takes, measured on the PDF itself."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from tests.paper.binder_kit import document, layout, pdf
from tests.support import sample_week
from weeksync.errors import UsageError
from weeksync.model.week import Month
from weeksync.paper.bands import Band, decorate
from weeksync.paper.document import Page
from weeksync.paper.habit_sheet import habit_pages
from weeksync.paper.ink import AIM, TOO_MUCH, coverage, ink_line
from weeksync.paper.layout import Layout
from weeksync.paper.month_sheet import month_pages
from weeksync.paper.sheet import Side
from weeksync.paper.year_strip import year_pages


def printed(picture: Image.Image) -> bytes:
    """A PDF of one page that is a picture."""
    to = BytesIO()
    picture.save(to, "PDF", resolution=72)
    return to.getvalue()


@pytest.mark.parametrize("grey", [0, 64, 191, 255])
def test_an_even_grey_is_its_own_coverage(grey: int) -> None:
    """White 0, black 1, and what lies between in proportion."""
    found = coverage(printed(Image.new("L", (200, 300), grey)))
    assert found == pytest.approx((1 - grey / 255,), abs=0.01)


def test_half_a_page_is_half_the_ink() -> None:
    """A black half; and pages are measured one by one."""
    page = Image.new("L", (200, 300), 255)
    page.paste(0, (0, 0, 100, 300))
    assert coverage(printed(page)) == pytest.approx((0.5,), abs=0.01)


def test_what_is_no_pdf_is_told() -> None:
    """By a sentence, not by a library's error."""
    with pytest.raises(UsageError, match="no PDF"):
        coverage(b"no PDF at all")


def test_a_page_with_much_ink_is_told_what_helps() -> None:
    """Above 15 % (common practice); below it there is the figure alone."""
    assert "--ink-saving" in str(ink_line(1, "Week 12", TOO_MUCH + 0.01))
    assert str(ink_line(2, "Week 12", 0.0312)) == "page 2, Week 12: 3.1 % ink"


def sheets(on: Layout) -> list[Page]:
    """A habit page, a month and a year."""
    months = [sample_week.month(Month(2027, number)) for number in range(1, 13)]
    return [
        *(one.page for one in habit_pages(on, sample_week.spread(), Side.RIGHT)),
        *month_pages(on, months[2]),
        *year_pages(on, 2027, months),
    ]


@pytest.mark.parametrize("size", ["A4", "A5"])
def test_sheets_stay_under_the_aim_and_saving_saves(size: str) -> None:
    """Under 8 % each, with a band, too; without fills every page takes less."""
    usual, saving = layout(size), layout(size, ink_saving=True)  # type: ignore[arg-type]
    plain = coverage(pdf(decorate(document(usual, sheets(usual)), Band())))
    assert max(plain) < AIM
    saved = coverage(pdf(document(saving, sheets(saving))))
    assert len(saved) == len(plain)
    for less, more in zip(saved, plain, strict=True):
        assert less < more
