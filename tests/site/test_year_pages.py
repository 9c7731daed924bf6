"""Pages of years and of searching: what they show, to whom, on which paper; under the checkers."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader

from tests.site.test_review_pages import PRIVATE
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync import demo
from weeksync.cli import main
from weeksync.review.texts import fold

pytestmark = pytest.mark.browser

INSTANT = "2027-03-24T05:40:00+00:00"
WEDNESDAY = datetime.fromisoformat(INSTANT).astimezone(UTC)
SITE = ("year-2027.html", "search.html", "review-2027.html", "review-term-spring-2027.html")
OWN = ("year-2027.html", "review-2027.html", "review-term-spring-2027.html")
WORDS = ("Café", "CRÊPE", "Straße", "Łódź", "Smørrebrød", "İstanbul", "ΟΔΟΣ", "ﬁnish", "سَلَام",
         "שָׁלוֹם", "कि कु", "か が", "a\u0301b", "ŒUVRE", "  two   words ")  # fmt: skip


@pytest.fixture(scope="module")
def output(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages with one week closed."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "home")
    where = ["--household", str(home), "--now", INSTANT]
    assert main(["pull", *where]) == 0
    assert main(["close", "2027-W11", *where]) == 0
    assert main(["build", *where]) == 0
    return home / "output"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def test_common_pages_have_nothing_private(output: Path) -> None:
    """Neither health figures nor amounts, nor what is only for some, nor notes; one's own do."""
    site, own = output / "site", output / "own"
    names = (*SITE, "search-2027.js", "year-2026.html")
    for name in names:
        text = (site / name).read_text("utf-8")
        # Titles of health habits stand on the week's common page, their figures do not.
        words = PRIVATE[3:] if name == "search-2027.js" else PRIVATE
        assert [word for word in (*words, "£", "half hours") if word in text] == [], name
    text = (own / "year-2027.html").read_text("utf-8")
    assert [word for word in ("Sleep", "letter drawer", "£164.00 in") if word not in text] == []


def test_a_year_leads_to_every_week_that_has_a_page(output: Path) -> None:
    """All 52 weeks of 2027 stand there; no link of the page leads nowhere."""
    for tree in ("site", "own"):
        text = (output / tree / "year-2027.html").read_text("utf-8")
        weeks = re.findall(r'<tr id="?w-(2027-W\d\d)', text)
        assert weeks == [f"2027-W{number:02}" for number in range(1, 53)]
        for week in weeks:
            assert (f'href="{week}.html"' in text) is (output / tree / f"{week}.html").is_file()
        for href in re.findall(r'href="([^"#:]+)', text):
            assert (output / tree / href).is_file() or href == "/sign-in", href
        start = (output / tree / "index.html").read_text("utf-8")
        assert 'href="year-2027.html"' in start
        assert ('href="search.html"' in start) is (tree == "site")


def test_cells_say_in_words_what_they_show(output: Path) -> None:
    """Water of 2027-W11, marked 7 7 7 7 6 8 6 of 7: five squares, two crossed out."""
    text = (output / "own" / "year-2027.html").read_text("utf-8")
    (line,) = (one for one in text.split("<tr ") if one.startswith('id="w-2027-W11"'))
    heads = re.findall(r'<th scope="?col"? class="?habit"?>.*?<bdi>([^<]*)</bdi>', text)
    cells = line.split('<td class="habit">')[1:]
    water = cells[heads.index("Water")]
    assert "5 marked, 2 missed" in water
    filled, drawn = re.findall(r' d="([^"]*)"', water)
    assert filled.count("h8v8") == 5
    assert drawn.count("l7-7") == 2


def test_a_long_span_is_drawn_by_its_weeks(output: Path) -> None:
    """A point is the plain average of a week, and the table says of how many days."""
    text = (output / "own" / "review-term-spring-2027.html").read_text("utf-8")
    (water,) = (one for one in text.split("<article") if "Water</bdi>" in one.partition("</h3>")[0])
    water = water.partition("</article>")[0]
    assert "average of a week" in water
    # 7 7 7 7 6 8 6 in 2027-W11.
    assert "15 March</th><td><bdi>6.9 glasses</bdi></td><td><bdi>7</bdi>" in water
    rows = water.count("<bdi>not recorded</bdi>")
    assert water.count("<circle") + rows == water.count('<th scope="row"')


