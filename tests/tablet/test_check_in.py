"""A check-in on the tablet: by keyboard alone, on two devices, with home away or locked."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.support import sample_week
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from tests.support.households import write_household
from weeksync.cli import main
from weeksync.model.check_in import CheckInFields
from weeksync.read import parse_check_in
from weeksync.site import check_in_page
from weeksync.workflow import Context
from weeksync.workflow.access import access_of

pytestmark = pytest.mark.browser

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
PIN = "2468"
TODAY = "check-ins/2027-03-24.md"
WORDS = {"feeling": "flat", "why": "short night", "help": "tea", "gratitude": "the blackbird"}
FORM = "check-in.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@dataclass
class Home:
    """A household that is served; Ann has a PIN."""

    folder: Path
    address: str
    process: subprocess.Popen[str]

    def stop(self) -> None:
        """Switch the computer off."""
        self.process.send_signal(signal.SIGTERM)
        self.process.communicate(timeout=20)

    def check_in(self, name: str = TODAY) -> dict[str, object]:
        """What the file says, without a mistake."""
        found, problems = parse_check_in(name, (self.folder / name).read_bytes(), "ann")
        assert not problems
        assert found is not None
        keys = ("feeling", "energy", "why", "help", "gratitude", "text")
        return {key: getattr(found, key) for key in keys if getattr(found, key)}


def serving(folder: Path, port: str = "0") -> Home:
    """`weeksync serve` in a process of its own."""
    words = [sys.executable, "-u", "-m", "weeksync", "serve", "--household", str(folder)]
    process = subprocess.Popen(
        [*words, "--port", port, "--now", NOW.isoformat()],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    told = ""
    while (found := re.search(r"http://[0-9.]+:[0-9]+", told)) is None:
        line = process.stdout.readline()
        assert line, told
        told += line
    return Home(folder, found[0], process)


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Home]:
    """A household of Ann and Bo, served on a port of its own."""
    folder = write_household(tmp_path / "home")
    access_of(Context.read(folder, NOW)).set_pin("ann", PIN)
    running = serving(folder)
    try:
        yield running
    finally:
        running.stop()


@contextmanager
def tablet(browser: Browser) -> Iterator[BrowserContext]:
    """A device with a storage of its own; nothing may go wrong in its pages."""
    device = browser.new_context(
        viewport={"width": 800, "height": 1000},
        timezone_id="UTC",
        locale="en-GB",
    )
    device.clock.set_fixed_time(NOW)
    wrong: list[str] = []
    device.on("weberror", lambda error: wrong.append(str(error.error)))
    try:
        yield device
    finally:
        device.close()
    assert wrong == []


def unlocked(device: BrowserContext, home: Home, query: str = "") -> Page:
    """The form of Ann's check-in, behind her PIN."""
    page = device.new_page()
    page.goto(f"{home.address}/own/{FORM}{query}")
    if page.locator("input[name=pin]").count():
        page.fill("[name=pin]", PIN)
        with page.expect_navigation():
            page.keyboard.press("Enter")
        page.goto(f"{home.address}/own/{FORM}{query}")
    expect(page.get_by_role("button", name="Save", exact=True)).to_be_visible()
    return page


def write(page: Page, **words: str) -> None:
    """Fill in and save."""
    for name, text in words.items():
        page.fill(f"[name={name}]", text)
    page.get_by_role("button", name="Save", exact=True).click()


def said(page: Page) -> str:
    """What the live region says, once it says anything."""
    expect(page.get_by_role("status")).not_to_be_empty()
    return page.get_by_role("status").inner_text()


def stored(page: Page) -> list[dict[str, str]]:
    """The check-ins that this browser keeps."""
    texts: list[str] = page.evaluate(
        "Object.entries(localStorage).filter(([key]) => key.includes(':check-in:'))"
        ".map(([, text]) => text)"
    )
    return [json.loads(text) for text in texts]


