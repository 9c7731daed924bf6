"""What may go wrong on a Sunday: no scripts, two at once, a tablet asleep, a home that is off."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from playwright.sync_api import Browser, expect

from tests.support.checkers import axe
from tests.tablet.homes import Home
from tests.tablet.sundays import sitting, sunday
from weeksync.household import read_household
from weeksync.model.week import IsoWeek
from weeksync.serve import Access

pytestmark = pytest.mark.browser

W13 = IsoWeek.parse("2027-W13")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """One household for all of them, each with tasks of its own."""
    with sunday(tmp_path_factory.mktemp("sunday")) as served:
        yield served


def placed(home: Home) -> dict[str, date]:
    """Task → its day in the file of the week."""
    return {one.task: one.date for one in read_household(home.folder).weeks[W13].placed}


def test_without_scripts_the_same_forms_do_the_same(browser: Browser, home: Home) -> None:
    """A task is chosen and put on a day by two touches; cells are written; undo is a button."""
    with sitting(browser, home, scripts=False, width=800) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=days")
        table = page.locator("#place")
        expect(table).to_be_hidden()
        page.locator(".slot", has_text="Mend gate latch").locator(".pick").tap()
        expect(table).to_be_visible()
        table.locator("button[value='2027-04-03/evening']").tap()
        page.wait_for_url("**step=days*")
        expect(page.locator("section[aria-labelledby='d-2027-04-03']")).to_contain_text(
            "gate latch"
        )
        assert placed(home)["gate-latch"] == date(2027, 4, 3)
        page.get_by_role("button", name="Take it back").tap()
        expect(page.locator(".said")).to_contain_text("Taken back")
        assert "gate-latch" not in placed(home)
        page.goto(f"{home.address}/plan/2027-W13?step=rows")
        page.locator("#f-row-0-saturday").fill("Cold table")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#f-row-0-saturday")).to_have_value("Cold table")


def test_two_who_put_the_same_task_on_days_both_see_both(browser: Browser, home: Home) -> None:
    """The second is told what the first has done, and does it all the same on purpose."""
    with sitting(browser, home) as mine, sitting(browser, home) as yours:
        for one in (mine, yours):
            one.page.goto(f"{home.address}/plan/2027-W13?step=days")
            one.page.locator(".slot", has_text="Order jars").locator(".pick").tap()
        mine.page.locator("#place button[value='2027-03-30/morning']").tap()
        expect(mine.page.locator("section[aria-labelledby='d-2027-03-30']")).to_contain_text("jars")
        yours.page.locator("#place button[value='2027-04-01/evening']").tap()
        wrong = yours.page.locator("#wrong")
        expect(wrong).to_contain_text("Changed meanwhile")
        expect(wrong).to_contain_text("has been put on")
        expect(wrong).to_be_focused()
        assert axe(yours.page) == []
        assert placed(home)["order-jars"] == date(2027, 3, 30)
        yours.page.get_by_role("button", name="Do it all the same").tap()
        expect(wrong).to_have_count(0)
        expect(yours.page.locator("section[aria-labelledby='d-2027-04-01']")).to_contain_text(
            "jars"
        )
        assert placed(home)["order-jars"] == date(2027, 4, 1)


def test_a_file_edited_by_hand_meanwhile_keeps_both_texts(browser: Browser, home: Home) -> None:
    """What was typed stands in the field, what stands in the file beside it."""
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=rows")
        field = page.locator("#f-row-0-monday")
        field.fill("My soup")
        path = home.folder / "weeks" / "2027-W13.toml"
        text = path.read_text("utf-8")
        path.write_text(text.replace("What is left of Sunday", "Pancakes, by hand"), "utf-8")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#s-row-0-monday")).to_contain_text("Pancakes, by hand")
        expect(field).to_have_value("My soup")
        assert axe(page) == []
        assert "Pancakes, by hand" in path.read_text("utf-8")
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#s-row-0-monday")).to_have_count(0)
        assert "My soup" in path.read_text("utf-8")


def test_a_tablet_that_sleeps_while_home_is_off_loses_nothing(browser: Browser, home: Home) -> None:
    """The page says that home does not answer; what was typed is there after a reload, too."""
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=rows")
        field = page.locator("#f-row-0-sunday")
        field.fill("Roast roots")
        home.off()
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("#sent")).to_contain_text("Home does not answer")
        expect(page.locator("#sent")).to_contain_text("What you typed is kept")
        expect(field).to_have_value("Roast roots")
        home.on()
        page.once("dialog", lambda dialog: dialog.accept())
        page.reload()
        expect(field).to_have_value("Roast roots")
        expect(page.locator("main .said", has_text="stands in the form again")).to_be_visible()
        page.get_by_role("button", name="Save", exact=True).tap()
        expect(page.locator("main .said", has_text="stands in the form again")).to_have_count(0)
        (meals,) = (
            row for row in read_household(home.folder).weeks[W13].rows if row.title == "Meals"
        )
        assert "Roast roots" in meals.cells.values()
        one.faults.clear()  # that nobody answered is what the browser says, too


def test_no_step_leads_away_while_home_is_off(browser: Browser, home: Home) -> None:
    """Not to a browser's own page of errors; once home answers, the same link leads on."""
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=done")
        home.off()
        page.get_by_role("button", name="The week is agreed on").tap()
        notice = page.locator("#sent")
        expect(notice).to_contain_text("Nothing was saved: press it again in a moment.")
        page.locator(".go-on .back").tap()
        expect(notice).to_contain_text("Home does not answer")
        expect(page.locator(".step.at-done")).to_be_visible()
        home.on()
        page.locator(".go-on .back").tap()
        expect(page.locator(".step.at-rows")).to_be_visible()
        one.faults.clear()  # that nobody answered is what the browser says, too


