"""The month overview on paper: every day once, what lasts in one piece, nothing lost."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from datetime import date
from itertools import combinations
from typing import Any

import pytest

from tests.paper.binder_kit import (
    HOLES,
    all_marks,
    check_keep_clear,
    check_words,
    document,
    layout,
    pdf,
    picture,
    texts,
)
from tests.support import sample_week
from tests.support.plans import all_day, at, config, files, planner, timed
from weeksync.errors import UsageError
from weeksync.language import week_rule
from weeksync.model.config import Config
from weeksync.model.fields import Weekday
from weeksync.model.files import TermBreak
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import MonthPlan
from weeksync.model.week import Month, WeekRule
from weeksync.paper.document import Page
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Words
from weeksync.paper.month_sheet import month_pages
from weeksync.paper.sheet import Edge, Side

MARCH = Month(2027, 3)
SIX_ROWS = Month(2027, 8)
"""It begins on a Sunday and has 31 days, so that weeks from Monday on need six rows."""


def plan(
    *occurrences: Occurrence, month: Month = MARCH, rule: WeekRule | None = None, **parts: Any
) -> MonthPlan:
    """A month of the household in London."""
    return planner(files(**parts), occurrences, rule=rule or WeekRule()).month(month)


def simple(size: str = "A4", **style: object) -> Layout:
    """The layout of that household."""
    return layout(size, settings=config(), **style)  # type: ignore[arg-type]


def fills(page: Page, colour: str) -> list[Fill]:
    """The shapes of a colour."""
    return [one for one in all_marks(page.marks) if isinstance(one, Fill) and one.colour == colour]


def numbers(page: Page) -> list[str]:
    """What stands as a heading in the grid, in the order of reading."""
    found = (one for one in all_marks(page.marks) if isinstance(one, Words))
    return [one.lines[0] for one in found if one.role == "h2"]


# Days and weeks


def test_every_day_stands_there_once_with_the_number_of_its_week() -> None:
    """Week numbers before the rows, days of the neighbouring months at the edges."""
    page = month_pages(simple(), plan())[0]
    days = [str(n) if n > 1 else "1 Mar" for n in range(1, 32)]
    expected: list[str] = []
    for week, number in enumerate(("9", "10", "11", "12", "13")):
        row = days[week * 7 : week * 7 + 7]
        expected += [number, *row]
    expected += ["1 Apr", "2", "3", "4"]
    assert numbers(page) == expected


def test_a_month_of_six_rows_stays_on_its_sheet() -> None:
    """August 2027: six weeks, 30 to 35, from 26 July to 5 September."""
    page = month_pages(simple(), plan(month=SIX_ROWS))[0]
    found = numbers(page)
    assert [found[at] for at in range(0, 48, 8)] == ["30", "31", "32", "33", "34", "35"]
    check_words(simple(), [page])


@pytest.mark.parametrize(
    ("locale", "first", "weeks"),
    [
        ("en_GB", None, ["53", "1", "2", "3", "4"]),
        ("en_US", None, ["1", "2", "3", "4", "5", "6"]),
        ("ar_EG", None, ["١", "٢", "٣", "٤", "٥", "٦"]),
        ("pt_PT", None, ["52", "1", "2", "3", "4", "5"]),
        ("en_GB", Weekday.SUNDAY, ["52", "1", "2", "3", "4", "5"]),
    ],
)
def test_weeks_are_numbered_by_the_households_rule(
    locale: str, first: Weekday | None, weeks: list[str]
) -> None:
    """January 2027 after a year of 53 ISO weeks, by CLDR's rules of several regions.

    Week 1 of en_US and ar_EG is that of 1 January, a Friday; the others need four days of a week in
    the year. Weeks begin on Monday, Sunday, Saturday. Worked out by hand.
    """
    region = locale.split("_")[1]
    rule = week_rule(locale, region, first)
    on = layout("A4", settings=_in_region(locale, region, first))
    page = month_pages(on, sample_week.month(Month(2027, 1), rule))[0]
    found = numbers(page)
    assert [found[at] for at in range(0, len(found), 8)] == weeks


def _in_region(locale: str, region: str, first: Weekday | None) -> Config:
    settings = sample_week.config(locale, first)
    home = replace(settings.household, region=region)
    return replace(settings, household=home)


# What lasts several days


def stay(**keys: object) -> Occurrence:
    """From Thursday 18 to Tuesday 30 March."""
    return all_day("Cousin", date(2027, 3, 18), 13, area="home", **keys)


def test_what_lasts_is_one_shape_in_each_week() -> None:
    """Three rows: a part, a whole week, a part; each reaches to the edge it goes beyond."""
    page = month_pages(simple(), plan(stay()))[0]
    found = [one for one in fills(page, "#eef1e0") if one.box.w > 6]
    widths = [one.box.w for one in found]
    day = widths[1] / 7
    assert [round(width / day) for width in widths] == [4, 7, 2]
    assert texts(page).count("Cousin") == 3


def test_nothing_crosses_a_shape_that_lasts() -> None:
    """Seen in the picture: between its edges the tint of a week is the same from end to end."""
    on = simple()
    page = month_pages(on, plan(stay()))[0]
    whole = [one for one in fills(page, "#eef1e0") if one.box.w > 6][1].box
    drawn = picture(pdf(document(on, [page])), dpi=200)
    scale = 200 / 25.4
    y = round((whole.bottom - 0.6) * scale)
    row = [
        drawn.getpixel((x, y))
        for x in range(round((whole.x + 25) * scale), round((whole.right - 1) * scale))
    ]
    assert len(row) > 5 / 7 * whole.w * scale
    assert len(set(row)) == 1


def test_a_break_from_lessons_is_apart_from_an_event_in_greyscale() -> None:
    """It has no letter of an area and the tint of no area; both have a title."""
    easter = TermBreak(name="Easter break", start=date(2027, 3, 15), end=date(2027, 3, 28))
    page = month_pages(simple(), plan(stay(), term_breaks=(easter,)))[0]
    ground = [one for one in fills(page, "#f2f2f2") if one.edge_colour]
    assert len(ground) == 2
    assert texts(page).count("Easter break") == 2
    shapes = [one for one in fills(page, "#eef1e0") if one.box.w > 6]
    assert all(a.box.y != b.box.y for a in ground for b in shapes)


def test_more_lanes_than_have_room_are_told_on_the_next_sheet() -> None:
    """Twenty stays at once: those without a lane stand in the list of their first day."""
    stays = [all_day(f"Stay {n}", date(2027, 3, 9), 3) for n in range(20)]
    pages = month_pages(simple("A5"), plan(*stays))
    printed = "\n".join(text for page in pages for text in texts(page))
    for one in stays:
        assert f"{one.title}\n" in printed or f"{one.title}, until" in printed
    assert "→" in "".join(texts(pages[0]))


# What has no room


def crowded() -> list[Occurrence]:
    """Thirty events on one Tuesday, and one whose title is a paragraph."""
    day = "2027-03-23"
    found = [
        timed(f"Engagement number {n}", at(f"{day} {8 + n // 4:02}:{n % 4 * 15:02}"))
        for n in range(30)
    ]
    return [*found, timed("A long title " * 30, at("2027-03-10 10:00"))]


@pytest.mark.parametrize("size", HOLES)
def test_what_has_no_room_stands_on_the_next_sheet_and_the_day_says_so(size: str) -> None:
    """Every event is printed once, with its time; the reference names how many and the page."""
    on = simple(size)
    occurrences = crowded()
    pages = month_pages(on, plan(*occurrences))
    check_words(on, pages)
    assert len(pages) > 1
    assert all(page.continuation for page in pages[1:])
    # one text that fills columns stands in several pieces: words count, not lines
    printed = " ".join(text for page in pages for text in texts(page)).split()
    for n in range(30):
        assert printed.count(str(n)) >= 1
    assert printed.count("Engagement") == 30
    assert printed.count("long") == 30
    first = " ".join(texts(pages[0]))
    here = first.split().count("Engagement")
    assert f"{30 - here} more: page" in first or f"+{30 - here} → " in first


def test_a_title_that_is_cut_in_its_shape_is_whole_on_the_next_sheet() -> None:
    """One day of the calendar is left of it in this row."""
    title = "The whole of the choir from over the river with instruments"
    one = all_day(title, date(2027, 3, 28), 3)
    pages = month_pages(simple(), plan(one))
    assert any(text.endswith("…") for text in texts(pages[0]))
    rest = " ".join(text for page in pages[1:] for text in texts(page))
    assert title in rest


def test_an_empty_month_has_one_sheet() -> None:
    """White to write in."""
    assert len(month_pages(simple(), plan())) == 1


# What stands in a day


def test_holidays_pay_days_and_bills_stand_on_their_days_without_amounts() -> None:
    """The sample's week: Good Friday, a bill and a pay day; no figure of money."""
    on = layout()
    pages = month_pages(on, sample_week.month(MARCH))
    printed = "\n".join(text for page in pages for text in texts(page))
    assert "Good Friday" in printed
    assert "Bill: " in printed
    assert "Pay day: " in printed
    assert "£" not in printed


