"""Forms of entries on the tablet: by touch, by keyboard, without scripts, with home away."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect

from tests.support.checkers import axe, html_mistakes
from tests.tablet.homes import Home, serving
from tests.tablet.marking import NOON
from weeksync import demo
from weeksync.cli import main
from weeksync.workflow import Context
from weeksync.workflow.access import access_of

pytestmark = pytest.mark.browser

expect.set_options(timeout=20_000)

PHONE = ViewportSize(width=390, height=844)
DESK = ViewportSize(width=1280, height=900)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household, served on a loopback port with no device set up."""
    folder = demo.copy_to(tmp_path_factory.mktemp("edit") / "home")
    assert main(["pull", "--household", str(folder), "--now", NOON.isoformat()]) == 0
    with serving(folder, NOON.isoformat()) as running:
        yield running


@contextmanager
def device(browser: Browser, *, touch: bool = True, scripts: bool = True) -> Iterator[Page]:
    """A phone, or a screen with a keyboard."""
    context: BrowserContext = browser.new_context(
        viewport=PHONE if touch else DESK,
        has_touch=touch,
        java_script_enabled=scripts,
    )
    try:
        yield context.new_page()
    finally:
        context.close()


def text(home: Home, name: str = "tasks.toml") -> str:
    """What a file of the household says."""
    return (home.folder / name).read_text("utf-8")


def small(page: Page) -> list[str]:
    """What is to be touched in the page's main part and is less than 44 px high or wide."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(
            "main :is(button, select, textarea, summary, li > a, .add, .back-link), main input:not("
            + "[type=hidden], [type=checkbox], [type=radio]), main label:has(input)")]
          .filter((one) => one.checkVisibility())
          .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
          .filter(([, {width, height}]) => height < 43.9 || width < 43.9)
          .map(([html, {width, height}]) => `${html} ${width} x ${height}`)"""
    )
    return found


def test_a_task_of_the_week_by_touch_and_back(browser: Browser, home: Home) -> None:
    """From its line on the served week to its form, saved without a reload, and taken back."""
    before = text(home)
    with device(browser) as page:
        page.goto(home.page())
        assert axe(page) == []
        page.get_by_role("link", name="Change: Order jars and labels").first.tap()
        expect(page).to_have_url(f"{home.address}/edit/tasks?id=order-jars")
        expect(page.locator("h1")).to_have_text("Order jars and labels")
        page.evaluate("window.mine = true")
        page.locator("#f-title").fill("Order jars, labels & lids")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page).to_have_url(f"{home.address}/edit/tasks")
        expect(page.locator(".undo")).to_contain_text("Saved: “Order jars, labels & lids”")
        expect(page.locator("#announced")).to_have_text("Saved: “Order jars, labels & lids”")
        assert page.evaluate("window.mine")
        assert text(home) == before.replace("Order jars and labels", "Order jars, labels & lids")
        page.get_by_role("button", name="Take it back").tap()
        expect(page.locator("#said")).to_have_text("Taken back: Saved: “Order jars, labels & lids”")
        assert text(home) == before


def test_appointments_and_lessons_of_the_week_lead_to_their_forms(
    browser: Browser, home: Home
) -> None:
    """Those of the household's files; what a calendar holds leads nowhere."""
    with device(browser, touch=False) as page:
        page.goto(home.page())
        found = page.eval_on_selector_all("a.edit", "all => all.map((one) => one.pathname)")
        assert set(found) == {"/edit/tasks", "/edit/appointments", "/edit/lessons"}
        assert page.locator(".event").count() > found.count("/edit/appointments")
        for kind in ("appointments", "lessons"):
            page.goto(home.page())
            page.locator(f'a.edit[href*="/{kind}?"]').first.click()
            expect(page.locator("form[data-keep]")).to_be_visible()
        page.goto(home.page())
        page.get_by_role("link", name="Add", exact=True).click()
        expect(page).to_have_url(f"{home.address}/edit/")


def test_what_cannot_be_saved_is_seen_with_the_keyboard_alone(browser: Browser, home: Home) -> None:
    """Fields in reading order; the summary takes the focus and leads to the field; then it goes."""
    with device(browser, touch=False) as page:
        page.goto(f"{home.address}/edit/tasks?new=1")
        page.locator("#f-title").focus()
        names = ["title"]
        for _ in range(4):
            page.keyboard.press("Tab")
            names.append(page.evaluate("document.activeElement.name"))
            if page.evaluate("document.activeElement.type") == "date":
                page.keyboard.press("Tab")  # a date is several stops
                page.keyboard.press("Tab")
                page.keyboard.press("Tab")
        assert names == ["title", "person", "area", "due", "estimate"]
        page.keyboard.type("long")
        page.keyboard.press("Enter")
        expect(page.locator("#wrong")).to_be_focused()
        expect(page.locator("#f-estimate")).to_have_attribute("aria-invalid", "true")
        expect(page.locator("#f-estimate")).to_have_value("long")
        assert axe(page) == []
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator("#f-title")).to_be_focused()
        page.keyboard.type("By keyboard")
        page.locator("#f-estimate").focus()
        page.keyboard.press("Control+A")
        page.keyboard.type("20")
        page.keyboard.press("Enter")
        expect(page.locator(".undo")).to_contain_text("Added: “By keyboard”")
        expect(page.locator("#heading")).to_be_focused()
        assert 'title = "By keyboard"\nestimate = 20\n' in text(home)


