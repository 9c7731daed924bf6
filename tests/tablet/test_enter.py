"""A week entered from paper on its page: by keyboard, by touch, with slips."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.cli.test_mark_desk import LISTS, MONDAY_AFTER, PAPER, day, expected, recorded
from tests.cli.test_mark_desk import household as small_household
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from tests.support.keyboard import Keyboard
from weeksync import demo
from weeksync.cli import main
from weeksync.household import read_household
from weeksync.model.household import Mark

pytestmark = pytest.mark.browser

MONDAY = datetime.fromisoformat(MONDAY_AFTER)
WEDNESDAY = datetime(2027, 3, 24, 18, 40, tzinfo=UTC)
PAGE = "enter-2027-W12.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def unmarked(folder: Path) -> Path:
    """The demo household with nothing marked in 2027-W12."""
    home = demo.copy_to(folder)
    (home / "marks" / "2027-W12.csv").unlink()
    return home


def built(home: Path, now: str) -> Path:
    """The household's pages; gives the folder of both trees."""
    assert main(["build", "--household", str(home), "--now", now]) in {0, 1}
    return home / "output"


@pytest.fixture(scope="module")
def demo_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages as of the Monday after the week, with nothing marked in it."""
    return built(unmarked(tmp_path_factory.mktemp("demo") / "home"), MONDAY_AFTER)


@pytest.fixture(scope="module")
def small_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three habits, a lesson and three tasks, as of Wednesday."""
    home = small_household(tmp_path_factory.mktemp("small"))
    return built(home, WEDNESDAY.isoformat())


@contextmanager
def entering(browser: Browser, folder: Path, *, now: datetime, width: int = 1280) -> Iterator[Page]:
    """The page of the week in a window of its own; all that is kept begins afresh."""
    with looking(browser, now=now, width=width) as page:
        page.goto((folder / PAGE).as_uri())
        yield page


def row(page: Page, thing: str) -> Locator:
    """The row of a habit, or the list of a day."""
    return page.locator(f'[data-row="{thing}"], [data-list="{thing}"]')


def says(page: Page, thing: str) -> str:
    """What the boxes of a row say, - where nothing: also before it is left."""
    values = (
        row(page, thing)
        .locator("[data-number]:enabled")
        .evaluate_all("(boxes) => boxes.map((box) => box.dataset.value || '-')")
    )
    return " ".join(values)


def held(page: Page, thing: str, number: int) -> str | None:
    """What this browser holds for the day of 2027-W12 with that number; None where nothing."""
    found: str | None = page.evaluate(
        "([id, date]) => weekMarks.held(id, date) ?? null", [thing, day(number).isoformat()]
    )
    return found


def waiting(page: Page) -> int:
    """How many marks this browser has not handed over."""
    found: int = page.evaluate("weekMarks.waiting()")
    return found


def saved(page: Page, target: Path) -> Path:
    """The marks of this browser as the file that `weeksync mark --from` takes."""
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as a file").click()
    download.value.save_as(target)
    return target


def said_by(home: Path) -> set[tuple[str, date, str, str]]:
    """(id, day, person, value) of every mark of 2027-W12."""
    marks: tuple[Mark, ...] = read_household(home).marks
    return {
        (one.id, one.day, one.person, one.value) for one in marks if day(1) <= one.day <= day(7)
    }


def ended(home: Path) -> dict[str, tuple[date | None, date | None]]:
    """When each task was done or dropped."""
    return {one.id: (one.done, one.dropped) for one in read_household(home).tasks}


