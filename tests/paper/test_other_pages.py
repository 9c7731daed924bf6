"""Day pages, the sheet for the wall, check-ins, bills, pages to write on, the strip of changes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from tests.paper.binder_kit import (
    all_marks,
    check_keep_clear,
    check_words,
    darkness,
    document,
    layout,
    pdf,
    picture,
    texts,
)
from tests.support import sample_week
from weeksync.errors import UsageError
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.sheets import SizeName
from weeksync.model.week import Month
from weeksync.paper.bill_pages import bill_pages
from weeksync.paper.blank import PATTERNS, blank_pages
from weeksync.paper.changes_pages import changes_pages
from weeksync.paper.check_in_pages import check_in_pages
from weeksync.paper.content import Contents
from weeksync.paper.day_pages import day_pages
from weeksync.paper.document import Page
from weeksync.paper.fridge import fridge_pages
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Dots, Rule, Tick
from weeksync.paper.overflow import check
from weeksync.paper.sheet import Box, Side
from weeksync.paper.week_pages import spread_pages, week_page
from weeksync.plan import views

WHOLE = sample_week.spread()
COMMON = views.common(WHOLE)
MARCH = Month(2027, 3)
SIZES: tuple[SizeName, ...] = ("A4", "A5", "letter", "81x120")
CHANGES = ["Optician: Mon 22 Mar 10:00, before Mon 22 Mar 09:30", "Piano: gone"]
SINCE = "Changes since print (21 Mar 2027, 18:40)"


def items() -> list[MoneyItem]:
    """What moves in the sample's week."""
    return [item for day in WHOLE.days for item in day.money if not item.only_for]


def made(kind: Kind, on: Layout) -> tuple[Page, ...]:
    """The pages of a kind, as the command lays them out."""
    wall = replace(on.sheet.turned(), binding_mm=0.0)
    own = Contents(on.words, person="ines", amounts=True)
    theirs = views.for_person(WHOLE, "ines")
    pages = {
        Kind.SPREAD: lambda: spread_pages(on, COMMON),
        Kind.WEEK: lambda: week_page(on, COMMON),
        Kind.PERSON: lambda: week_page(on, views.for_person(COMMON, "dov"), name="Dov"),
        Kind.OWN: lambda: week_page(
            on, theirs, kind=Kind.OWN, contents=own, name="Ines", private=True
        ),
        Kind.DAYS: lambda: day_pages(on, COMMON),
        Kind.FRIDGE: lambda: fridge_pages(on.on(wall), COMMON),
        Kind.CHECK_IN: lambda: check_in_pages(on, WHOLE, "ines"),
        Kind.BILLS: lambda: bill_pages(on, MARCH, items()),
        Kind.CHANGES: lambda: changes_pages(on, COMMON, CHANGES, SINCE),
    }
    return pages[kind]()


KINDS = (
    Kind.SPREAD, Kind.WEEK, Kind.PERSON, Kind.OWN, Kind.DAYS, Kind.FRIDGE, Kind.CHECK_IN,
    Kind.BILLS, Kind.CHANGES,
)  # fmt: skip


@cache
def words_of(kind: Kind) -> str:
    """All that stands on the pages of a kind, on A4."""
    pages = made(kind, layout())
    return " ".join(" ".join(texts(page)) for page in pages).replace("\u00a0", " ")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_fits_every_size(kind: Kind, size: SizeName) -> None:
    """All text in bounds and none under the limit."""
    on = layout(size)
    if kind is Kind.FRIDGE and size == "81x120":
        with pytest.raises(UsageError, match="name a larger one"):
            made(kind, on)
        return
    pages = made(kind, on)
    check_words(on, pages)
    assert all(page.kind == kind.value or kind is Kind.PERSON for page in pages)