def test_without_scripts_all_of_it_works(browser: Browser, home: Home) -> None:
    """Saved, refused with what was typed, and taken back, by whole pages."""
    with device(browser, scripts=False) as page:
        page.goto(f"{home.address}/edit/habits?new=1")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#wrong")).to_contain_text("2 things cannot be saved so")
        page.locator("#f-title").fill("Stretch")
        page.locator("#f-person").select_option("pell")
        page.locator("label", has_text="Monday").tap()
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator(".undo")).to_contain_text("Added: “Stretch”")
        assert 'person = "pell"\ndays = ["monday"]\n' in text(home, "habits.toml")
        page.get_by_role("button", name="Take it back").tap()
        expect(page.locator("#said")).to_contain_text("Taken back")
        assert "Stretch" not in re.findall(r'title = "(\w+)"', text(home, "habits.toml"))


def test_two_at_once_see_each_other_s_work(browser: Browser, home: Home) -> None:
    """The second is told, sees both, and keeps theirs on purpose."""
    address = f"{home.address}/edit/tasks?id=sales-sheet"
    with device(browser) as one, device(browser) as other:
        one.goto(address)
        other.goto(address)
        one.locator("#f-title").fill("Sheet, first")
        one.get_by_role("button", name="Save", exact=True).tap()
        expect(one.locator(".undo")).to_be_visible()
        other.locator("#f-title").fill("Sheet, second")
        other.get_by_role("button", name="Save", exact=True).tap()
        expect(other.locator("#wrong")).to_contain_text("tasks.toml has changed meanwhile.")
        expect(other.locator("#wrong")).to_be_focused()
        expect(other.locator("#s-title")).to_have_text("In the file now: Sheet, first")
        expect(other.locator("#f-title")).to_have_value("Sheet, second")
        assert axe(other) == []
        assert "Sheet, first" in text(home)
        other.get_by_role("button", name="Save", exact=True).tap()
        expect(other.locator(".undo")).to_contain_text("Saved: “Sheet, second”")
        assert "Sheet, second" in text(home)


def test_what_was_typed_outlives_a_lost_network_and_a_reload(browser: Browser, home: Home) -> None:
    """A tablet that is away in the middle says so, and has it all when it is back."""
    with device(browser) as page:
        page.goto(f"{home.address}/edit/tasks?id=gate-latch")
        page.on("dialog", lambda dialog: dialog.accept())
        page.locator("#f-title").fill("Mend the latch")
        page.context.set_offline(True)
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#sent")).to_contain_text("Home does not answer.")
        expect(page.locator("#f-title")).to_have_value("Mend the latch")
        page.context.set_offline(False)
        page.reload()
        expect(page.locator("#f-title")).to_have_value("Mend the latch")
        expect(page.locator(".said")).to_contain_text("stands in the form again")
        page.get_by_role("button", name="Put back what is saved").tap()
        expect(page.locator("#f-title")).to_have_value("Mend gate latch")
        page.locator("#f-title").fill("Mend the latch")
        page.reload()
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator(".undo")).to_contain_text("Saved: “Mend the latch”")
        page.goto(f"{home.address}/edit/tasks?id=gate-latch")
        expect(page.locator("#f-title")).to_have_value("Mend the latch")
        expect(page.locator(".said")).to_have_count(0)


def test_an_amount_is_seen_and_changed_behind_the_pin_alone(browser: Browser, home: Home) -> None:
    """Without it the field is empty; unlocking comes back to the form; going home locks again."""
    access_of(Context.read(home.folder, NOON)).set_pin("ines", "2468")
    address = f"{home.address}/edit/bills?id=rent"
    with device(browser) as page:
        page.goto(address)
        expect(page.locator("#f-amount")).to_have_value("")
        page.get_by_role("link", name="Unlock").tap()
        page.locator("#pin").fill("2468")
        page.get_by_role("button", name="Unlock").tap()
        expect(page.locator("#f-amount")).to_have_value("815.00")
        page.locator("#f-amount").fill("£820.50")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator(".undo")).to_contain_text("Saved: “Rent”")
        assert "amount = 82050\n" in text(home, "money.toml")
        page.get_by_role("link", name="Common pages").tap()
        page.wait_for_url(f"{home.address}/")
        page.goto(address)
        expect(page.locator("#f-amount")).to_have_value("")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_with_forms_are_whole(
    browser: Browser, home: Home, tmp_path: Path, scheme: str
) -> None:
    """Nothing runs out sideways, targets are large, axe and html-validate find nothing."""
    addresses = [
        "/edit/", "/edit/tasks?id=order-jars", "/edit/appointments?new=1",
        "/edit/habits?id=sleep-ines", "/edit/bills?id=rent", "/edit/lessons?new=1",
    ]  # fmt: skip
    context = browser.new_context(viewport=PHONE, has_touch=True, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    saved = []
    for number, address in enumerate(addresses):
        answer = page.goto(home.address + address)
        assert answer is not None
        saved.append(tmp_path / f"{number}.html")
        saved[-1].write_bytes(answer.body())
        page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
        for width in (390, 800, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address
        page.set_viewport_size(PHONE)
        assert small(page) == []
        assert axe(page) == [], address
    context.close()
    assert html_mistakes(saved, tmp_path) == []