def test_a_whole_check_in_by_keyboard_alone(home: Home, browser: Browser) -> None:
    """From the head of the page: tab by tab, an arrow for the energy, Enter to save."""
    with tablet(browser) as device:
        page = unlocked(device, home)
        page.evaluate("document.activeElement.blur()")
        steps: list[str] = []
        for _ in range(40):
            page.keyboard.press("Tab")
            name: str = page.evaluate(
                "document.activeElement.name || document.activeElement.textContent.trim()"
            )
            if steps and steps[-1] == name:
                continue  # the parts of a date are stops of their own
            steps.append(name)
            if name in WORDS:
                page.keyboard.type(WORDS[name])
            elif name == "energy":
                page.keyboard.press("Space")
                page.keyboard.press("ArrowRight")
            elif name == "Save":
                page.keyboard.press("Enter")
                break
        assert steps[-8:] == [
            "day", "feeling", "energy", "Leave out", "why", "help", "gratitude", "Save",
        ]  # fmt: skip
        assert said(page) == "Saved."
        assert home.check_in() == WORDS | {"energy": 2}
        assert stored(page) == []
        again = unlocked(device, home)
        assert again.input_value("[name=why]") == "short night"
        expect(again.get_by_role("radio", name="2")).to_be_checked()
        again.get_by_role("button", name="Leave out").click()
        write(again, why="")
        assert said(again) == "Saved."
        assert "energy" not in home.check_in()
        assert "why" not in home.check_in()


def test_the_week_leads_to_the_form_and_back(home: Home, browser: Browser) -> None:
    """Where the pages are served; the PIN stands between."""
    with tablet(browser) as device:
        page = device.new_page()
        page.goto(f"{home.address}/2027-W12.html")
        page.get_by_role("link", name="Check-in", exact=True).click()
        page.fill("[name=pin]", PIN)
        with page.expect_navigation():
            page.keyboard.press("Enter")
        expect(page.get_by_role("button", name="Save", exact=True)).to_be_visible()
        expect(page.get_by_role("link", name="Check-in", exact=True)).to_have_count(0)
        page.get_by_role("link", name="Common pages").click()
        page.wait_for_url(f"{home.address}/*")
        assert "/own/" not in page.url


def test_two_devices_lose_nothing(home: Home, browser: Browser) -> None:
    """The second is told what stands there; both are kept, and it may then be changed."""
    with tablet(browser) as one, tablet(browser) as other:
        first, second = unlocked(one, home), unlocked(other, home)
        write(first, feeling="light", why="sun")
        assert said(first) == "Saved."
        write(second, feeling="heavy", gratitude="rain")
        assert "both are kept" in said(second)
        elsewhere = second.locator("#elsewhere")
        expect(elsewhere.locator("[data-field=feeling]")).to_have_text("light")
        expect(elsewhere.locator("[data-field=why]")).to_have_text("sun")
        assert second.input_value("[name=feeling]") == "heavy"
        assert home.check_in()["feeling"] == "light"
        assert "Feeling: heavy" in str(home.check_in()["text"])
        assert stored(second) == []
        write(second, feeling="both", why="sun")
        expect(second.get_by_role("status")).to_have_text("Saved.")
        assert home.check_in()["feeling"] == "both"


def test_home_does_not_answer_and_comes_back(home: Home, browser: Browser) -> None:
    """What was written is kept on the tablet, is said to be, and is handed over by one button."""
    with tablet(browser) as device:
        page = unlocked(device, home)
        port = home.address.rpartition(":")[2]
        home.stop()
        write(page, **WORDS)
        assert said(page) == "Kept on this device, and not handed over yet."
        expect(page.locator("#waiting li")).to_contain_text(["2027-03-24"])
        assert [one["why"] for one in stored(page)] == ["short night"]
        back = serving(home.folder, port)
        try:
            page = unlocked(device, home)
            assert page.input_value("[name=why]") == "short night"
            page.get_by_role("button", name="Hand over").click()
            assert said(page) == "Saved."
            assert home.check_in() == WORDS
            assert stored(page) == []
            expect(page.locator("#waiting")).to_be_hidden()
        finally:
            back.stop()


def test_a_page_that_was_locked_meanwhile_keeps_what_was_written(
    home: Home, browser: Browser
) -> None:
    """It says so; unlocked again, it is there to be handed over."""
    with tablet(browser) as device:
        page = unlocked(device, home)
        device.clear_cookies()
        write(page, feeling="late")
        assert "unlock your pages" in said(page)
        assert not (home.folder / "check-ins").exists()
        page = unlocked(device, home)
        assert page.input_value("[name=feeling]") == "late"
        page.get_by_role("button", name="Hand over").click()
        assert said(page) == "Saved."
        assert home.check_in() == {"feeling": "late"}