@pytest.mark.parametrize("locale", ["en_GB", "de_DE", "ar_EG", "fi_FI", "pt_BR", "uk_UA"])
@pytest.mark.parametrize("size", SIZES)
def test_nothing_is_cut_with_an_ellipsis(size: SizeName, locale: str) -> None:
    """Dates, names and amounts of every language have the room they need, on every sheet."""
    on = layout(size, locale)
    for kind in KINDS:
        if kind is Kind.FRIDGE and size == "81x120":
            continue
        for page in made(kind, on):
            assert [text for text in texts(page) if text.endswith("…")] == [], kind


@pytest.mark.parametrize("locale", ["en_GB", "ar_EG"])
def test_every_kind_comes_out_whole(locale: str) -> None:
    """In one PDF: each line at its place, the punch side white."""
    on = layout(locale=locale)
    pages = document(on, [page for kind in KINDS for page in made(kind, on)])
    content = pdf(pages)
    check(content, pages)
    upright = [page for page in pages.pages if not page.sheet.landscape]
    check_keep_clear(pdf(replace(pages, pages=tuple(upright))), upright)


@pytest.mark.browser
def test_every_kind_comes_out_whole_from_chromium() -> None:
    """From the same HTML."""
    on = layout("A5")
    pages = document(on, [page for kind in KINDS for page in made(kind, on)])
    check(pdf(pages, "chromium"), pages)


COMMON_KINDS = (
    Kind.SPREAD, Kind.WEEK, Kind.PERSON, Kind.DAYS, Kind.FRIDGE, Kind.CHANGES
)  # fmt: skip


@pytest.mark.parametrize("kind", COMMON_KINDS)
def test_no_common_sheet_gives_anything_away(kind: Kind) -> None:
    """Nothing that is only for Ines, no amount, no check-in."""
    said = words_of(kind)
    for private in ("Secret", "secret", "steady", "slept through", "£", "31.50", "77.77"):
        assert private not in said
    assert not any(page.private for page in made(kind, layout()))


def test_what_is_only_for_a_person_stands_on_a_sheet_of_its_own() -> None:
    """With the amounts; and every page of it is marked as private, continuations too."""
    said = words_of(Kind.OWN)
    assert "Wrap the secret present" in said
    assert "Secret plan" in said
    assert "£77.77" in said
    assert "steady" not in said
    for kind in (Kind.OWN, Kind.CHECK_IN, Kind.BILLS):
        assert all(page.private for page in made(kind, layout("A6")))


def test_a_persons_week_holds_only_that_persons_things() -> None:
    """Dov's shifts are on it, Ines's optician is not; his letter is not repeated."""
    on = layout()
    contents = Contents(on.words, person="dov")
    pages = week_page(on, views.for_person(COMMON, "dov"), contents=contents, name="Dov")
    said = " ".join(texts(pages[0]))
    assert said.startswith("Week 12: Dov")
    assert "Dov day shift" in said
    assert "Optician" not in said
    assert "(D)" not in said.replace("\u00a0", " ")


def test_check_ins_are_printed_and_the_rest_has_lines() -> None:
    """Monday's answers stand there with its energy ticked; days without have lines and boxes."""
    said = words_of(Kind.CHECK_IN)
    assert "How do you feel? steady" in said
    assert "Grateful for the bread rose" in said.replace("; ", " ")
    pages = made(Kind.CHECK_IN, layout())
    ticks = [one for page in pages for one in all_marks(page.marks) if isinstance(one, Tick)]
    assert len(ticks) == 7 * 5
    written = [day for day in WHOLE.days if any(one.person == "ines" for one in day.check_ins)]
    assert sum(one.done for one in ticks) == len(written)
    assert len(pages) == 1


def test_bills_are_listed_with_their_sums() -> None:
    """By kind and day, paid ones ticked, the sum worked out by hand: 31.50 and 42.00."""
    said = words_of(Kind.BILLS)
    assert "Bills and pay, March 2027" in said
    assert "£31.50" in said
    assert "Together: £73.50" in said
    assert "77.77" not in said
    assert said.index("Bills") < said.index("Pay ")
    ticks = [one for one in all_marks(made(Kind.BILLS, layout())[0].marks) if isinstance(one, Tick)]
    assert next(one.done for one in ticks) is True  # the broadband was paid


