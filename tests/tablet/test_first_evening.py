"""A newcomer's first evening: from one command to a printed week, without any calendar."""

from __future__ import annotations

import os
import re
import select
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from tests.support.checkers import axe, html_mistakes

EVENING = "2027-03-21T18:00:00+00:00"
"""A Sunday: the week that is printed is the coming one, 2027-W12."""
PATIENCE = 60.0
STEPS = (
    "household", "people", "areas", "day-parts", "routines", "habits", "bills", "calendars",
    "nightly", "devices", "print",
)  # fmt: skip


@contextmanager
def new_on_a_page(folder: Path, **environment: str) -> Iterator[str]:
    """`weeksync new --page` in a process of its own; the address of its first page."""
    command = [sys.executable, "-m", "weeksync", "new", "--page", str(folder), "--now", EVENING]
    opener = folder.parent / "opened"
    script = folder.parent / "browser"
    script.write_text(f'#!/bin/sh\nprintf %s "$1" > {opener}\n')
    script.chmod(0o755)
    surroundings = {
        **os.environ,
        "LC_ALL": "en_GB.UTF-8",
        "TZ": "Europe/London",
        "BROWSER": str(script),
        "XDG_RUNTIME_DIR": str(folder.parent),
        **environment,
    }
    process = subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, env=surroundings
    )
    try:
        assert process.stdout is not None
        ready, _, _ = select.select([process.stdout], [], [], PATIENCE)
        first = process.stdout.readline().decode() if ready else ""
        found = re.search(r"http://127\.0\.0\.1:\d+/start/", first)
        assert found is not None, first
        ends = time.monotonic() + PATIENCE
        while not opener.exists() or not opener.read_text():
            assert time.monotonic() < ends, "no browser was opened"
            time.sleep(0.05)
        assert opener.read_text() == found[0]
        yield found[0]
    finally:
        process.terminate()
        process.communicate(timeout=PATIENCE)


class Hand:
    """A finger on a tablet that counts what it does; what is typed is counted apart."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touches = self.signs = 0
        self.started = time.monotonic()

    def touch(self, what: Locator) -> None:
        """One touch."""
        what.tap()
        self.touches += 1

    def write(self, label: str, text: str, inside: Locator | None = None) -> None:
        """A field is touched and typed into."""
        field = (inside or self.page).get_by_label(label, exact=False).first
        self.touch(field)
        field.fill("")
        field.press_sequentially(text)
        self.signs += len(text)

    def save(self, then: str) -> None:
        """Save and go on to the step of that heading."""
        self.touch(self.page.get_by_role("button", name="Save and go on"))
        expect(self.page.locator("h1")).to_have_text(then)

    def told(self) -> str:
        """What it took, for whoever reads the output of the test."""
        seconds = time.monotonic() - self.started
        return f"{self.touches} touches, {self.signs} typed signs, {seconds:.0f} s by machine"


def checked(page: Page, kept: dict[str, str]) -> None:
    """The page as a person with other eyes or hands has it; its HTML is kept."""
    page.wait_for_load_state("load")  # without its style sheets its targets would be small
    assert axe(page) == [], page.url
    name = page.url.rpartition("/")[2].partition("?")[0] or "start"
    kept[name] = page.request.get(page.url).text()


def config_of(folder: Path) -> dict[str, Any]:
    """What `config.toml` says."""
    return tomllib.loads((folder / "config.toml").read_text("utf-8"))


def printed(page: Page, path: Path) -> str:
    """The page on paper, by the browser's own print; its text."""
    page.emulate_media(media="print")
    page.pdf(path=path, prefer_css_page_size=True, print_background=True)
    return "\n".join(one.extract_text() for one in PdfReader(path).pages)


def wait_for_week(page: Page, *words: str) -> None:
    """Until what was just saved is on it: an open page is told of a newer one, and takes it."""
    page.wait_for_url("**/2027-W12.html")
    for word in words:
        expect(page.locator("body")).to_contain_text(word, timeout=PATIENCE * 1000)


