"""What the tests of marks share: a tablet that looks at a page, and what is to be seen on it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Locator, Page

NOON = datetime(2027, 3, 24, 12, tzinfo=UTC)
"""Wednesday of the demo's week."""
WEEK = "2027-W12.html"
TODAY, YESTERDAY, TOMORROW = "2027-03-24", "2027-03-23", "2027-03-25"


@dataclass
class Tablet:
    """A browser of its own with one page open; `wrong` is what the console complained of."""

    context: BrowserContext
    page: Page
    wrong: list[str] = field(default_factory=list)

    def cell(self, thing: str, day: str = TODAY) -> Locator:
        """The cell, line or break of something on a day."""
        return self.page.locator(
            f'tr[data-id="{thing}"] > [data-date="{day}"], [data-id="{thing}"][data-date="{day}"]'
        ).first

    def button(self, thing: str, day: str = TODAY) -> Locator:
        """What is touched there."""
        return self.cell(thing, day).locator(".touch")

    def title(self, thing: str, day: str = TODAY) -> Locator:
        """The title of a task or lesson, which opens the dialog."""
        return self.cell(thing, day).locator("button.more")

    def state(self, thing: str, day: str = TODAY) -> str:
        """The end of its accessible name: the state in words."""
        label = self.button(thing, day).get_attribute("aria-label") or ""
        return label.rpartition(": ")[2]

    def ask(self) -> Locator:
        """The dialog for figures and tasks."""
        return self.page.locator("#ask")

    def bar(self) -> Locator:
        """The bar with what was said and what waits."""
        return self.page.locator("#bar")

    def tells(self) -> str:
        """All that is to be seen in the bar."""
        return self.bar().inner_text() if self.bar().is_visible() else ""

    def said(self) -> Locator:
        """The live region."""
        return self.bar().get_by_role("status")

    def kept(self) -> list[dict[str, Any]]:
        """The marks in the browser's storage, oldest first."""
        texts: list[str] = self.page.evaluate(
            "Object.entries({...localStorage}).filter(([key]) => key.includes(':@')).sort()"
            ".map(([, text]) => text)"
        )
        return [json.loads(text) for text in texts]


@contextmanager
def tablet(
    browser: Browser,
    address: str,
    *,
    now: datetime = NOON,
    width: int = 1280,
    before: str = "",
) -> Iterator[Tablet]:
    """A tablet with a touch screen that opens `address`; `before` is a script that runs first.

    The block must end without a complaint on the console, but for those the test has taken out
    of `wrong`.
    """
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        timezone_id="UTC",
        locale="en-GB",
        has_touch=True,
        is_mobile=True,
        accept_downloads=True,
    )
    if before:
        context.add_init_script(before)
    context.set_default_timeout(8_000)
    page = context.new_page()
    page.clock.install(time=now)
    seen = Tablet(context, page)
    page.on("console", lambda one: seen.wrong.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: seen.wrong.append(str(error)))
    try:
        page.goto(address)
        yield seen
    finally:
        context.close()
    assert seen.wrong == []
