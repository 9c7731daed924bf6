"""Pictures of every kind of page on every screen it is made for, kept to be looked at.

They lie in `build/pictures` after a run. A test cannot say whether a page is good to look at; it
says that the page is there, drawn in its own colours, no wider than its screen.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.site.test_checkers import kinds
from tests.support.chromium import chromium, looking
from weeksync.cli import main

pytestmark = pytest.mark.browser

PICTURES = Path(__file__).resolve().parents[2] / "build" / "pictures"
WEDNESDAY = datetime(2027, 3, 24, 9, tzinfo=UTC)
SCREENS = ((1280, 800), (800, 1280), (1024, 768), (390, 844), (320, 640))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module", params=["en_GB", "ar"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages in a language from each side; the folder is named after it."""
    folder = tmp_path_factory.mktemp("pictures") / str(request.param)
    at = ["--to", str(folder), "--now", "2027-03-24T05:40:00+00:00"]
    assert main(["demo", "--locale", str(request.param), *at]) == 0
    return folder


@pytest.mark.parametrize(("width", "height"), SCREENS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_drawn(
    browser: Browser, demo: Path, width: int, height: int, scheme: str
) -> None:
    """Each kind of page; the paper under it is light or dark as the system asks."""
    folder = PICTURES / demo.name / f"{width}x{height}-{scheme}"
    folder.mkdir(parents=True, exist_ok=True)
    with looking(browser, now=WEDNESDAY, width=width, height=height) as page:
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        for path in kinds(demo):
            page.goto(path.resolve().as_uri())
            page.screenshot(path=folder / f"{path.parent.name}-{path.stem}.png")
            paper = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
            levels = [int(one) for one in paper.removeprefix("rgb(").removesuffix(")").split(",")]
            assert (sum(levels) < 3 * 128) == (scheme == "dark"), path
            assert page.evaluate("document.documentElement.scrollWidth") <= width, path
