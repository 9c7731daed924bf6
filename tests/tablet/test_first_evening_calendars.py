"""The step of the calendars, on a real server: with the script, and in a browser without any."""

from __future__ import annotations

import stat
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.support.checkers import axe, html_mistakes
from tests.support.households import CONFIG, calendar, event
from tests.support.servers import PASSWORD, USER, CalDavServer, radicale
from tests.support.serving import Serving

EVENING = "2027-03-21T18:00:00+00:00"


@pytest.fixture(scope="module")
def server() -> Iterator[CalDavServer]:
    """A server with two calendars."""
    with radicale() as running:
        home = running.make_calendar("home", title="Home")
        running.put(f"{home}a.ics", calendar(event("a", "20270324T183000", "Choir <b>")).encode())
        work = running.make_calendar("work", title="Work")
        running.put(f"{work}b.ics", calendar(event("b", "20270325T090000", "Stocktaking")).encode())
        yield running


def _household(folder: Path) -> Path:
    folder.mkdir()
    (folder / "config.toml").write_text(CONFIG)
    return folder


def _type(page: Page, address: str, user: str, password: str) -> None:
    page.get_by_label("Address, or a file").fill(address)
    page.get_by_label("Name to sign in with").fill(user)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Look what comes in").click()


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without script"])
def test_a_calendar_is_tried_out_chosen_and_taken_in(
    browser: Browser, tmp_path: Path, server: CalDavServer, script: bool
) -> None:
    """A wrong password is told beside the address; then what comes in, and one of two is taken."""
    folder = _household(tmp_path / "home")
    with Serving(folder, now=EVENING) as served:
        context = browser.new_context(java_script_enabled=script, locale="en-GB")
        page = context.new_page()
        answers: list[bytes] = []
        page.goto(f"{served.origin}/start/calendars")
        _type(page, server.url, USER, "wrong-pine-4")
        expect(page.locator(".mistake")).to_have_text(
            "the server does not accept the name and the password; type them once more"
        )
        expect(page.get_by_label("Address, or a file")).to_have_value(server.url)
        expect(page.get_by_label("Password")).to_have_value("")
        answers += [page.content().encode(), page.request.get(page.url).body()]
        if script:
            assert axe(page) == []
        _type(page, server.url, USER, PASSWORD)
        expect(page.get_by_role("heading", name="What comes in")).to_be_visible()
        expect(page.locator(".found")).to_contain_text("Choir <b>")
        expect(page.locator(".found")).to_contain_text("Stocktaking")
        answers += [page.content().encode(), page.request.get(page.url).body()]
        if script:
            assert axe(page) == []
        page.get_by_role("group", name="Which of its calendars").get_by_label("Work").uncheck()
        page.get_by_label("What it is called").fill("Ann's evenings")
        page.get_by_role("group", name="Whose time").get_by_label("Ann").check()
        page.get_by_role("button", name="Take it in").click()
        expect(page.locator(".there")).to_contain_text("Ann's evenings")
        answers += [page.content().encode(), page.request.get(page.url).body()]
        if script:
            page.goto(f"{served.origin}/2027-W12.html")
            expect(page.locator("body")).to_contain_text("Choir <b>", timeout=60_000)
            expect(page.locator("body")).not_to_contain_text("Stocktaking")
        context.close()
    text = (folder / "config.toml").read_text()
    entry = tomllib.loads(text)["calendars"][0]
    assert (entry["choose"], entry["person"], entry["name"]) == (["Home"], "ann", "Ann's evenings")
    secret = folder / entry["password_file"]
    assert (secret.read_text(), stat.S_IMODE(secret.stat().st_mode)) == (f"{PASSWORD}\n", 0o600)
    for one in (*answers, text.encode()):
        assert PASSWORD.encode() not in one
        assert b"wrong-pine-4" not in one
    sent = answers[1::2]  # as the server sent them; the others are what became of them
    paths = [tmp_path / f"{number}.html" for number in range(len(sent))]
    for path, content in zip(paths, sent, strict=True):
        path.write_bytes(content)
    assert html_mistakes(paths, tmp_path) == []
