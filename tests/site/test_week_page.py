"""The week page as it stands in a kitchen: at a glance, one day by itself, some people's lines."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.support import sample_week
from tests.support.chromium import ARGUMENTS, CHROMIUM, chromium, looking
from weeksync.cli import main
from weeksync.site.pages import pages

pytestmark = pytest.mark.browser

WEDNESDAY = datetime(2027, 3, 24, 9, tzinfo=UTC)
WEEK = "2027-W12.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's site."""
    folder = tmp_path_factory.mktemp("demo")
    assert main(["demo", "--to", str(folder), "--now", "2027-03-24T05:40:00+00:00"]) == 0
    return folder / "site"


@pytest.fixture(scope="module")
def egypt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's site from right to left."""
    folder = tmp_path_factory.mktemp("egypt")
    for file, content in pages(sample_week.inputs("ar_EG")).items():
        (folder / file).write_bytes(content)
    return folder


def opened(page: Page, folder: Path, place: str = "") -> None:
    """The week of the folder, at a place in it."""
    page.goto((folder / WEEK).resolve().as_uri() + place)


def bottom(page: Page, selector: str) -> float:
    """How far down its last element ends, in px from the top of the page."""
    box = page.locator(selector).last.bounding_box()
    assert box is not None
    return box["y"] + box["height"]


def test_a_tablet_on_its_side_shows_the_week_at_a_glance(browser: Browser, demo: Path) -> None:
    """1280 × 800: decisions, priorities, morning and afternoon of seven days without scrolling.

    All parts of the week end within one and a half screens; it was five before.
    """
    with looking(browser, now=WEDNESDAY, width=1280, height=800) as page:
        opened(page, demo)
        assert bottom(page, ".decisions") < 150
        assert bottom(page, ".priorities") < 480
        assert bottom(page, ".part.afternoon") < 800
        assert bottom(page, ".todo") < 1200


def test_an_upright_tablet_shows_every_day(browser: Browser, demo: Path) -> None:
    """800 × 1280: four days whole, and of the other three what is fixed and what matters."""
    with looking(browser, now=WEDNESDAY, width=800, height=1280) as page:
        opened(page, demo)
        assert bottom(page, ".day:nth-of-type(4)") < 1000
        assert bottom(page, ".day:nth-of-type(7) .priorities") < 1280


def test_what_is_to_decide_is_folded_and_whole(browser: Browser, demo: Path) -> None:
    """Three sentences stand on top, the others one touch away, and none is lost."""
    with looking(browser, now=WEDNESDAY) as page:
        opened(page, demo)
        lines = page.locator(".decisions li")
        assert lines.count() > 3
        assert [one.is_visible() for one in lines.all()] == [True] * 3 + [False] * (
            lines.count() - 3
        )
        page.locator(".decisions summary").click()
        assert all(one.is_visible() for one in lines.all())


@pytest.mark.parametrize("width", [320, 390, 800, 1280])
@pytest.mark.parametrize("script", [True, False])
def test_a_day_is_one_touch_away(browser: Browser, demo: Path, width: int, *, script: bool) -> None:
    """Its heading opens it alone and whole, with its habits and rows; links lead on and back.

    By the address alone: it works where scripts are off.
    """
    context = browser.new_context(
        viewport={"width": width, "height": 800}, java_script_enabled=script
    )
    page = context.new_page()
    opened(page, demo)
    page.get_by_role("link", name="Tuesday, 23 March 2027").click()
    tuesday, wednesday = page.locator("#d-2027-03-23"), page.locator("#d-2027-03-24")
    expect(tuesday).to_be_visible()
    expect(wednesday).to_be_hidden()
    expect(tuesday.get_by_text("540 of 333 min planned")).to_be_visible()
    expect(tuesday.get_by_text("clash, 30 min, with “Dentist - Juno”")).to_be_visible()
    expect(tuesday.get_by_text("2 Ferrier Row")).to_be_visible()
    water = page.locator(".habits tr").filter(has_text="Water")
    assert [cell.is_visible() for cell in water.locator("td").all()] == [
        number == 1 for number in range(7)
    ]
    meals = page.locator(".rows tr").filter(has=page.get_by_role("rowheader", name="Meals"))
    assert [cell.is_visible() for cell in meals.locator("td").all()][1:3] == [True, False]
    tuesday.get_by_role("link", name="Wed").click()
    expect(wednesday).to_be_visible()
    expect(tuesday).to_be_hidden()
    wednesday.get_by_role("link", name="Whole week").click()
    expect(tuesday).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()


def test_a_day_opens_and_closes_by_keys(browser: Browser, demo: Path) -> None:
    """Enter on a heading opens the day, unfolded, with the focus on it; Escape closes it."""
    with looking(browser, now=WEDNESDAY) as page:
        opened(page, demo)
        page.get_by_role("link", name="Friday, 26 March 2027").focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("link", name="Friday, 26 March 2027")).to_be_focused()
        assert all(one.is_visible() for one in page.locator("#d-2027-03-26 .pencil").all())
        page.keyboard.press("Escape")
        expect(page.locator("#d-2027-03-22")).to_be_visible()


