"""A week entered on the page that home serves: each row is in the files when it is left."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.cli.test_mark_desk import household
from tests.support.chromium import chromium
from tests.tablet.homes import serving

pytestmark = pytest.mark.browser

WEDNESDAY = datetime(2027, 3, 24, 18, 40, tzinfo=UTC)
PAGE = "enter-2027-W12.html"


def test_rows_reach_the_files_and_what_is_half_typed_stays(tmp_path: Path) -> None:
    """The pages are made anew after each row; the one that is typed into is left as it is."""
    with (
        serving(household(tmp_path / "home"), WEDNESDAY.isoformat()) as home,
        chromium() as browser,
    ):
        page = browser.new_page(timezone_id="UTC")
        page.clock.set_fixed_time(WEDNESDAY)
        page.goto(home.page(PAGE))
        heard = page.evaluate_handle(
            "() => { const heard = []; new EventSource('/changes').addEventListener('built',"
            " ({ data }) => heard.push(...JSON.parse(data).pages)); return heard; }"
        )
        page.keyboard.type("13/2")
        page.keyboard.press("Enter")
        page.keyboard.type("7 8")

        def until(holds: Callable[[], bool]) -> None:
            for _ in range(300):
                if holds():
                    return
                page.wait_for_timeout(100)
            pytest.fail("it did not come about within half a minute")

        until(lambda: len(home.lines("walk")) == 3)
        assert home.lines("walk") == [
            ("2027-03-22", "yes"),
            ("2027-03-24", "yes"),
            ("2027-03-23", "no"),
        ]
        until(lambda: page.evaluate("(heard) => heard.length > 0", heard))
        page.wait_for_timeout(500)
        water = page.locator('[data-row="water"] .typed')
        expect(water).to_be_focused()
        expect(water).to_have_value("7 8")
        assert home.lines("water") == []
        page.keyboard.press("Enter")
        until(lambda: len(home.lines("water")) == 2)
        page.reload()
        shown = page.locator('[data-row="walk"] [data-number]').evaluate_all(
            "(boxes) => boxes.map((box) => box.dataset.was)"
        )
        assert shown[:3] == ["yes", "no", "yes"]
