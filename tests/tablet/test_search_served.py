"""Searching and the own questions as `weeksync serve` has them, with and without scripts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.support.checkers import axe, html_mistakes
from tests.tablet.homes import Home, serving
from weeksync import demo
from weeksync.cli import main
from weeksync.workflow.access import access_of
from weeksync.workflow.context import Context
from weeksync.workflow.review import standing_answers
from weeksync.workflow.spans import week_named

pytestmark = pytest.mark.browser

MORNING = "2027-03-24T05:40:00+00:00"
WEDNESDAY = datetime.fromisoformat(MORNING).astimezone(UTC)
PIN = "4711-owl"
TOO_LITTLE = "What did the kitchen table see too little of?"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household with 2027-W11 closed, served; Ines has a PIN."""
    folder = demo.copy_to(tmp_path_factory.mktemp("served") / "home")
    where = ["--household", str(folder), "--now", MORNING]
    for words in (["pull"], ["close", "2027-W11"], ["build"]):
        assert main([*words, *where]) == 0
    access_of(Context.read(folder, WEDNESDAY)).set_pin("ines", PIN)
    with serving(folder, MORNING) as running:
        yield running


def open_page(browser: Browser, *, scripts: bool = True) -> Page:
    """A tablet of its own."""
    device = browser.new_context(
        viewport={"width": 800, "height": 1000}, java_script_enabled=scripts, locale="en-GB"
    )
    return device.new_page()


def unlock(page: Page) -> None:
    """Type the PIN where it is asked for."""
    page.fill("[name=pin]", PIN)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def answers(home: Home) -> dict[str, str]:
    """What stands in the file of the week."""
    context = Context.read(home.folder, WEDNESDAY, give_ids=False)
    held = standing_answers(context, "ines", week_named("2027-W11", context))
    return {one.question: one.answer for one in held.answers}


@pytest.mark.parametrize("scripts", [True, False])
def test_everybody_finds_what_is_common_and_ines_what_is_hers(
    home: Home, browser: Browser, scripts: bool
) -> None:
    """By typing; notes only behind the PIN, and what is only for Ines; a hit leads to its week."""
    page = open_page(browser, scripts=scripts)
    page.goto(home.page("search/"))
    page.get_by_label("Words").fill("MARKET sta")
    page.keyboard.press("Enter")
    page.wait_for_url("**/search/?q=MARKET+sta")
    lines = page.locator(".found li")
    assert lines.count() >= 1
    assert all("Market stall" in text for text in lines.all_inner_texts())
    if scripts:
        assert axe(page) == []
    lines.get_by_role("link").first.click()
    page.wait_for_url("**/2027-W11.html")
    for private in ("narrowboat", "letter drawer"):
        page.goto(home.page(f"search/?q={private.replace(' ', '+')}"))
        expect(page.get_by_text("0 found")).to_be_visible()
    page.get_by_role("link", name="Unlock").click()
    unlock(page)
    page.wait_for_url("**/search/?q=letter+drawer&own=yes")
    assert "letter drawer" in lines.first.inner_text()
    page.get_by_label("Words").fill("NARROWBOAT")
    page.keyboard.press("Enter")
    lines.get_by_role("link").first.click()
    page.wait_for_url("**/own/2027-W11.html")
    page.context.close()


def test_a_query_that_cannot_be_gets_a_word(home: Home, browser: Browser, tmp_path: Path) -> None:
    """Nothing, signs alone, markup, and more than anybody types; the page stays whole HTML."""
    page = open_page(browser)
    for query in ("", "?q=", "?q=%CC%81", "?q=%3Cscript%3Ealert(1)%3C/script%3E", "?x=y"):
        answer = page.goto(home.page(f"search/{query}"))
        assert answer is not None
        assert answer.status == 200
        assert page.get_by_label("Words").is_visible()
        made = tmp_path / "page.html"
        made.write_bytes(answer.body())
        assert html_mistakes([made], tmp_path) == []
    for query in (f"?q={'a' * 201}", "?own=yes&q="):
        answer = page.goto(home.page(f"search/{query}"))
        assert answer is not None
        assert answer.status == (400 if "aaa" in query else 403)
    assert (page.goto(home.page("search/else")) or pytest.fail("no answer")).status == 404
    page.context.close()


@pytest.mark.parametrize("scripts", [True, False])
def test_the_own_questions_are_answered_from_the_page_that_looks_back(
    home: Home, browser: Browser, scripts: bool
) -> None:
    """Behind the PIN; saved, shown, and taken back; the file has it, and nobody else's page."""
    before = answers(home)
    page = open_page(browser, scripts=scripts)
    page.goto(home.page("own/review-2027-W11.html"))
    unlock(page)
    page.goto(home.page("own/review-2027-W11.html"))
    page.get_by_role("link", name="Answer your questions").click()
    page.wait_for_url("**/answers/2027-W11")
    if scripts:
        assert axe(page) == []
    said = f"All four of us, {'with' if scripts else 'without'} <b>scripts</b>."
    page.get_by_label(TOO_LITTLE).fill(said)
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main").get_by_text("Saved: the answers of week 2027-W11")).to_be_visible()
    assert answers(home)[TOO_LITTLE] == said
    assert page.get_by_label(TOO_LITTLE).input_value() == said
    page.goto(home.page("own/review-2027-W11.html"))
    assert page.locator("#questions").get_by_text(said).is_visible()
    page.goto(home.page("answers/2027-W11"))
    page.get_by_role("button", name="Take it back").click()
    page.wait_for_url("**/answers/2027-W11")
    expect(page.locator("main").get_by_text("Taken back").first).to_be_visible()
    assert answers(home) == before
    page.context.close()


def test_answers_changed_meanwhile_are_shown_beside_what_was_typed(
    home: Home, browser: Browser
) -> None:
    """Nothing is written until it is sent again; then what was typed stands."""
    page = open_page(browser)
    page.goto(home.page("answers/2027-W11"))
    unlock(page)
    file = home.folder / "reviews" / "2027-W11.md"
    kept = file.read_bytes()
    file.write_text(file.read_text("utf-8").replace("seed list", "sleep"), "utf-8")
    meanwhile = answers(home)[TOO_LITTLE]
    assert "sleep" in meanwhile
    page.get_by_label(TOO_LITTLE).fill("Bread.")
    page.get_by_role("button", name="Save").click()
    expect(
        page.locator("main").get_by_text("The answers of that week were changed meanwhile.")
    ).to_be_visible()
    assert page.locator("main").get_by_text(meanwhile).is_visible()
    assert page.get_by_label(TOO_LITTLE).input_value() == "Bread."
    assert axe(page) == []
    assert answers(home)[TOO_LITTLE] == meanwhile
    page.get_by_role("button", name="Save").click()
    expect(page.locator("main").get_by_text("Saved: the answers of week 2027-W11")).to_be_visible()
    assert answers(home)[TOO_LITTLE] == "Bread."
    file.write_bytes(kept)
    page.context.close()


def test_locked_pages_and_weeks_to_come_take_no_answer(home: Home, browser: Browser) -> None:
    """The PIN is asked for; of a week that has not begun there is nothing to answer."""
    page = open_page(browser)
    answer = page.goto(home.page("answers/2027-W11"))
    assert answer is not None
    assert answer.status == 403
    assert page.get_by_label(TOO_LITTLE).count() == 0
    unlock(page)
    for rest in ("2027-W13", "2027-W99", "else"):
        gone = page.goto(home.page(f"answers/{rest}"))
        assert gone is not None
        assert gone.status == 404
    page.goto(home.page("answers/"))
    page.wait_for_url("**/answers/2027-W11")
    page.context.close()