def test_persons_and_areas_filter_lines_and_say_so(browser: Browser, demo: Path) -> None:
    """What concerns others goes, with a word on how much; what is everybody's stays.

    The choice is this tablet's, for as long as its window is open.
    """
    with looking(browser, now=WEDNESDAY) as page:
        opened(page, demo)
        shift = page.locator("#d-2027-03-24 .event").filter(has_text="Dov day shift")
        choir = page.locator("#d-2027-03-24 .event").filter(has_text="Choir")
        said = page.locator(".filter").get_by_role("status")
        page.locator(".filter summary").click()
        page.get_by_role("button", name="Pell", exact=True).click()
        expect(shift).to_be_hidden()
        expect(choir).to_be_visible()
        expect(page.locator("#d-2027-03-24 .money").first).to_be_visible()
        expect(page.locator(".decisions li").first).to_be_visible()
        expect(said).to_contain_text("Only Pell · left out:")
        expect(said).to_contain_text("of these to decide:")
        page.reload()
        expect(shift).to_be_hidden()
        expect(said).to_contain_text("Only Pell")
        page.get_by_role("button", name="Show everything").click()
        expect(shift).to_be_visible()
        expect(said).to_have_text("")


def test_without_a_script_no_filter_is_offered(browser: Browser, demo: Path) -> None:
    """A control that does nothing is not shown."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    opened(page, demo)
    expect(page.locator(".filter")).to_be_hidden()
    expect(page.get_by_role("table", name="Habits")).to_be_visible()
    context.close()


@pytest.mark.parametrize("place", ["", "#d-2027-03-24"])
@pytest.mark.parametrize("folder", ["demo", "egypt"])
def test_letters_of_24_px_scroll_nowhere_sideways_at_320(
    browser: Browser, folder: str, place: str, request: pytest.FixtureRequest
) -> None:
    """The narrowest window with the browser's letters half as large again, in both directions."""
    large = browser.browser_type.launch(
        executable_path=CHROMIUM, args=[*ARGUMENTS, "--blink-settings=defaultFontSize=24"]
    )
    with looking(large, now=WEDNESDAY, width=320) as page:
        opened(page, request.getfixturevalue(folder), place)
        assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "22.5px"
        assert page.evaluate("document.documentElement.scrollWidth") <= 320
    large.close()


def test_nothing_moves_for_who_wants_no_motion(browser: Browser, demo: Path) -> None:
    """No transition and no animation where the reader's system says so."""
    with looking(browser, now=WEDNESDAY) as page:
        page.emulate_media(reduced_motion="reduce")
        opened(page, demo)
        moving = page.evaluate(
            "() => [...document.querySelectorAll('*')].filter((one) =>"
            " parseFloat(getComputedStyle(one).transitionDuration) > 0"
            " || getComputedStyle(one).animationName !== 'none').length"
        )
        assert moving == 0


@pytest.mark.parametrize("size", ["1280x800", "800x1280"])
def test_states_differ_where_the_system_sets_the_colours(
    browser: Browser, demo: Path, size: str
) -> None:
    """In forced colours the boxes keep an edge, and a mark its tick."""
    width, height = map(int, size.split("x"))
    with looking(browser, now=WEDNESDAY, width=width, height=height) as page:
        page.emulate_media(forced_colors="active")
        opened(page, demo)
        style = "(cell, name) => getComputedStyle(cell, '::after')[name]"
        marked = page.locator(".habits td.marked:not(:has(b))").first
        assert marked.evaluate(style, "borderInlineEndStyle") == "solid"
        box = "(cell) => getComputedStyle(cell, '::before').borderTopWidth"
        assert page.locator(".habits td.open").first.evaluate(box) != "0px"


def test_the_printed_week_keeps_its_sheets_and_figures(browser: Browser, demo: Path) -> None:
    """Two sheets as before; what is folded on the screen is on paper, and so is every figure."""
    with looking(browser, now=WEDNESDAY) as page:
        opened(page, demo)
        sheets = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert len(sheets) == 2
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    for words in ("2,840", "8,952", "7.5", "piled up in the lighter days", "moved from Sun 28 Mar"):
        assert words in text, words


def test_the_whole_page_is_light(demo: Path) -> None:
    """With style, icon and every script it loads under 120,000 bytes, with room to grow."""
    text = (demo / WEEK).read_text("utf-8")
    loaded = {
        part.split('"')[0]
        for key in ('src="', 'rel="stylesheet" href="', 'rel="icon" href="')
        for part in text.split(key)[1:]
    }
    assert {"style.css", "page.js", "marks.js", "icon.svg"} <= loaded
    weight = len(text.encode()) + sum((demo / name).stat().st_size for name in loaded)
    assert weight < 120_000, weight