def test_the_demos_week_in_at_most_150_keystrokes_says_what_mark_writes(
    browser: Browser, demo_pages: Path, tmp_path: Path
) -> None:
    """Each key counts, Enter and Tab too; then the same files as after the same week typed."""
    keys: list[str] = []
    by_page, by_terminal = unmarked(tmp_path / "page"), unmarked(tmp_path / "terminal")
    with entering(browser, demo_pages / "own", now=MONDAY) as page:
        for text in [*(text for _, text, _ in PAPER), *(text for text, _, _ in LISTS)]:
            for key in [*text, "Enter"]:
                page.keyboard.press(key)
                keys.append(key)
        expect(page.locator(".how-many")).to_contain_text(": 11.")
        for key in ("Tab", "Enter"):
            page.keyboard.press(key)
            keys.append(key)
        expect(page.locator(".entered")).to_be_focused()
        file = saved(page, tmp_path / "marks.jsonl")
    assert len(keys) <= 150, len(keys)
    words = ["--household", str(by_page), "--now", MONDAY_AFTER]
    assert main(["mark", "--from", str(file), *words]) == 0
    assert recorded(by_page) == expected()

    typed = [*(text for _, text, _ in PAPER), *(text for text, _, _ in LISTS), "m"]
    with Keyboard("mark", "last", folder=by_terminal, now=MONDAY_AFTER) as terminal:
        for text in typed:
            terminal.types(text)
        assert terminal.end() == 0
    assert said_by(by_page) == said_by(by_terminal)
    assert ended(by_page) == ended(by_terminal)


def test_what_is_typed_is_shown_at_once_and_written_when_the_row_is_left(
    browser: Browser, small_pages: Path
) -> None:
    """Typing alone hands nothing over; Enter, an arrow or a touch elsewhere does."""
    with entering(browser, small_pages / "site", now=WEDNESDAY) as page:
        walk, water = row(page, "walk"), row(page, "water")
        expect(walk.locator(".typed")).to_be_focused()
        page.keyboard.type("13")
        assert says(page, "walk") == "yes - yes"
        assert held(page, "walk", 1) is None
        page.keyboard.press("ArrowDown")
        assert [held(page, "walk", number) for number in (1, 2, 3)] == ["yes", None, "yes"]
        expect(water.locator(".typed")).to_be_focused()
        page.keyboard.type("7 8")
        row(page, "cards").locator(".typed").click()
        assert [held(page, "water", number) for number in (1, 2, 3)] == ["7", "8", None]
        page.keyboard.press("ArrowUp")
        expect(water.locator(".typed")).to_be_focused()
        expect(water.locator(".typed")).to_have_value("")
        assert says(page, "water") == "7 8 -"


def test_a_row_with_a_mistake_is_told_and_written_only_once_it_is_mended(
    browser: Browser, small_pages: Path
) -> None:
    """The reason and the remedy stand beside it; Enter stays in the row, nothing of it is kept."""
    with entering(browser, small_pages / "site", now=WEDNESDAY) as page:
        for typed, told in (
            ("14", "4 is no box here; there are 1, 2, 3"),
            ("11", "1 stands there twice"),
            ("yes", "write the numbers of the boxes, as 1457 or *36; ? shows how"),
        ):
            page.keyboard.type(typed)
            expect(row(page, "walk").locator(".mistake")).to_be_empty()
            page.keyboard.press("Enter")
            expect(row(page, "walk").locator(".mistake")).to_have_text(told)
            expect(row(page, "walk").locator(".typed")).to_be_focused()
            expect(row(page, "walk").locator(".typed")).to_have_attribute("aria-invalid", "true")
            page.keyboard.press("Control+a")
        assert waiting(page) == 0
        page.keyboard.type("?")
        page.keyboard.press("Enter")
        expect(page.get_by_text("all but 3 and 6")).to_be_visible()
        page.keyboard.type("12")
        page.keyboard.press("Enter")
        expect(row(page, "walk").locator(".mistake")).to_be_empty()
        assert waiting(page) == 2
        page.keyboard.type("7.5 1")
        page.keyboard.press("Enter")
        expect(row(page, "water").locator(".mistake")).to_have_text(
            '"7.5" does not fit here; '
            "write a whole number up to 1000000, or yes or no without a figure"
        )
        row(page, "2027-03-23").locator(".typed").click()
        page.keyboard.type("1/2")
        page.keyboard.press("Enter")
        expect(row(page, "2027-03-23").locator(".mistake")).to_contain_text(
            "“Wash the bins” repeats, and of one time it can only be done"
        )
        assert waiting(page) == 2
        page.keyboard.press("Control+a")
        page.keyboard.type("12/3")
        page.keyboard.press("Enter")
        page.keyboard.press("Enter")
        expect(row(page, "water").locator(".typed")).to_be_focused()
        assert waiting(page) == 5