def test_dots_are_drawn_from_14_days_on_and_no_word_says_why(output: Path) -> None:
    """In a month with some six weeks of marks; none in a week."""
    month = (output / "own" / "review-2027-02.html").read_text("utf-8")
    assert month.count('class="dots"') > 0
    for days in re.findall(r"a dot for a day with both: (\d+)", month):
        assert int(days) >= 14
    week = (output / "own" / "review-2027-W11.html").read_text("utf-8")
    assert 'class="dots"' not in week
    assert "Too few days to say: it takes 28 with both." in week


@pytest.mark.parametrize("tree", ["site", "own"])
def test_a_year_is_printed_on_one_sheet(output: Path, browser: Browser, tree: str) -> None:
    """Upright with ten habits, across with nineteen."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((output / tree / "year-2027.html").as_uri())
        printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
        assert len(printed) == 1
        sheet = printed[0]
        assert (sheet.mediabox.width > sheet.mediabox.height) is (tree == "own")
        first = sheet.extract_text()
        for number in (1, 11, 52):
            assert re.search(rf"\b{number} ?\d+ [A-Z]", first), number


def test_html_validate_finds_nothing(output: Path, tmp_path: Path) -> None:
    """Of every kind of page."""
    paths = [output / "site" / name for name in SITE] + [output / "own" / name for name in OWN]
    assert html_mistakes(paths, tmp_path) == []


@pytest.mark.parametrize("look", ["light", "dark", "print"])
def test_axe_finds_nothing_and_nothing_runs_sideways(
    output: Path, browser: Browser, look: str
) -> None:
    """At 1280, 800 and 390 pixels; the wide table of a year runs within its own frame."""
    places = [output / "site" / "search.html", *(output / "own" / name for name in OWN)]
    for place in places:
        with looking(browser, now=WEDNESDAY) as page:
            if look == "print":
                page.emulate_media(media="print")
            else:
                page.emulate_media(color_scheme="dark" if look == "dark" else "light")
            page.goto(place.as_uri())
            for width in (1280, 800, 390):
                page.set_viewport_size({"width": width, "height": 900})
                wide = page.evaluate("document.documentElement.scrollWidth")
                assert look == "print" or wide <= width, place.name
            assert axe(page) == [], (place.name, look)


def test_a_page_in_a_folder_is_searched_by_the_browser(output: Path, browser: Browser) -> None:
    """Typed without accents and capitals; all words; the week can be gone to, and back."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((output / "site" / "search.html").as_uri())
        field = page.get_by_label("Words")
        field.fill("MARKET sta")
        lines = page.locator("#found li")
        lines.first.wait_for()
        assert lines.all_inner_texts()
        assert all("Market stall" in text for text in lines.all_inner_texts())
        assert axe(page) == []
        assert page.locator("#count").inner_text() == f"{lines.count()} found."
        lines.get_by_role("link").first.click()
        page.wait_for_url("**/2027-W11.html")
        page.go_back()
        assert page.get_by_label("Words").input_value() == "MARKET sta"
        page.get_by_label("Words").fill("quagga")
        page.locator("#count", has_text="Nothing was found.").wait_for()
        assert page.locator("#found li").count() == 0
        page.get_by_label("Words").fill("letter drawer")
        page.locator("#count", has_text="Nothing was found.").wait_for()


def test_browser_and_home_fold_words_alike(output: Path, browser: Browser) -> None:
    """What one finds the other finds."""
    with looking(browser, now=WEDNESDAY) as page:
        page.goto((output / "site" / "search.html").as_uri())
        folded = page.evaluate("words => words.map((one) => globalThis.foldText(one))", WORDS)
    assert folded == [fold(one) for one in WORDS]


def test_the_script_of_searching_is_small(output: Path) -> None:
    """At most 6 kB, as all scripts of a page must be light for an old tablet."""
    assert len((output / "site" / "search.js").read_bytes()) <= 6_000
