"""Marks on pages that `weeksync serve` serves: sent at once, answered, and never lost between."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Route, expect

from tests.tablet.homes import Home, serving
from tests.tablet.marking import NOON, TODAY, YESTERDAY, Tablet, tablet
from weeksync import demo

pytestmark = pytest.mark.browser

expect.set_options(timeout=20_000)  # a rebuild takes its time where others keep the machine busy

WRITTEN = "Written down: "
WAITS = "Home does not answer; the marks wait here."


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household at home, on a loopback port, with no device set up."""
    folder = demo.copy_to(tmp_path_factory.mktemp("home") / "home")
    with serving(folder, NOON.isoformat()) as running:
        yield running


def sent(one: Tablet) -> None:
    """Wait until home has everything."""
    end = time.monotonic() + 20
    while one.page.evaluate("weekMarks.waiting()"):
        assert time.monotonic() < end, one.tells()
        one.page.wait_for_timeout(50)


def test_a_mark_is_written_at_once_and_the_page_follows(browser: Browser, home: Home) -> None:
    """It is in the file when the page says so; the rebuilt page then has it by itself."""
    with tablet(browser, home.page()) as one:
        one.button("day-card").tap()
        expect(one.said()).to_contain_text(f"{WRITTEN}1")
        assert home.lines("day-card")[-1] == (TODAY, "yes")
        assert one.state("day-card") == "marked"
        expect(one.cell("day-card")).to_have_attribute("data-value", "yes")
        assert one.page.evaluate("weekMarks.waiting()") == 0
        one.page.reload()
        expect(one.cell("day-card")).to_have_attribute("data-value", "yes")
        assert one.kept() == []


def test_two_devices_see_each_other(browser: Browser, home: Home) -> None:
    """What one marks the other shows; both mark the same cell: the later one holds for both."""
    with tablet(browser, home.page()) as one, tablet(browser, home.page()) as other:
        one.button("lamp-out").tap()
        expect(other.cell("lamp-out")).to_have_attribute("data-value", "yes")
        other.button("lamp-out").tap()
        expect(one.cell("lamp-out")).to_have_attribute("data-value", "no")
        one.button("clear-table").tap()
        other.button("stretch").tap()
        other.ask().get_by_role("spinbutton").fill("20")
        other.ask().get_by_role("button", name="Record").tap()
        for seen in (one, other):
            expect(seen.cell("clear-table")).to_have_attribute("data-value", "yes")
            expect(seen.cell("stretch")).to_have_attribute("data-value", "20")
            assert seen.state("lamp-out") == "missed"
        assert [line for line in home.lines("lamp-out") if line[0] == TODAY] == [
            (TODAY, "yes"),
            (TODAY, "no"),
        ]


def test_a_slow_clock_does_not_undo_what_its_owner_saw(browser: Browser, home: Home) -> None:
    """A tablet three minutes slow marks what another has just marked: made later, it holds."""
    slow = NOON - timedelta(minutes=3)
    with (
        tablet(browser, home.page()) as one,
        tablet(browser, home.page(), now=slow) as other,
    ):
        one.button("lamp-out", YESTERDAY).tap()
        shown = one.cell("lamp-out", YESTERDAY)
        sent(one)
        first = home.lines("lamp-out")[-1][1]
        expect(other.cell("lamp-out", YESTERDAY)).to_have_attribute("data-value", first)
        other.button("lamp-out", YESTERDAY).tap()
        sent(other)
        later = home.lines("lamp-out")[-1][1]
        assert later != first
        expect(shown).to_have_attribute("data-value", later)


