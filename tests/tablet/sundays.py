"""A person at the kitchen table on Sunday evening: what they touch, press and type is counted."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, expect

from tests.support.checkers import axe
from tests.tablet.homes import Home, serving
from weeksync import demo
from weeksync.cli import main

SUNDAY = "2027-03-28T17:00:00+00:00"
"""Six in the evening of the day on which the clocks went forward."""

POINT, KEY, THINK = 1.1, 0.28, 1.35
"""Seconds to point at something, for a key, and to make up one's mind (keystroke-level model,
Card, Moran and Newell 1980; from memory, not looked up)."""


@contextmanager
def sunday(folder: Path) -> Iterator[Home]:
    """The demo household, served on that evening."""
    home = demo.copy_to(folder / "home")
    assert main(["nightly", "--household", str(home), "--now", SUNDAY]) in {0, 1}
    with serving(home, SUNDAY) as served:
        yield served
    shutil.rmtree(home / "output", ignore_errors=True)


@dataclass
class Sitting:
    """One browser at one household; `touches`, `keys` and `signs` are counted on the way."""

    page: Page
    home: Home
    touches: int = 0
    keys: int = 0
    signs: int = 0
    began: float = field(default_factory=time.monotonic)
    faults: list[str] = field(default_factory=list)

    def at(self, step: str) -> None:
        """The step is shown, and axe finds nothing on it."""
        expect(self.page.locator(f".step.at-{step}")).to_have_count(1)
        self.page.wait_for_load_state("load")  # with its style sheets: sizes are looked at
        found = axe(self.page)
        assert found == [], f"{step}: {found}"

    # By touch

    def tap(self, what: Locator) -> None:
        """Touch it, and wait until what follows has arrived."""
        self.touches += 1
        what.tap()
        self.page.wait_for_load_state("load")

    def send(self, what: Locator) -> None:
        """Touch a button of a form, and wait for the answer to be in place."""
        with self.page.expect_response(lambda one: one.request.method == "POST") as waited:
            self.tap(what)
        self._sent(waited.value.status)

    def write(self, where: Locator, text: str) -> None:
        """Touch a field and write into it."""
        self.tap(where)
        where.fill(text)
        self.signs += len(text)

    def _sent(self, status: int) -> None:
        assert status in {200, 303}, status
        expect(self.page.locator("[aria-disabled=true]")).to_have_count(0)

    # By keyboard

    def press(self, *keys: str) -> None:
        """Press keys one after the other."""
        for key in keys:
            self.keys += 1
            self.page.keyboard.press(key)

    def go_to(self, what: Locator, most: int = 120) -> None:
        """Tab until it has the focus; it fails where the way there is longer than `most`."""
        for _ in range(most):
            if what.evaluate("one => document.activeElement === one"):
                return
            self.press("Tab")
        raise AssertionError(f"{most} times Tab do not lead to {what}")

    def enter(self, what: Locator) -> None:
        """Go to a link or button, and press it."""
        self.go_to(what)
        self.press("Enter")
        self.page.wait_for_load_state("load")

    def send_by_key(self, what: Locator | None = None, key: str = "Enter") -> None:
        """Press a button of a form (the one that has the focus), and wait for the answer."""
        if what is not None:
            self.go_to(what)
        with self.page.expect_response(lambda one: one.request.method == "POST") as waited:
            self.press(key)
        self._sent(waited.value.status)

    def type(self, where: Locator, text: str) -> None:
        """Tab to a field and type."""
        self.go_to(where)
        self.page.keyboard.type(text)
        self.signs += len(text)

    def tell(self, how: str) -> None:
        """Print what it took."""
        took = time.monotonic() - self.began
        hand = self.touches * POINT + (self.keys + self.signs) * KEY
        thought = THINK * (self.touches or self.keys / 4)
        print(
            f"\nA Sunday {how}: {self.touches} touches, {self.keys} keys, {self.signs} signs "
            f"typed; the machine and the checks took {took:.0f} s; by hand about "
            f"{(hand + thought) / 60:.1f} min (keystroke-level model, from memory)"
        )


@contextmanager
def sitting(
    browser: Browser, home: Home, *, touch: bool = True, scripts: bool = True, width: int = 1180
) -> Iterator[Sitting]:
    """A tablet on its side, or a window without touch; nothing may be said on its console."""
    context = browser.new_context(
        viewport={"width": width, "height": 820},
        has_touch=touch,
        timezone_id="Europe/London",
        locale="en-GB",
        java_script_enabled=scripts,
    )
    page = context.new_page()
    one = Sitting(page, home)

    def said(message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"}:
            one.faults.append(message.text)

    page.on("console", said)
    page.on("pageerror", lambda error: one.faults.append(str(error)))
    try:
        yield one
    finally:
        context.close()
    # What Chromium notes of an answer that says what is wrong is no fault of the page.
    faults = [fault for fault in one.faults if not re.search(r"status of (409|422)", fault)]
    assert faults == [], faults