def test_a_title_is_text_and_nothing_else() -> None:
    """Signs of HTML stand as they are, in the PDF's text, too."""
    title = "<b>Tea & cake</b>"
    on = simple()
    pages = month_pages(on, plan(timed(title, at("2027-03-10 10:00"))))
    content = pdf(document(on, pages))
    assert title in _text_of(content).replace("\n", " ")


def _text_of(content: bytes) -> str:
    """What `pdftotext` (poppler) reads."""
    done = subprocess.run(["pdftotext", "-", "-"], input=content, capture_output=True, check=True)
    return done.stdout.decode()


# The sheet


@pytest.mark.parametrize("size", HOLES)
def test_the_sheet_lies_on_its_side_and_is_punched_along_its_top(size: str) -> None:
    """On whatever paper; a back along its foot; words where there is room for them."""
    on = simple(size)
    for side, edge in ((Side.RIGHT, Edge.TOP), (Side.LEFT, Edge.BOTTOM)):
        pages = month_pages(on, plan(stay()), side)
        check_words(on, pages)
        for page in pages:
            assert page.sheet.width_mm > page.sheet.height_mm
            assert page.sheet.punched(side) is edge


def test_nothing_is_printed_where_the_holes_go() -> None:
    """From left to right and from right to left, front and back."""
    for locale in ("en_GB", "ar_EG"):
        on = layout("A5", locale)
        pages: list[Page] = []
        for side in Side:
            pages += month_pages(on, sample_week.month(MARCH), side)
        made = document(on, pages)
        check_keep_clear(pdf(made), made.pages)


