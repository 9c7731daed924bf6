"""A year on paper: every day once, terms and stays in one piece, names below or behind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from tests.paper.binder_kit import (
    all_marks,
    check_keep_clear,
    check_words,
    document,
    layout,
    pdf,
    texts,
)
from tests.support import sample_week
from tests.support.plans import all_day, config, files, planner
from weeksync.errors import UsageError
from weeksync.language import week_rule
from weeksync.model.files import Term, TermBreak
from weeksync.model.money import Bill, PayDay
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import MonthPlan
from weeksync.model.week import Month
from weeksync.paper.document import Page
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Group, Words
from weeksync.paper.sheet import Side
from weeksync.paper.year_strip import year_pages
from weeksync.paper.year_strip_names import BILL, BOTH, PAY, TERM

YEAR = [Month(2027, number) for number in range(1, 13)]

AUTUMN = Term(id="autumn", name="Autumn", start=date(2027, 9, 6), end=date(2027, 12, 17))
HALF_TERM = TermBreak(name="Half-term", start=date(2027, 10, 25), end=date(2027, 10, 31))


def plans(*occurrences: Occurrence, year: int = 2027, **parts: Any) -> list[MonthPlan]:
    """The months of a year of the household in London."""
    asked = planner(files(**parts), occurrences)
    return [asked.month(Month(year, number)) for number in range(1, 13)]


def simple(size: str = "A4", **style: Any) -> Layout:
    """The layout of that household."""
    return layout(size, settings=config(), **style)  # type: ignore[arg-type]


def words(page: Page) -> list[Words]:
    """The texts of the strips, which are those before the signs and names below them."""
    group = next(one for one in page.marks if isinstance(one, Group))
    return [one for one in all_marks([group]) if isinstance(one, Words)]


def strips(page: Page) -> list[list[Words]]:
    """The texts by month: they stand under the name of their strip."""
    found = words(page)
    heads = [one for one in found if one.role == "h2"]
    assert len(heads) == 12
    edges = [one.box.x for one in heads]
    step = edges[1] - edges[0]
    return [
        [one for one in found if edge - 0.01 <= one.box.x < edge + step - 0.01] for edge in edges
    ]


@pytest.mark.parametrize(("year", "february"), [(2027, 28), (2028, 29)])
def test_every_day_of_the_year_stands_in_its_strip(year: int, february: int) -> None:
    """In order, from the first to the last, in a leap year, too."""
    months = plans(year=year)
    lengths = [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    for strip, length in zip(strips(year_pages(simple(), year, months)[0]), lengths, strict=True):
        days: list[int] = []
        for one in strip:
            text = one.lines[0]
            if text.isdigit() and one.tone == "ink":
                days.append(int(text))
        assert days == list(range(1, length + 1))


@pytest.mark.parametrize(
    ("locale", "year", "expected"),
    [
        ("en_GB", 2026, range(2, 54)),
        ("en_GB", 2027, range(1, 53)),
        ("en_US", 2027, [*range(2, 53), 1]),
    ],
)
def test_the_first_day_of_each_week_has_its_number(
    locale: str, year: int, expected: Sequence[int]
) -> None:
    """By the household's rule, worked out by hand.

    2026 ends with ISO week 53. In America the week of 1 January is week 1 wherever it begins: the
    first Sunday of 2027 begins week 2, the last one week 1 of 2028 (CLDR).
    """
    region = locale.split("_")[1]
    settings = sample_week.config(locale)
    home = replace(settings.household, region=region)
    on = layout("A4", settings=replace(settings, household=home))
    rule = week_rule(locale, region, None)
    months = [sample_week.month(Month(year, number), rule) for number in range(1, 13)]
    page = year_pages(on, year, months)[0]
    starts = [
        int(one.lines[0])
        for strip in strips(page)
        for one in strip
        if one.tone == "soft" and one.lines[0].isdigit()
    ]
    assert starts == list(expected)


# What lasts


def shapes(page: Page, colour: str) -> list[Fill]:
    """The bars of a colour, those of the key left out."""
    group = next(one for one in page.marks if isinstance(one, Group))
    return [one for one in all_marks([group]) if isinstance(one, Fill) and one.colour == colour]


def test_a_term_is_one_bar_in_each_month_and_its_break_a_hatched_one() -> None:
    """From 6 September to 17 December, less half-term: October has two pieces and a break."""
    page = year_pages(simple(), 2027, plans(terms=(AUTUMN,), term_breaks=(HALF_TERM,)))[0]
    bars = shapes(page, TERM)
    row = bars[0].box.h / 25  # 6 to 30 September
    assert [round(one.box.h / row) for one in bars] == [25, 24, 30, 17]
    hatched = [one for one in shapes(page, "#ffffff") if one.edge_colour]
    assert [round(one.box.h / row) for one in hatched] == [7]


def test_a_stay_over_the_end_of_a_month_goes_on_in_the_next_strip() -> None:
    """From 29 January to 2 February: three days and two."""
    stay = all_day("Cousin", date(2027, 1, 29), 5, area="home")
    page = year_pages(simple(), 2027, plans(stay))[0]
    bars = shapes(page, "#eef1e0")
    assert len(bars) == 2
    assert bars[0].box.h > bars[1].box.h
    assert bars[1].box.h / bars[0].box.h == pytest.approx(2 / 3, abs=0.05)
    printed = texts(page)
    assert "29 January – 2 February Cousin (H)" in printed


def test_stays_at_the_same_time_lie_beside_each_other() -> None:
    """A third at once stands among the names only."""
    stays = [all_day(f"Stay {n}", date(2027, 6, 1 + n), 10, area="home") for n in range(3)]
    page = year_pages(simple(), 2027, plans(*stays))[0]
    first, second = shapes(page, "#eef1e0")
    assert first.box.x != second.box.x
    assert abs(first.box.x - second.box.x) > first.box.w
    assert all(any(f"Stay {n} (H)" in text for text in texts(page)) for n in range(3))


# Money and holidays


def test_pay_days_and_bills_have_signs_and_no_amounts() -> None:
    """A plus, a minus, both on one day; what they mean stands below."""
    pays = (
        PayDay(
            id="wages",
            title="Wages",
            amount=100_000,
            currency="GBP",
            first=date(2027, 1, 25),
            repeats="FREQ=MONTHLY",
        ),
    )
    bills = (
        Bill(
            id="rent",
            title="Rent",
            amount=50_000,
            currency="GBP",
            first=date(2027, 1, 25),
            repeats="FREQ=MONTHLY",
        ),
        Bill(
            id="water",
            title="Water",
            amount=3_000,
            currency="GBP",
            first=date(2027, 1, 11),
            repeats="FREQ=MONTHLY",
        ),
    )
    page = year_pages(simple(), 2027, plans(pay_days=pays, bills=bills))[0]
    signs = [one.lines[0] for one in words(page) if one.lines[0] in {PAY, BILL, BOTH}]
    assert signs.count(BILL) + signs.count(BOTH) >= 12
    assert BOTH in signs
    printed = texts(page)
    assert {"Pay day", "Bill", "Pay day and bill"} <= set(printed)
    assert not any("£" in text for text in printed)


def test_holidays_are_bold_and_named_below() -> None:
    """New Year's Day and Good Friday of England (the holidays library's)."""
    page = year_pages(simple(), 2027, plans())[0]
    january = strips(page)[0]
    bold = [one.lines[0] for one in january if one.bold and one.role != "h2"]
    assert bold == ["1"]
    printed = texts(page)
    assert "1 January New Year's Day" in printed
    assert "26 March Good Friday" in printed


# The sheet


@pytest.mark.parametrize("size", ["A4", "A5", "A6", "letter", "half-letter", "95x171"])
def test_the_year_fits_with_all_its_names(size: str) -> None:
    """On one sheet; what has no room below goes to a second one, in order, nothing lost."""
    stays = [all_day(f"Stay {n}", date(2027, 1, 4 + n), 2) for n in range(0, 28, 3)]
    on = simple(size)
    pages = year_pages(on, 2027, plans(*stays))
    check_words(on, pages)
    printed = " ".join(text for page in pages for text in texts(page))
    for one in stays:
        assert one.title in printed
    assert "Boxing Day" in printed
    if len(pages) > 1:
        assert "page 2" in " ".join(texts(pages[0]))
        assert all(page.continuation for page in pages[1:])


@pytest.mark.parametrize("size", ["A6", "A4"])
def test_days_do_not_run_into_each_other(size: str) -> None:
    """A line a day, and two months apart."""
    page = year_pages(simple(size), 2027, plans())[0]
    for strip in strips(page):
        days = [one for one in strip if one.tone == "ink" and one.lines[0].isdigit()]
        for one, other in pairwise(days):
            assert other.box.y - one.box.y >= one.line_mm - 0.03


def test_a_sheet_that_is_too_small_says_what_to_do() -> None:
    """31 lines of 7 points do not stand on 120 mm, nor those of large print on A5."""
    with pytest.raises(UsageError, match=r"81\.0 × 120\.0 mm"):
        year_pages(simple("81x120"), 2027, plans())
    with pytest.raises(UsageError, match="14"):
        year_pages(simple("A5", type_pt=14.0, large=True), 2027, plans())


def test_nothing_is_printed_where_the_holes_go() -> None:
    """On both sides, and from right to left."""
    for locale in ("en_GB", "ar_EG"):
        on = layout("A6", locale)
        months = [sample_week.month(month) for month in YEAR]
        pages = [page for side in Side for page in year_pages(on, 2027, months, side)]
        made = document(on, pages)
        check_keep_clear(pdf(made), made.pages)


def test_a_year_without_plans_has_its_days_all_the_same() -> None:
    """Nothing is known of them."""
    page = year_pages(simple(), 2027, [])[0]
    assert sum(one.lines[0].isdigit() for one in words(page) if one.tone == "ink") == 365
