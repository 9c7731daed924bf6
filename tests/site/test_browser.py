"""The pages in Chromium, opened from a plain folder, as a person sees and prints them."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import pypdf
import pytest
from playwright.sync_api import Browser, expect

from tests.support import sample_week
from tests.support.chromium import chromium, looking
from tests.support.sample_week import MONDAY, at, occurrence
from weeksync.model.fields import DayPart
from weeksync.model.settings import Paper
from weeksync.model.spread import DayOccurrence
from weeksync.read.checked import checked
from weeksync.site import SiteInput, own_pages
from weeksync.site.pages import pages

pytestmark = pytest.mark.browser

WEDNESDAY = datetime(2027, 3, 24, 9, tzinfo=UTC)
NAMES = ("index", "2027-W12", "2027-W13", "2027-03", "problems")
LONG = "Donaudampfschifffahrtsgesellschaftskapitänswitwenrentenauszahlungsstelle" * 3


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def written(folder: Path, inputs: SiteInput) -> Path:
    """Both trees as files."""
    for name, tree in (("site", pages(inputs)), ("own", own_pages(inputs))):
        (folder / name).mkdir()
        for file, content in tree.items():
            (folder / name / file).write_bytes(content)
    return folder / "site"


def crowded() -> SiteInput:
    """The sample with twelve more events on Monday and a title without an end on Tuesday."""
    inputs = sample_week.inputs()
    week = inputs.weeks[1]
    more = tuple(
        DayOccurrence(
            occurrence(f"Extra {n:02}", at(MONDAY, "13:00"), at(MONDAY, "13:30")),
            DayPart.AFTERNOON,
        )
        for n in range(12)
    )
    monday, tuesday = week.days[0], week.days[1]
    endless = tuesday.occurrences[0]._replace(
        occurrence=replace(tuesday.occurrences[0].occurrence, title=LONG)
    )
    days = (
        replace(monday, occurrences=(*monday.occurrences, *more)),
        replace(
            tuesday,
            occurrences=(endless, *tuesday.occurrences[1:]),
            holidays=(LONG,),
            own=(("Meals", LONG), *tuesday.own[1:]),
        ),
        *week.days[2:],
    )
    return replace(inputs, weeks=(inputs.weeks[0], replace(week, days=days), inputs.weeks[2]))


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's site in a plain folder."""
    return written(tmp_path_factory.mktemp("plain folder"), sample_week.inputs())


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The crowded site."""
    return written(tmp_path_factory.mktemp("crowded"), crowded())


@pytest.fixture(scope="module")
def egypt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site in Arabic, from right to left."""
    return written(tmp_path_factory.mktemp("egypt"), sample_week.inputs("ar_EG"))


WIDTHS = [
    *(("site", width) for width in (320, 390, 720, 800, 1024, 1100, 1280, 1920)),
    *(("full", width) for width in (320, 800, 1100, 1280)),
    *(("egypt", width) for width in (320, 800, 1280)),
]


@pytest.mark.parametrize(("which", "width"), WIDTHS)
def test_nothing_scrolls_sideways(
    browser: Browser, which: str, width: int, request: pytest.FixtureRequest
) -> None:
    """On no width, with no title however long, in either direction; and nothing is complained of.

    `looking` fails the test where the console says something or a request leaves the folder.
    """
    folder: Path = request.getfixturevalue(which)
    with looking(browser, now=WEDNESDAY, width=width) as page:
        for name in (*NAMES, "../own/2027-W12", "../own/index"):
            page.goto((folder / f"{name}.html").resolve().as_uri())
            over = page.evaluate(
                "() => [...document.querySelectorAll('body *')]"
                ".filter((e) => !e.closest('.vh, .skip, svg, thead, h3, .shapes'))"
                ".filter((e) => { const r = e.getBoundingClientRect();"
                " return r.width && (r.right > innerWidth + 1 || r.left < -1); })"
                ".map((e) => e.outerHTML.slice(0, 120))"
            )
            assert over == [], name
            assert page.evaluate(
                "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
            ), name


@pytest.mark.parametrize(("which", "width"), [("site", 390), ("egypt", 320), ("egypt", 1280)])
def test_lines_do_not_lie_on_each_other(
    browser: Browser, which: str, width: int, request: pytest.FixtureRequest
) -> None:
    """Each line of a day ends before the next one begins, with long times too."""
    folder: Path = request.getfixturevalue(which)
    with looking(browser, now=WEDNESDAY, width=width) as page:
        for name in ("2027-W12", "2027-03"):
            page.goto((folder / f"{name}.html").as_uri())
            over = page.locator("main li + li").evaluate_all(
                "(lines) => lines.filter((line) => { const before = line.previousElementSibling;"
                " const end = Math.max(...[before, ...before.querySelectorAll(':not(.vh, .touch)')]"
                ".map((one) => one.getBoundingClientRect().bottom));"
                " return line.getBoundingClientRect().top < end - 3"
                " && line.getBoundingClientRect().left === before.getBoundingClientRect().left; })"
                ".map((line) => line.outerHTML.slice(0, 120))"
            )
            assert over == []