def test_large_print_is_large() -> None:
    """14 points, and labels as large (UKAAF G003)."""
    on = simple(type_pt=14, tick_mm=5, large=True)
    pages = month_pages(on, plan(stay(), *crowded()))
    check_words(on, pages)
    found = [one for page in pages for one in all_marks(page.marks) if isinstance(one, Words)]
    assert min(one.size_pt for one in found) == 14


def test_saving_ink_leaves_the_fills_off_and_the_letters_on() -> None:
    """White shapes with edges, letters in circles."""
    on = simple(ink_saving=True)
    page = month_pages(on, plan(stay()))[0]
    assert {one.colour or one.tone for one in all_marks(page.marks) if isinstance(one, Fill)} == {
        "#ffffff"
    }
    assert "H" in texts(page)


@pytest.mark.browser
def test_the_month_is_the_same_from_chromium() -> None:
    """Size, pages and words of one PDF are those of the other."""
    on = layout("A5")
    made = document(on, month_pages(on, sample_week.month(MARCH)))
    ours, theirs = pdf(made), pdf(made, "chromium")
    assert sorted(_text_of(ours).split()) == sorted(_text_of(theirs).split())
    for one, other in zip(picture(ours).size, picture(theirs).size, strict=True):
        assert abs(one - other) <= 1


