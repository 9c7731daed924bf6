"""A calendar's to-do ticked on the served page: on the server soon, and open again by touch."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.support.feeds import web_server
from tests.support.servers import radicale
from tests.tablet.homes import serving
from tests.tablet.marking import NOON, tablet
from tests.tablet.test_enter import entering, row, waiting
from tests.workflow.test_serving_rebuild import until
from tests.workflow.ticking import POTS, SEEDS, Ticking, todo
from weeksync.cli import main
from weeksync.workflow.todo_ids import tickable_todos

pytestmark = [pytest.mark.browser, pytest.mark.server]

expect.set_options(timeout=20_000)
FRIDAY, TODAY = "2027-03-26", "2027-03-24"


def test_a_to_do_is_entered_from_paper_and_can_only_be_done(
    browser: Browser, tmp_path: Path
) -> None:
    """By keyboard and by touch, on the list of its day."""
    with radicale() as server, web_server() as web:
        path = server.make_calendar("errands", title="Errands")
        home = Ticking(tmp_path / "home", server, web, path, "Errands")
        home.put("pots", todo(POTS))
        assert not home.pull().problems
    now = home.context().now
    assert main(["build", "--household", str(home.folder), "--now", now.isoformat()]) == 0
    with entering(browser, home.folder / "output" / "site", now=now) as page:
        row(page, TODAY).locator(".typed").click()
        page.keyboard.type("/1")
        page.keyboard.press("Enter")
        told = "“Water the pots” lies in a calendar, and can only be done"
        expect(row(page, TODAY).locator(".mistake")).to_have_text(told)
        assert waiting(page) == 0
        page.keyboard.press("Control+a")
        page.keyboard.type("1")
        page.keyboard.press("Enter")
        expect(row(page, TODAY).locator("[data-number]")).to_have_attribute("data-value", "done")
        assert waiting(page) == 1
        row(page, TODAY).locator("[data-number]").click()
        expect(row(page, TODAY).locator("[data-number]")).to_have_attribute("data-value", "")


def test_a_to_do_is_ticked_and_opened_again_on_the_page(browser: Browser, tmp_path: Path) -> None:
    """It is offered as a task that repeats is: done, and back; never to be dropped or put off."""
    with radicale() as server, web_server() as web:
        path = server.make_calendar("errands", title="Errands")
        home = Ticking(tmp_path / "home", server, web, path, "Errands")
        home.put("seeds", todo(SEEDS))
        assert not home.pull().problems
        (thing,) = tickable_todos(home.context())
        with serving(home.folder, NOON.isoformat()) as at, tablet(browser, at.page()) as one:
            assert one.cell(thing, FRIDAY).get_attribute("data-edit") is None
            one.title(thing, FRIDAY).tap()
            offered = one.ask().get_by_role("button")
            words = {name.strip() for name in offered.all_inner_texts() if name.strip()}
            assert words == {"done", "Close"}
            one.ask().get_by_role("button", name="done").tap()
            expect(one.cell(thing)).to_have_class("task done", timeout=20_000)
            until(lambda: b"STATUS:COMPLETED" in home.get())
            one.button(thing).tap()
            until(lambda: b"STATUS:NEEDS-ACTION" in home.get())
            expect(one.cell(thing, FRIDAY)).to_be_visible()
    assert {one.method for one in web.seen} <= {"PROPFIND", "REPORT", "GET", "PUT"}