def test_a_newcomer_touches_their_way_to_a_printed_week(
    browser: Browser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One command, eleven steps on a tablet, three of them left out, and the week on paper."""
    folder = tmp_path / "home"
    seen: dict[str, str] = {}
    with new_on_a_page(folder) as address:
        context = browser.new_context(
            viewport={"width": 800, "height": 1100}, has_touch=True, locale="en-GB"
        )
        page = context.new_page()
        page.goto(address)
        hand = Hand(page)
        checked(page, seen)
        hand.touch(page.get_by_role("link", name="Go on: The household"))
        expect(page.locator("h1")).to_have_text("The household")
        checked(page, seen)
        hand.write("Name of the household", "Marlowick")
        hand.save("People")
        _people(page, hand, seen)
        hand.save("Areas of life")
        checked(page, seen)
        hand.save("Parts of the day")
        checked(page, seen)
        hand.save("Standing routines")
        for offer in ("Getting up and breakfast", "School run", "Evening meal"):
            hand.touch(page.get_by_label(offer).first)
        checked(page, seen)
        hand.save("Habits")
        for offer in ("A walk", "Sleep"):
            hand.touch(page.get_by_label(offer).first)
        checked(page, seen)
        hand.save("Bills")
        _bill(page, hand, seen)
        hand.save("Calendars")
        checked(page, seen)
        hand.touch(page.get_by_role("button", name="Leave out for now"))
        for then in ("Every night", "Tablets and PINs"):
            expect(page.locator("h1")).to_have_text(then)
            checked(page, seen)
            hand.touch(page.get_by_role("button", name="Leave out for now"))
        expect(page.locator("h1")).to_have_text("Look and print")
        checked(page, seen)
        hand.touch(page.get_by_role("link", name="Open the week"))
        wait_for_week(page, "Rent", "A walk", "Marlowick")
        told = hand.told()
        text = printed(page, tmp_path / "week.pdf")
        context.close()
    keep = os.environ.get("WEEKSYNC_PICTURES")
    if keep:
        shutil.copy(tmp_path / "week.pdf", Path(keep) / "first-evening-week.pdf")
    with capsys.disabled():
        print(f"\nA first evening by touch: {told}")
    assert set(STEPS) <= set(seen)
    for word in ("Rent", "A walk", "Wednesday"):
        assert word.casefold() in text.casefold(), word
    config = config_of(folder)
    assert config["household"]["name"] == "Marlowick"
    assert [one["name"] for one in config["people"]] == ["Ines", "Dov", "Juno"]
    assert [one["id"] for one in config["people"]] == ["ines", "dov", "juno"]
    assert config["people"][2]["child"] is True
    routines = tomllib.loads((folder / "routines.toml").read_text())["routines"]
    assert {one["title"]: one["person"] for one in routines} == {
        "Getting up and breakfast": ["ines", "dov", "juno"],
        "School run": ["ines", "dov"],
        "Evening meal": ["ines", "dov", "juno"],
    }
    money = tomllib.loads((folder / "money.toml").read_text())
    assert (money["currency"], money["bills"][0]["amount"]) == ("GBP", 95000)
    paths = [tmp_path / f"{name}.html" for name in seen]
    for path, content in zip(paths, seen.values(), strict=True):
        path.write_text(content, "utf-8")
    assert html_mistakes(paths, tmp_path) == []


def _people(page: Page, hand: Hand, seen: dict[str, str]) -> None:
    checked(page, seen)
    rows = page.locator("fieldset.row")
    for number, name in enumerate(("Ines", "Dov", "Juno")):
        hand.write("Name", name, rows.nth(number))
    hand.touch(rows.nth(2).get_by_label("a child"))


def _bill(page: Page, hand: Hand, seen: dict[str, str]) -> None:
    hand.touch(page.get_by_label("Rent").first)
    rent = page.get_by_role("group", name="Rent")
    hand.write("Amount", "950", rent)
    due = rent.get_by_label("Next due on")
    hand.touch(due)
    due.fill("2027-03-24")
    hand.signs += 10
    checked(page, seen)


class Keys:
    """The same by the keyboard alone: nothing is clicked, what has the focus is looked at."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.pressed = 0
        self.started = time.monotonic()

    def press(self, key: str) -> None:
        """One key."""
        self.page.keyboard.press(key)
        self.pressed += 1

    def write(self, text: str) -> None:
        """What stands in the field is replaced."""
        self.press("Control+a")
        self.page.keyboard.type(text)
        self.pressed += len(text)

    def to(self, name: str, most: int = 90) -> None:
        """On with Tab until what has the focus bears that name."""
        for _ in range(most):
            if self.focused().startswith(name):
                return
            self.press("Tab")
        raise AssertionError(f"{name!r} cannot be reached; the focus is on {self.focused()!r}")

    def focused(self) -> str:
        """The label or the words of what has the focus, which must be seen to have it."""
        found: str = self.page.evaluate(
            """() => { const one = document.activeElement;
                const label = one.labels && one.labels[0];
                return ((label || one).textContent || "").trim().replace(/\\s+/g, " "); }"""
        )
        return found

    def enter(self, heading: str) -> None:
        """Enter, and the page of that heading."""
        self.press("Enter")
        expect(self.page.locator("h1")).to_have_text(heading)


def test_the_same_with_the_keyboard_alone(
    browser: Browser, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Tab, Space, Enter and letters; the focus begins above what is to be filled in."""
    folder = tmp_path / "home"
    with new_on_a_page(folder) as address:
        context = browser.new_context(viewport={"width": 1280, "height": 900}, locale="en-GB")
        page = context.new_page()
        page.goto(address)
        keys = Keys(page)
        keys.to("Go on: The household")
        keys.enter("The household")
        keys.to("Name of the household")
        keys.write("Marlowick")
        keys.enter("People")
        keys.to("Name")
        keys.write("Ines")
        keys.press("Tab")
        keys.press("Tab")
        keys.press("Tab")
        keys.write("Juno")
        keys.to("a child")
        keys.press("Space")
        keys.to("Save and go on")
        keys.enter("Areas of life")
        keys.to("Save and go on")
        keys.enter("Parts of the day")
        keys.to("Save and go on")
        keys.enter("Standing routines")
        keys.to("Evening meal")
        keys.press("Space")
        keys.to("Save and go on")
        keys.enter("Habits")
        keys.to("A walk")
        keys.press("Space")
        keys.to("Save and go on")
        keys.enter("Bills")
        for then in ("Calendars", "Every night", "Tablets and PINs", "Look and print"):
            keys.to("Leave out for now")
            keys.enter(then)
        keys.to("Open the week")
        keys.press("Enter")
        wait_for_week(page, "A walk", "Marlowick")
        seconds = time.monotonic() - keys.started
        text = printed(page, tmp_path / "week.pdf")
        context.close()
    with capsys.disabled():
        print(f"\nA first evening by keyboard: {keys.pressed} keys, {seconds:.0f} s by machine")
    assert "A walk" in text
    people = config_of(folder)["people"]
    assert [(one["name"], one.get("child", False)) for one in people] == [
        ("Ines", False),
        ("Juno", True),
    ]