def test_undo_of_a_row_brings_back_what_stood_there(browser: Browser, small_pages: Path) -> None:
    """The last change of that row alone."""
    with entering(browser, small_pages / "site", now=WEDNESDAY) as page:
        for typed in ("12", "8 9"):
            page.keyboard.type(typed)
            page.keyboard.press("Enter")
        row(page, "walk").locator(".typed").click()
        page.keyboard.type("3/2")
        page.keyboard.press("Enter")
        assert says(page, "walk") == "yes no yes"
        row(page, "walk").get_by_role("button", name="Undo").click()
        assert says(page, "walk") == "yes yes -"
        assert [held(page, "walk", number) for number in (1, 2, 3)] == ["yes", "yes", ""]
        assert says(page, "water") == "8 9 -"
        expect(row(page, "walk").locator(".undo")).to_be_hidden()


def test_boxes_of_days_to_come_are_none_until_their_day(
    browser: Browser, small_pages: Path
) -> None:
    """By the reader's clock, not by that of the build; the list without a day is for today."""
    with entering(browser, small_pages / "site", now=WEDNESDAY) as page:
        assert says(page, "walk") == "- - -"
    friday = WEDNESDAY.replace(day=26)
    with entering(browser, small_pages / "site", now=friday) as page:
        assert says(page, "walk") == "- - - - -"
        page.keyboard.type("*")
        page.keyboard.press("Enter")
        row(page, "").locator(".typed").click()
        page.keyboard.type("1")
        page.keyboard.press("Enter")
        assert held(page, "kite", 5) == "done"
        assert held(page, "walk", 6) is None


def test_a_clock_that_stands_before_the_week_is_told(browser: Browser, small_pages: Path) -> None:
    """Instead of fields that take nothing."""
    with entering(browser, small_pages / "site", now=datetime(2026, 11, 29, tzinfo=UTC)) as page:
        expect(
            page.get_by_text("By the clock of this device the week has not begun")
        ).to_be_visible()
        expect(row(page, "walk").locator("label")).to_be_visible()
        assert page.locator("main input:visible, main button:enabled:visible").count() == 0


def test_empty_boxes_are_asked_about_once_for_each_person_or_all(
    browser: Browser, small_pages: Path
) -> None:
    """Of past days only, and not of habits so many times a week; what is missed can be undone."""
    with entering(browser, small_pages / "site", now=WEDNESDAY) as page:
        lines = page.locator(".blanks li:visible")
        expect(page.locator(".how-many")).to_contain_text("still empty: 3.")
        expect(lines).to_contain_text(["Everybody 3", "Ann 2", "Bo 1"])
        ann = lines.filter(has_text="Ann")
        ann.get_by_role("button", name="Missed").click()
        assert [held(page, "walk", number) for number in (1, 2, 3)] == ["no", "no", None]
        assert [held(page, "cards", number) for number in (1, 2)] == [None, None]
        expect(lines).to_contain_text(["Everybody 1"])
        lines.get_by_role("button", name="Not recorded").click()
        assert held(page, "maths", 2) is None
        expect(page.locator(".entered")).to_be_focused()
        expect(page.locator(".how-many")).to_be_hidden()
        page.locator("#bar").get_by_role("button", name="Undo").click()
        assert says(page, "walk") == "- - -"


