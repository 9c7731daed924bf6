"""Marks on pages of one's own: they go home from there alone, and nothing of them is lost."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.tablet.homes import Home, serving
from tests.tablet.marking import NOON, TODAY, Tablet, tablet
from weeksync import demo
from weeksync.serve import Access

pytestmark = pytest.mark.browser

expect.set_options(timeout=20_000)

THING, PIN = "letter-drawer", "4711"
"""A habit that is only for Ines."""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household at home; Ines has a PIN."""
    folder = demo.copy_to(tmp_path_factory.mktemp("home") / "home")
    Access(folder / "state" / "access.json").set_pin("ines", PIN)
    with serving(folder, NOON.isoformat()) as running:
        yield running


def unlock(one: Tablet) -> None:
    """Give the PIN on the page that asks for it."""
    if one.page.locator("select[name=person], input[name=person]").count():
        one.page.locator("input[name=pin]").fill(PIN)
    one.page.locator("input[name=pin]").press("Enter")
    expect(one.cell(THING)).to_be_visible()


def test_a_mark_of_an_own_page_waits_until_that_page_is_unlocked_again(
    browser: Browser, home: Home
) -> None:
    """A restart of serve locks: the mark stays, the common page neither sends nor names it."""
    with tablet(browser, home.page("own/2027-W12.html")) as one:
        unlock(one)
        home.off()
        one.button(THING).tap()
        expect(one.bar()).to_contain_text("Marks only on this tablet: 1")
        home.on()
        one.page.evaluate("dispatchEvent(new Event('online'))")
        expect(one.said()).to_have_text("Your pages are locked; unlock them with your PIN.")
        assert [mark["value"] for mark in one.kept()] == ["yes"]
        one.page.goto(home.page())
        one.button("day-card").tap()
        expect(one.said()).to_contain_text("Written down: 1")
        assert THING not in one.page.locator("body").inner_text()
        assert one.page.evaluate("weekMarks.waiting()") == 1
        assert home.lines(THING)[-1:] != [(TODAY, "yes")]
        one.page.goto(home.page("own/2027-W12.html"))
        unlock(one)
        expect(one.said()).to_contain_text("Written down: 1")
        assert home.lines(THING)[-1] == (TODAY, "yes")
        one.wrong.clear()  # while home was off, and the answers 403


def test_who_leaves_their_own_pages_locks_them(browser: Browser, home: Home) -> None:
    """On the tablet in the kitchen the next one is asked for the PIN, also by going back."""
    with tablet(browser, home.page("own/2027-W12.html")) as one:
        unlock(one)
        one.page.get_by_role("link", name="Common pages").tap()
        one.page.wait_for_url(f"{home.address}/")
        assert one.page.evaluate("served.person") == ""
        one.page.go_back()
        expect(one.page.get_by_label("PIN")).to_be_visible()
        assert one.cell(THING).count() == 0
        one.page.goto(home.page("own/check-in.html"))
        expect(one.page.get_by_label("PIN")).to_be_visible()
        one.wrong.clear()  # the answers 403