def test_the_sample_stands_on_its_sheet_from_right_to_left() -> None:
    """The first weekday lies at the right, the numbers of the weeks beside it."""
    on = layout("A4", "ar_EG")
    rule = sample_week.rule_of("ar_EG")
    made = document(on, month_pages(on, sample_week.month(MARCH, rule)))
    page = made.pages[0]
    heads = [one for one in all_marks(page.marks) if isinstance(one, Words) and one.role == "h3"]
    names = [on.words.language.weekday((rule.first_weekday + n) % 7) for n in range(7)]
    places = {one.lines[0]: one.box.x for one in heads}
    assert sorted(names, key=lambda name: -places[name]) == names
    weeks = [one for one in all_marks(page.marks) if isinstance(one, Words) and one.role == "h2"]
    assert weeks[0].box.x > max(places.values())


@pytest.mark.parametrize("size", HOLES)
def test_texts_of_a_crowded_month_of_six_rows_do_not_lie_on_each_other(size: str) -> None:
    """On every sheet: no text begins within another one."""
    on = simple(size)
    stays = [all_day(f"Stay {n}", date(2027, 8, 3), 9, area="home") for n in range(4)]
    events = [timed(f"Event {n}", at(f"2027-08-{n + 1:02} 10:00"), area="stall") for n in range(31)]
    page = month_pages(on, plan(*stays, *events, month=SIX_ROWS))[0]
    found = [one for one in all_marks(page.marks) if isinstance(one, Words) and one.lines[0]]
    for one, other in combinations(found, 2):
        apart = (
            one.box.bottom <= other.box.y + 0.35
            or other.box.bottom <= one.box.y + 0.35
            or one.box.right <= other.box.x + 1.1
            or other.box.right <= one.box.x + 1.1
            or _ends(on, one) <= _starts(on, other) + 0.2
            or _ends(on, other) <= _starts(on, one) + 0.2
        )
        assert apart, (one, other)


def _width(on: Layout, one: Words) -> float:
    lead = on.measure.width_mm(f"{one.strong} ", one.size_pt, bold=True) if one.strong else 0.0
    return max(on.measure.width_mm(line, one.size_pt, bold=one.bold) for line in one.lines) + lead


def _starts(on: Layout, one: Words) -> float:
    spare = one.box.w - _width(on, one)
    return one.box.x + {"start": 0.0, "centre": spare / 2, "end": spare}[one.align]


def _ends(on: Layout, one: Words) -> float:
    return _starts(on, one) + _width(on, one)


def test_a_sheet_that_is_too_small_says_what_to_do() -> None:
    """Large print needs more than A6."""
    with pytest.raises(UsageError, match="as A4"):
        month_pages(simple("A6", type_pt=14, tick_mm=5, large=True), plan(month=SIX_ROWS))


def test_areas_are_told_apart_in_greyscale_and_in_black_and_white() -> None:
    """Of two events, the circles before them differ by their letters: colours are not needed."""
    on = simple()
    events = [timed(area, at("2027-03-10 10:00"), area=area) for area in ("home", "stall")]
    page = month_pages(on, plan(*events))[0]
    circles = [
        one.box
        for one in all_marks(page.marks)
        if isinstance(one, Fill) and one.radius_mm > 1 and one.box.y < page.sheet.height_mm - 20
    ]
    assert len(circles) == 2
    drawn = picture(pdf(document(on, [page])), dpi=300)
    scale = 300 / 25.4
    parts = []
    for box in circles:
        left, top = round(box.x * scale), round(box.y * scale)
        part = drawn.crop((left, top, left + round(box.w * scale), top + round(box.h * scale)))
        parts.append(part.point(lambda value: 255 * (value > 128)))  # nothing but black and white
    differing = sum(a != b for a, b in zip(parts[0].tobytes(), parts[1].tobytes(), strict=True))
    assert differing > 0.05 * len(parts[0].tobytes())