def test_a_row_of_each_kind_by_touch_alone(
    browser: Browser, small_pages: Path, demo_pages: Path, tmp_path: Path
) -> None:
    """Ticks turn from yes to no to nothing; figures come from the pad; no key is pressed."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, timezone_id="UTC"
    )
    page = context.new_page()
    page.clock.set_fixed_time(MONDAY)
    page.goto((demo_pages / "own" / PAGE).as_uri())

    def box(thing: str, number: int) -> Locator:
        return row(page, thing).locator(f'[data-number="{number}"]')

    def keys(*pressed: str) -> None:
        for key in pressed:
            page.locator(f'[data-key="{key}"]').tap()

    box("day-card", 1).tap()
    box("day-card", 2).tap()
    box("day-card", 2).tap()
    for _ in range(3):
        box("day-card", 3).tap()
    assert says(page, "day-card") == "yes no - - -"
    assert waiting(page) == 0
    box("water", 1).tap()
    assert held(page, "day-card", 1) == "yes"
    assert held(page, "day-card", 2) == "no"
    assert held(page, "day-card", 3) is None
    keys("1", "2", "back", "next", "8", "next", "yes", "no", "next")
    assert says(page, "water") == "1 8 yes no - - -"
    box("sleep-ines", 7).tap()
    keys("7", ".", "5", "next")
    expect(page.locator("#pad")).to_be_hidden()
    assert held(page, "sleep-ines", 7) == "7.5"
    assert [held(page, "water", number) for number in (1, 2, 3, 4, 5)] == [
        *("1", "8", "yes", "no"),
        None,
    ]
    box("out-of-doors", 1).tap()
    keys("1", "4", "4", "1")
    expect(row(page, "out-of-doors").locator(".mistake")).to_contain_text("up to 1440")
    keys("0")
    expect(row(page, "out-of-doors").locator(".mistake")).to_be_empty()
    box("day-as-a-whole", 1).tap()
    expect(page.locator('[data-key="6"]')).to_be_hidden()
    keys("4", "3", "5")
    assert says(page, "day-as-a-whole") == "4 3 5 - - - -"
    box("2027-03-23", 1).tap()
    box("2027-03-23", 4).tap()
    box("2027-03-23", 5).tap()
    box("2027-03-23", 5).tap()
    page.locator("h1").tap()
    assert held(page, "out-of-doors", 1) == "1440"
    assert [held(page, "day-as-a-whole", number) for number in (1, 2, 3)] == ["4", "3", "5"]
    assert held(page, "pell-english", 2) == "yes"
    assert held(page, "term-report-pell", 2) == "done"
    assert held(page, "sales-sheet", 2) in {"dropped", None}
    context.close()


def test_without_scripts_it_says_what_to_use_and_shows_the_rows(
    browser: Browser, demo_pages: Path
) -> None:
    """The command with its week; no field and no button that would do nothing."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo_pages / "site" / PAGE).as_uri())
    expect(page.locator("noscript .without")).to_be_visible()
    expect(page.locator("noscript .without")).to_contain_text("weeksync mark 2027-W12")
    expect(row(page, "water").locator("label")).to_be_visible()
    assert page.locator("main input:visible, main button:enabled:visible").count() == 0
    context.close()


def test_what_is_only_for_some_is_on_no_common_page(demo_pages: Path) -> None:
    """Neither its row nor its title; among one's own pages it is."""
    for tree, is_there in (("site", False), ("own", True)):
        text = (demo_pages / tree / PAGE).read_text("utf-8")
        assert ("letter-drawer" in text) is is_there, tree
        assert ("letter drawer" in text) is is_there, tree


def test_only_weeks_that_have_begun_have_a_page(demo_pages: Path) -> None:
    """The week under way is the last one."""
    names = sorted(path.name for path in (demo_pages / "site").glob("enter-*.html"))
    assert names[-2:] == [PAGE, "enter-2027-W13.html"]