def test_another_day_has_its_own_check_in(home: Home, browser: Browser) -> None:
    """Yesterday's stands there to be changed; what cannot be is told and kept."""
    (home.folder / "check-ins").mkdir()
    yesterday = "check-ins/2027-03-23.md"
    (home.folder / yesterday).write_text('+++\nformat = 1\nfeeling = "hm"\n+++\nBelow.\n')
    with tablet(browser) as device:
        page = unlocked(device, home)
        page.fill("[name=day]", "2027-03-23")
        page.locator("[name=day]").blur()
        page.wait_for_url("**?day=2027-03-23")
        assert page.input_value("[name=feeling]") == "hm"
        write(page, feeling="better")
        assert said(page) == "Saved."
        assert home.check_in(yesterday) == {"feeling": "better", "text": "Below."}


def test_a_folder_keeps_it_and_saves_a_file(tmp_path: Path, browser: Browser) -> None:
    """Without a home the page says where it is; the file is taken by the command."""
    folder = write_household(tmp_path / "home", "own_pages = true\n")
    assert main(["build", "--household", str(folder), "--now", NOW.isoformat()]) == 0
    with looking(browser, now=NOW, width=390) as page:
        page.goto((folder / "output/own" / FORM).as_uri())
        assert page.input_value("[name=day]") == "2027-03-24"
        page.get_by_role("button", name="Save", exact=True).click()
        assert "nothing to save" in said(page)
        page.get_by_role("radio", name="Bo").check()
        page.get_by_role("radio", name="4").check()
        write(page, **WORDS)
        expect(page.get_by_role("status")).to_contain_text("not handed over yet")
        page.reload()
        expect(page.locator("#waiting li")).to_have_text(["2027-03-24 Bo"])
        expect(page.get_by_role("button", name="Hand over")).to_be_hidden()
        assert page.input_value("[name=why]") == ""
        page.get_by_role("radio", name="Bo").check()
        assert page.input_value("[name=why]") == "short night"
        with page.expect_download() as saved:
            page.get_by_role("button", name="Save as a file").click()
        path = tmp_path / saved.value.suggested_filename
        saved.value.save_as(path)
    line = ["check-in", "--from", str(path), "--household", str(folder), "--now", NOW.isoformat()]
    assert main(line) == 0
    text = (folder / "check-ins/2027-03-24-bo.md").read_text()
    assert 'why = "short night"' in text
    assert "energy = 4" in text


def test_the_form_is_open_to_all(home: Home, browser: Browser) -> None:
    """axe-core finds nothing, with all that can be said on it, in light and dark; no target is
    small, nothing runs off the side."""
    with tablet(browser) as device:
        page = unlocked(device, home)
        home.stop()
        write(page, **WORDS)
        assert said(page)
        for scheme, width in (("light", 800), ("dark", 800), ("light", 320)):
            page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
            page.set_viewport_size({"width": width, "height": 900})
            assert axe(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            small = page.evaluate(
                "[...document.querySelectorAll('form button, form label:has(input), textarea,"
                " [type=date]')].filter((one) => one.checkVisibility()"
                " && (one.offsetWidth < 44 || one.offsetHeight < 44)).map((one) => one.outerHTML)"
            )
            assert small == []


def test_the_form_is_valid_html(tmp_path: Path) -> None:
    """Filled in and empty, html-validate finds nothing."""
    fields = CheckInFields("flat", 2, "short night", "<tea>", "& more")
    inputs = sample_week.inputs()
    (tmp_path / "filled.html").write_bytes(check_in_page(inputs, "ines", NOW.date(), fields, "a1"))
    (tmp_path / "empty.html").write_bytes(check_in_page(inputs))
    assert html_mistakes([tmp_path / "filled.html", tmp_path / "empty.html"], tmp_path) == []


def test_what_is_locked_does_not_stay_on_the_screen_and_nothing_written_is_lost(
    browser: Browser, home: Home
) -> None:
    """After the minutes without a touch the common pages are there, and the words wait."""
    with tablet(browser) as device:

        def soon(route: Route) -> None:
            answer = route.fetch()
            text = answer.text().replace('"lockSeconds": 300', '"lockSeconds": 1')
            assert '"lockSeconds": 1,' in text
            route.fulfill(response=answer, body=text)

        page = unlocked(device, home)
        device.route("**/status.js", soon)
        page.reload()
        page.fill("[name=feeling]", "half a senten")
        page.wait_for_url(f"{home.address}/")
        device.unroute("**/status.js")
        page.goto(f"{home.address}/own/{FORM}")
        expect(page.locator("[name=feeling]")).to_have_value("half a senten")
        assert not (home.folder / TODAY).exists()
