"""A closed week on a tablet: its page says so, a mark for it is kept, and home says what of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.tablet.homes import Home, serving
from tests.tablet.marking import NOON, tablet
from weeksync import demo

pytestmark = pytest.mark.browser

expect.set_options(timeout=90_000)  # a rebuild takes its time where others keep the machine busy

WEDNESDAY = "2027-03-17"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household at home, on a loopback port, with no device set up."""
    folder = demo.copy_to(tmp_path_factory.mktemp("home") / "home")
    with serving(folder, NOON.isoformat()) as running:
        yield running


def test_a_week_is_closed_marked_and_reopened_before_ones_eyes(
    browser: Browser, home: Home
) -> None:
    """Each command shows on the open page by itself; the mark counts from the reopening on."""
    with tablet(browser, home.page("2027-W11.html")) as one:
        notice = one.page.locator("main .closed")
        expect(one.button("day-card", WEDNESDAY)).to_be_visible()
        expect(notice).to_have_count(0)
        before = one.cell("day-card", WEDNESDAY).get_attribute("data-value")
        home.run("close", "2027-W11")
        expect(notice).to_contain_text("This week was closed on 24 Mar 2027")
        one.button("day-card", WEDNESDAY).tap()
        expect(one.said()).to_contain_text(
            "the week 2027-W11 is closed; the mark is kept, and counts when the week is reopened"
        )
        value = [value for day, value in home.lines("day-card") if day == WEDNESDAY][-1]
        assert value != before
        expect(one.cell("day-card", WEDNESDAY)).to_have_attribute("data-value", before or "")
        home.run("close", "2027-W11", "--reopen")
        expect(notice).to_have_count(0)
        one.page.reload()
        expect(one.cell("day-card", WEDNESDAY)).to_have_attribute("data-value", value)