@pytest.mark.parametrize("tree", ["site", "own"])
def test_the_weeks_page_leads_there(browser: Browser, demo_pages: Path, tree: str) -> None:
    """And from there back."""
    with looking(browser, now=MONDAY) as page:
        page.goto((demo_pages / tree / "2027-W12.html").as_uri())
        page.get_by_role("link", name="Enter from paper").click()
        expect(page.locator("h1")).to_have_text("Enter from paper")
        page.get_by_role("navigation").get_by_role("link", name="Week 12").click()
        expect(page.locator("h1")).to_have_text("Week 12")


def in_arabic(folder: Path) -> Path:
    """The demo's pages in Egypt: from right to left, with other digits."""
    home = unmarked(folder)
    config = (home / "config.toml").read_text("utf-8")
    assert 'locale = "en_GB"' in config
    config = config.replace('locale = "en_GB"', 'locale = "ar_EG"')
    (home / "config.toml").write_text(config, "utf-8")
    return built(home, MONDAY_AFTER)


@pytest.fixture(scope="module")
def arabic_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Those pages, once."""
    return in_arabic(tmp_path_factory.mktemp("arabic") / "home")


@pytest.mark.parametrize("which", ["demo_pages", "arabic_pages"])
@pytest.mark.parametrize(("width", "columns"), [(320, 1), (390, 1), (800, 1), (1280, 4)])
def test_every_width_has_room_for_fingers(
    browser: Browser, which: str, width: int, columns: int, request: pytest.FixtureRequest
) -> None:
    """A column a person on a wide screen, one under the other else; 44 px; nothing sideways."""
    folder: Path = request.getfixturevalue(which)
    with entering(browser, folder / "own", now=MONDAY, width=width) as page:
        boxes = row(page, "water").locator("[data-number]")
        boxes.first.click()
        sizes = page.locator("main :is(button, input):visible").evaluate_all(
            "(all) => all.map((one) => one.getBoundingClientRect())"
            ".map(({ width, height }) => Math.min(width, height))"
        )
        assert len(sizes) > 150
        assert min(sizes) >= 44
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        starts = page.locator(".paper-rows > .row").evaluate_all(
            "(all) => [...new Set(all.map((one) => Math.round(one.getBoundingClientRect().left)))]"
        )
        assert len(starts) == columns


def test_digits_of_the_households_own_script_are_read(browser: Browser, arabic_pages: Path) -> None:
    """What is kept has the digits that every file has."""
    with entering(browser, arabic_pages / "own", now=MONDAY) as page:
        row(page, "water").locator(".typed").click()
        page.keyboard.type("\u0667 \u0668 - \u0661\u0660")
        page.keyboard.press("Enter")
        assert says(page, "water") == "7 8 - 10 - - -"
        row(page, "sleep-ines").locator(".typed").click()
        page.keyboard.type("\u0667\u066b\u0665 -")
        page.keyboard.press("Enter")
        assert says(page, "sleep-ines").startswith("7.5 ")


@pytest.mark.parametrize("look", ["light", "dark"])
def test_axe_finds_nothing_while_a_week_is_entered(
    browser: Browser, demo_pages: Path, look: Literal["light", "dark"]
) -> None:
    """With a row half typed, a mistake that is told, undo at hand and the pad open."""
    with entering(browser, demo_pages / "own", now=MONDAY, width=390) as page:
        page.emulate_media(color_scheme=look)
        for text in ("7+76+7766+", "77677", "9"):
            page.keyboard.type(text)
            page.keyboard.press("Enter")
        page.keyboard.press("ArrowDown")
        page.keyboard.type("12/3")
        page.locator("summary").click()
        row(page, "water").locator("[data-number]").first.click()
        expect(page.locator("#pad")).to_be_visible()
        assert axe(page) == []


def test_its_html_is_valid(demo_pages: Path, arabic_pages: Path, tmp_path: Path) -> None:
    """In both trees and in both directions."""
    folders = (demo_pages, arabic_pages)
    pages = [folder / tree / PAGE for folder in folders for tree in ("site", "own")]
    assert html_mistakes(pages, tmp_path) == []