def test_a_page_that_changes_keeps_focus_and_dialog(browser: Browser, home: Home) -> None:
    """So do open folds; while a dialog is open the page is left alone."""
    with tablet(browser, home.page()) as one, tablet(browser, home.page()) as other:
        fold = one.page.locator("main details").first
        fold.evaluate("(one) => { one.open = true; }")
        one.button("sleep-ines").focus()
        other.button("day-card", YESTERDAY).tap()
        expect(one.cell("day-card", YESTERDAY)).to_have_attribute("data-value", "no")
        expect(one.button("sleep-ines")).to_be_focused()
        expect(fold).to_have_attribute("open", "")
        one.page.keyboard.press("Enter")
        one.page.keyboard.type("6")
        other.button("day-card", YESTERDAY).tap()
        sent(other)
        expect(other.cell("day-card", YESTERDAY)).not_to_have_attribute("data-value", "no")
        expect(one.ask().get_by_role("spinbutton")).to_have_value("6")
        one.page.keyboard.press("Enter")
        expect(one.cell("sleep-ines")).to_have_attribute("data-value", "6")
        expect(one.cell("day-card", YESTERDAY)).not_to_have_attribute("data-value", "no")


def test_marks_wait_while_home_cannot_be_reached(browser: Browser, home: Home) -> None:
    """The page says so and goes on; when there is a network again they are sent by themselves."""
    with tablet(browser, home.page()) as one:
        one.context.set_offline(True)
        one.button("skipping").tap()
        one.ask().get_by_role("spinbutton").fill("120")
        one.ask().get_by_role("button", name="Record").tap()
        one.button("easter-parcel").tap()
        expect(one.said()).to_contain_text(WAITS)
        assert one.state("skipping").endswith("(only on this tablet)")
        assert "Marks only on this tablet: 2" in one.tells()
        one.context.set_offline(False)
        sent(one)
        assert home.lines("skipping")[-1] == (TODAY, "120")
        # Browsers listen again after five seconds (`retry` of the stream).
        expect(one.cell("skipping")).to_have_attribute("data-value", "120")
        one.wrong.clear()  # the browser tells on its console that there was no network


