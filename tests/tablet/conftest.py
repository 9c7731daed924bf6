"""The demo's pages in a plain folder, and a browser to look at them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.support.chromium import chromium
from weeksync import demo
from weeksync.cli import main

MORNING = "2027-03-24T05:40:00+00:00"
"""When the pages were built: Wednesday, before anybody was up."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of a file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def household(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household with its pages built; they lie in `output/site` and `output/own`."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "home")
    assert main(["build", "--household", str(home), "--now", MORNING]) in {0, 1}
    return home


@pytest.fixture(scope="module")
def week(household: Path) -> str:
    """The address of the week's page in its plain folder."""
    return (household / "output" / "site" / "2027-W12.html").resolve().as_uri()