@pytest.mark.parametrize("kind", [Kind.CHECK_IN, Kind.BILLS])
def test_lines_to_write_on_go_down_to_the_foot_of_the_page(kind: Kind) -> None:
    """No more than 8 % of the height of an A4 sheet is left white below the last of them."""
    on = layout()
    (page,) = made(kind, on)
    area = on.area(page.side)
    rules = [one for one in all_marks(page.marks) if isinstance(one, Rule)]
    assert all(one.y1 <= area.bottom + 0.1 for one in rules)
    assert max(one.y1 for one in rules) > area.bottom - 0.08 * area.h


def test_an_unknown_amount_has_a_line_to_write_it_on() -> None:
    """And it is said that it is not in the sum."""
    one = MoneyItem(MoneyKind.BILL, "milk", "Milk", sample_week.MONDAY, sample_week.MONDAY)
    pages = bill_pages(layout(), MARCH, [one])
    said = " ".join(texts(pages[0]))
    assert "1 without an amount" in said
    dotted = [mark for mark in all_marks(pages[0].marks) if isinstance(mark, Rule) and mark.dash]
    assert len(dotted) == 1


def test_the_wall_has_a_column_a_person() -> None:
    """Everybody first; who is alone in something has a column, what several do is everybody's."""
    page = made(Kind.FRIDGE, layout())[0]
    heads = [one.lines[0] for one in page.words() if one.role == "h2" and one.bold]
    assert heads[:2] == ["Everybody", "Ines"]
    places = {one.lines[0]: one.box.x for one in page.words() if one.role == "h2"}
    shift = next(one for one in page.words() if "Dov day shift" in " ".join(one.lines))
    both = [one for one in page.words() if "(I\u00a0P" in " ".join(one.lines)]
    assert both
    assert places["Dov"] <= shift.box.x < places["Dov"] + 45
    assert all(one.box.x < places["Ines"] for one in both)
    assert page.sheet.landscape
    assert "Bill:" not in words_of(Kind.FRIDGE)


def test_each_day_has_a_page_with_room() -> None:
    """Seven of them, on both sides of leaves; at least 25 lines to write on each, on A4."""
    pages = [page for page in made(Kind.DAYS, layout()) if not page.continuation]
    assert [page.side for page in pages] == [Side.RIGHT, Side.LEFT] * 3 + [Side.RIGHT]
    for page in pages:
        lines = [one for one in all_marks(page.marks) if isinstance(one, Rule)]
        assert len(lines) > 25
    assert pages[0].title == "Monday, 22 March 2027"


@pytest.mark.parametrize("pattern", PATTERNS)
def test_pages_to_write_on_are_all_but_white(pattern: str) -> None:
    """Lines, dots, squares or boxes: under 3 % dark, and not empty."""
    on = layout("A5")
    pages = blank_pages(on, pattern)  # type: ignore[arg-type]
    content = pdf(document(on, pages))
    check_keep_clear(content, pages)
    for at, page in enumerate(pages):
        dark = darkness(picture(content, at), Box(0, 0, 148, 210))
        assert 0.001 < dark < 0.03
        marks = list(all_marks(page.marks))
        assert any(isinstance(one, Dots) for one in marks) == (pattern == "dots")
        assert any(isinstance(one, Tick) for one in marks) == (pattern == "ticks")


def test_the_strip_of_changes_has_boxes_and_a_line_to_cut_along() -> None:
    """Each change with a box for what is copied; the dashed line lies below the last one."""
    page = made(Kind.CHANGES, layout())[0]
    marks = list(all_marks(page.marks))
    assert len([one for one in marks if isinstance(one, Tick)]) == len(CHANGES)
    cut = [one for one in marks if isinstance(one, Rule) and one.dash]
    assert len(cut) == 1
    assert cut[0].y1 > max(words.box.bottom for words in page.words())
    assert "Nothing has changed." in texts(changes_pages(layout(), COMMON, [], SINCE)[0])