def test_what_cannot_be_is_said_beside_its_field(browser: Browser, home: Home) -> None:
    """With the focus on it, and a link to the field."""
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=habits")
        page.get_by_role("button", name="Make these days lighter").tap()
        expect(page.locator("#wrong")).to_be_focused()
        expect(page.locator("#m-person")).to_contain_text("say of whom")
        assert axe(page) == []


def test_a_closed_week_says_so_and_leads_on(browser: Browser, home: Home) -> None:
    """Its address is no dead end."""
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W11")
        expect(page.locator("main")).to_contain_text("2027-W11 is over")
        assert axe(page) == []
        page.get_by_role("link", name="Plan 2027-W13").tap()
        expect(page.locator("#step-heading")).to_be_visible()


def test_amounts_come_with_the_pin_and_lead_back_to_the_step(browser: Browser, home: Home) -> None:
    """Locked there is none on the page; unlocked, one that differed can be written."""
    Access(home.folder / "state" / "access.json").set_pin("ines", "2468")
    with sitting(browser, home) as one:
        page = one.page
        page.goto(f"{home.address}/plan/2027-W13?step=bills")
        expect(page.locator("[name=amount]")).to_have_count(0)
        page.get_by_role("link", name="Unlock them").tap()
        page.get_by_label("Ines").check()
        page.locator("input[name=pin]").fill("2468")
        page.locator("input[name=pin]").press("Enter")
        expect(page.locator(".step.at-bills")).to_be_visible()
        expect(page.locator("[name=amount]").first).to_be_visible()
        expect(page.locator(".week-days")).to_contain_text("£815.00")  # the rent, on Thursday
        assert axe(page) == []
        page.locator("[name=amount]").first.fill("9.99")
        page.get_by_role("button", name="It is paid").first.tap()
        expect(page.locator(".undo")).to_contain_text("“Milk and eggs” is paid")
        (milk,) = (bill for bill in read_household(home.folder).bills if bill.id == "milk")
        assert milk.paid[-1].amount == 999
        one.faults.clear()  # Chromium notes the 403 of the page that asks for the PIN