@pytest.mark.parametrize(("width", "columns"), [(390, 1), (720, 4), (1099, 4), (1100, 7)])
def test_days_side_by_side(browser: Browser, site: Path, width: int, columns: int) -> None:
    """Seven from 1100 px, four and four from 720 px, one under the other below."""
    with looking(browser, now=WEDNESDAY, width=width) as page:
        page.goto((site / "2027-W12.html").as_uri())
        tops = page.locator("article.day").evaluate_all(
            "(days) => days.map((day) => Math.round(day.getBoundingClientRect().top))"
        )
        assert tops.count(tops[0]) == columns


def test_today_is_marked_by_the_script(browser: Browser, site: Path) -> None:
    """The day, its column in the tables and the small month are marked; on other weeks nothing."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((site / "2027-W12.html").as_uri())
        today = page.locator("article.today")
        expect(today).to_have_count(1)
        expect(today).to_have_attribute("data-date", "2027-03-24")
        expect(today).to_have_attribute("aria-current", "date")
        expect(today.get_by_text("today", exact=True)).to_be_visible()
        expect(page.locator(".small-month td.today")).to_have_text("24")
        page.get_by_role("link", name="Today").click()
        assert page.url.endswith("#d-2027-03-24")
        page.goto((site / "2027-W13.html").as_uri())
        expect(page.locator("article.today")).to_have_count(0)
        expect(page.get_by_role("link", name="Today")).to_have_count(0)


def test_today_is_that_of_the_household(browser: Browser, site: Path) -> None:
    """At 23:30 UTC on Sunday 28 March it is Monday in London, wherever the browser is."""
    with looking(browser, now=datetime(2027, 3, 28, 23, 30, tzinfo=UTC)) as page:
        page.goto((site / "2027-W13.html").as_uri())
        expect(page.locator("article.today")).to_have_attribute("data-date", "2027-03-29")


def test_the_mark_moves_on_at_midnight(browser: Browser, site: Path) -> None:
    """A tablet on the wall is not loaded again; the mark goes to the next day by itself."""
    context = browser.new_context()
    page = context.new_page()
    page.clock.install(time=datetime(2027, 3, 24, 23, 58, tzinfo=UTC))
    page.goto((site / "2027-W12.html").as_uri())
    expect(page.locator("article.today")).to_have_attribute("data-date", "2027-03-24")
    page.clock.fast_forward("03:00")
    expect(page.locator("article.today")).to_have_attribute("data-date", "2027-03-25")
    context.close()


def test_the_start_page_leads_to_the_readers_week(browser: Browser, site: Path) -> None:
    """The link made at the build is corrected by the reader's clock."""
    with looking(browser, now=datetime(2027, 3, 31, 9, tzinfo=UTC)) as page:
        page.goto((site / "index.html").as_uri())
        page.get_by_role("region", name="This week").get_by_role("link").click()
        assert page.url.endswith("/2027-W13.html")


def test_the_age_of_a_copy_is_worked_out(browser: Browser, site: Path) -> None:
    """A stale source is named at the top with the age of its copy; the others in the footer."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((site / "2027-W12.html").as_uri())
        expect(page.get_by_role("region", name="Not up to date")).to_contain_text("3 days ago")
        footer = page.get_by_role("contentinfo")
        expect(footer).to_contain_text("Home calendar 24 Mar 2027, 04:30")
        expect(footer).to_contain_text("Time zones 2026f")


def test_the_keyboard_reaches_the_page_past_the_links(browser: Browser, site: Path) -> None:
    """The first stop skips to the page; focus can be seen."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((site / "2027-W12.html").as_uri())
        page.keyboard.press("Tab")
        skip = page.get_by_role("link", name="Skip to the page")
        expect(skip).to_be_focused()
        assert skip.evaluate("(link) => getComputedStyle(link).outlineStyle") == "solid"


def test_habits_are_a_table_with_names(browser: Browser, site: Path) -> None:
    """A cell is found by its habit and its day, and says its state in words, on a phone too."""
    for width in (1280, 390):
        with looking(browser, now=WEDNESDAY, width=width) as page:
            page.goto((site / "2027-W12.html").as_uri())
            table = page.get_by_role("table", name="Habits")
            row = table.get_by_role("row").filter(has=page.get_by_role("rowheader", name="Water"))
            expect(row.get_by_role("cell")).to_have_count(7)
            expect(row.get_by_role("cell", name=re.compile("missed:? 5"))).to_have_count(1)