def test_an_answer_that_is_lost_makes_no_second_mark(browser: Browser, home: Home) -> None:
    """Home wrote the mark and was gone before it said so: it is sent once more, and counts once."""
    lost: list[int] = []

    def lose(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    with tablet(browser, home.page()) as one:
        one.page.route("**/marks", lose)
        before = len(home.lines("water"))
        one.button("water").tap()
        one.ask().get_by_role("spinbutton").fill("7")
        one.ask().get_by_role("button", name="Record").tap()
        expect(one.said()).to_contain_text(WAITS)
        assert lost == [200]
        one.page.clock.fast_forward(5_000)
        sent(one)
        assert home.lines("water")[before:] == [(TODAY, "7")]
        one.wrong.clear()


def test_what_home_refuses_is_told_and_kept_until_dismissed(browser: Browser, home: Home) -> None:
    """An item that is gone, a value out of range, a day to come: each with reason and remedy."""
    with tablet(browser, home.page()) as one:
        one.page.evaluate(
            "weekMarks.add(["
            f"{{id: 'gone', date: '{TODAY}', person: '', value: 'yes'}},"
            f"{{id: 'water', date: '{TODAY}', person: '', value: '9999999'}},"
            f"{{id: 'lamp-out', date: '{YESTERDAY}', person: '', value: 'yes'}}])"
        )
        sent(one)
        refused = one.bar().locator(".refused")
        expect(refused).to_contain_text("gone")
        expect(refused).to_contain_text("write a whole number up to 1000000")
        assert home.lines("gone") == []
        assert home.lines("lamp-out")[-1] == (YESTERDAY, "yes")
        one.page.reload()
        expect(refused).to_contain_text("Not taken")
        assert len(one.page.evaluate("weekMarks.refused()")) == 2
        one.bar().get_by_role("button", name="Dismiss what was not taken").tap()
        expect(refused).to_be_hidden()
        assert one.page.evaluate("weekMarks.refused()") == []


def test_a_wrong_clock_is_told(browser: Browser, home: Home) -> None:
    """The clock of the tablet is months off home's: the mark is taken all the same."""
    with tablet(browser, home.page(), now=NOON + timedelta(minutes=3)) as one:
        one.button("long-walk").tap()
        expect(one.said()).to_contain_text("This clock is more than 10 minutes wrong.")
        assert home.lines("long-walk")[-1] == (TODAY, "yes")


def test_marks_outlive_a_home_that_is_switched_off(browser: Browser, home: Home) -> None:
    """Off while marks are made, on again: they come by themselves, in the order they were made."""
    with tablet(browser, home.page()) as one:
        before = home.lines("stretch")
        stood = next((value for day, value in reversed(before) if day == TODAY), "")
        home.off()
        one.button("stretch").tap()
        one.ask().get_by_role("spinbutton").fill("40")
        one.ask().get_by_role("button", name="Record").tap()
        expect(one.said()).to_contain_text(WAITS)
        one.page.keyboard.press("Control+z")
        home.on()
        for _ in range(20):
            one.page.clock.fast_forward(60_000)
            if one.page.evaluate("weekMarks.waiting()") == 0:
                break
            one.page.wait_for_timeout(200)
        assert home.lines("stretch")[len(before) :] == [(TODAY, "40"), (TODAY, stood)]
        one.wrong.clear()


def test_a_folder_page_is_paired_once_and_hands_over(browser: Browser, home: Home) -> None:
    """The code is typed once; marks go home by one button; a device that is revoked is told."""
    address = (Path(home.folder) / "output" / "site" / "2027-W12.html").as_uri()
    with tablet(browser, address) as one:
        one.button("clear-table", YESTERDAY).tap()
        bar = one.bar()
        expect(bar.get_by_role("button", name="Hand over")).to_be_hidden()
        bar.get_by_role("button", name="Pair", exact=True).tap()
        dialog = one.page.locator("#pair")
        dialog.get_by_label("Address").select_option(home.address)
        dialog.get_by_label("Code").fill("0000-0000")
        dialog.get_by_role("button", name="Pair").tap()
        expect(one.said()).not_to_be_empty()
        expect(bar.get_by_role("button", name="Hand over")).to_be_hidden()
        one.wrong.clear()

        bar.get_by_role("button", name="Pair", exact=True).tap()
        dialog.get_by_label("Address").select_option(home.address)
        dialog.get_by_label("Code").fill(home.code("kitchen"))
        dialog.get_by_role("button", name="Pair").tap()
        expect(one.said()).to_contain_text("Paired with home.")
        assert home.lines("clear-table")[-1] != (YESTERDAY, "yes")
        bar.get_by_role("button", name="Hand over").tap()
        expect(one.said()).to_contain_text(f"{WRITTEN}1")
        assert home.lines("clear-table")[-1] == (YESTERDAY, "yes")
        assert "Marks only on this tablet" not in one.tells()
        one.page.reload()
        assert one.state("clear-table", YESTERDAY) == "marked"

        home.run("devices", "--revoke", "kitchen")
        one.button("clear-table", YESTERDAY).tap()
        bar.get_by_role("button", name="Hand over").tap()
        expect(one.said()).not_to_contain_text(WRITTEN)
        assert "Marks only on this tablet: 1" in one.tells()
        bar.get_by_role("button", name="Unpair").tap()
        expect(bar.get_by_role("button", name="Pair", exact=True)).to_be_visible()
        one.wrong.clear()


def test_a_tablet_that_is_signed_out_is_told(browser: Browser, home: Home) -> None:
    """Since a device is set up, pages have to sign in: the mark waits beside a link to do so."""
    with tablet(browser, home.page()) as one:
        home.pair("hall")
        one.button("sweet").tap()
        expect(one.bar().get_by_role("link", name="Sign in again")).to_be_visible()
        assert one.page.evaluate("weekMarks.waiting()") == 1
        assert "Marks only on this tablet: 1" in one.tells()
        home.run("devices", "--revoke", "hall")
        one.page.evaluate("dispatchEvent(new Event('focus'))")
        sent(one)
        expect(one.bar().get_by_role("link", name="Sign in again")).to_be_hidden()
        assert home.lines("sweet")[-1] == (TODAY, "yes")
        one.wrong.clear()
