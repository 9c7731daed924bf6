"""Debian's Chromium without a window, driven by playwright, for tests that look at pages.

    with chromium() as browser, looking(browser, now=NOW) as page:
        page.goto(address)

Nothing in here skips: where Chromium is missing, the test fails with the line that installs it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
README = Path(__file__).resolve().parents[2] / "README.md"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def root_command() -> str:
    """The line of the README that installs what needs root."""
    found = re.search(r"<!-- root command -->\n```sh\n(.*?)\n```", README.read_text("utf-8"), re.S)
    assert found is not None, "README.md says nothing after <!-- root command -->"
    return found[1]


@contextmanager
def chromium() -> Iterator[Browser]:
    """A running Chromium; the test fails where there is none."""
    if not CHROMIUM.exists():
        pytest.fail(f"{CHROMIUM} is missing; run as root: {root_command()}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def looking(
    browser: Browser, *, now: datetime, width: int = 1280, height: int = 900
) -> Iterator[Page]:
    """A page in a window of that size whose clock stands at `now`.

    The block must end without an error on the console, a request that failed, or one that left
    the folder: pages ask no other computer for anything.
    """
    context = browser.new_context(
        viewport={"width": width, "height": height}, timezone_id="UTC", locale="en-GB"
    )
    page = context.new_page()
    page.clock.set_fixed_time(now)
    wrong: list[str] = []

    def said(one: ConsoleMessage) -> None:
        if one.type in {"error", "warning"}:
            wrong.append(one.text)

    def asked(one: Request) -> None:
        if not one.url.startswith("file:"):
            wrong.append(f"asked for {one.url}")

    def failed(one: Request) -> None:
        if one.failure != "net::ERR_ABORTED":  # the page was left while its icon was on the way
            wrong.append(f"did not get {one.url}: {one.failure}")

    page.on("console", said)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", asked)
    page.on("requestfailed", failed)
    try:
        yield page
    finally:
        context.close()
    assert wrong == [], wrong