@pytest.mark.parametrize("medium", ["screen", "print"])
@pytest.mark.parametrize("now", [WEDNESDAY, datetime(2026, 1, 7, 9, tzinfo=UTC)])
def test_nothing_is_drawn_over_a_figure(
    browser: Browser, site: Path, now: datetime, medium: Literal["screen", "print"]
) -> None:
    """Neither box nor tick, whether the script has taken the cell over or its day is to come."""
    with looking(browser, now=now) as page:
        page.goto((site / "2027-W12.html").as_uri())
        page.emulate_media(media=medium)
        drawn = page.locator(".habits td.marked").evaluate_all(
            "cells => cells.filter((one) => /[0-9]/.test("
            "(one.querySelector('b, .touch') || one).textContent))"
            ".map((one) => ['::before', '::after'].map((part) =>"
            " getComputedStyle(one, part).content).join())"
        )
        assert drawn
        assert set(drawn) == {"none,none"}


def test_marks_on_a_phone_are_large_enough(browser: Browser, site: Path) -> None:
    """A cell is 44 px high, as a finger wants it (WCAG 2.2, 2.5.5)."""
    with looking(browser, now=WEDNESDAY, width=390) as page:
        page.goto((site / "2027-W12.html").as_uri())
        heights = page.locator(".habits td").evaluate_all(
            "(cells) => cells.map((cell) => cell.getBoundingClientRect().height)"
        )
        assert min(heights) >= 44


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_readers_scheme_is_followed(browser: Browser, site: Path, scheme: str) -> None:
    """Light and dark by the reader's setting; the page's ground is the palette's."""
    with looking(browser, now=WEDNESDAY) as page:
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        page.goto((site / "2027-W12.html").as_uri())
        ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
        assert ground == ("rgb(27, 25, 21)" if scheme == "dark" else "rgb(251, 248, 241)")


def printed(browser: Browser, address: str) -> pypdf.PdfReader:
    """The page as it comes out of the printer."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto(address)
        return pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))


@pytest.mark.parametrize("name", ["2027-W12", "2027-W13", "2027-03", "2027-04"])
def test_a_week_and_a_month_print_on_one_sheet(browser: Browser, site: Path, name: str) -> None:
    """The sample's full week too; A4 on its side."""
    sheets = printed(browser, (site / f"{name}.html").as_uri())
    assert len(sheets.pages) == 1
    box = sheets.pages[0].mediabox
    assert (round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)) == (297, 210)


def test_a_crowded_day_flows_on_and_is_not_cut(browser: Browser, full: Path) -> None:
    """Every one of twelve more events is on paper; what does not fit goes to the next sheet."""
    sheets = printed(browser, (full / "2027-W12.html").as_uri())
    text = " ".join(sheet.extract_text() for sheet in sheets.pages)
    for number in range(12):
        assert f"Extra {number:02}" in " ".join(text.split()), number
    assert "Lamb with" in text


@pytest.mark.parametrize(
    ("size", "width", "height"),
    [("A5", 210, 148), ("letter", 279, 216), ("half-letter", 216, 140)],
)
def test_the_household_chooses_its_paper(
    browser: Browser, tmp_path: Path, size: str, width: int, height: int
) -> None:
    """Other sheets get other sizes, and nothing is lost on small ones."""
    paper = checked(Paper, {"size": size, "binding_mm": 15})
    folder = written(tmp_path, sample_week.inputs(paper=paper))
    sheets = printed(browser, (folder / "2027-W12.html").as_uri())
    box = sheets.pages[0].mediabox
    assert round(float(box.width) / 72 * 25.4) == width
    assert round(float(box.height) / 72 * 25.4) == height
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets.pages).split())
    for words in ("Optician", "Traders", "Call with Nana Brice", "Lights out", "Stall leftovers"):
        assert words in text


def test_the_punched_edge_stays_clear(browser: Browser, site: Path) -> None:
    """No text within 20 mm of the long edge at the top, nor within 6 mm of the others."""
    clear = 20 / 25.4 * 72
    sheet = printed(browser, (site / "2027-W12.html").as_uri()).pages[0]
    height, width = float(sheet.mediabox.height), float(sheet.mediabox.width)
    places: list[tuple[float, float]] = []

    def note(text: str, cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        if text.strip():
            x, y = tm[4], tm[5]
            places.append((cm[0] * x + cm[2] * y + cm[4], cm[1] * x + cm[3] * y + cm[5]))

    sheet.extract_text(visitor_text=note)
    assert len(places) > 100
    edge = 6 / 25.4 * 72
    for x, y in places:
        assert edge <= x <= width - edge
        assert edge <= y <= height - clear
