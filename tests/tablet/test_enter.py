"""A week entered from paper on its page: by keyboard, by touch, with slips."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.cli.test_mark_desk import LISTS, MONDAY_AFTER, PAPER, day, expected, recorded
from tests.cli.test_mark_desk import household as small_household
from tests.support.chromium import chromium, looking
from tests.support.keyboard import Keyboard
from weeksync import demo
from weeksync.cli import main
from weeksync.household import read_household
from weeksync.model.household import Mark

pytestmark = pytest.mark.browser

MONDAY = datetime.fromisoformat(MONDAY_AFTER)
WEDNESDAY = datetime(2027, 3, 24, 18, 40, tzinfo=UTC)
PAGE = "enter-2027-W12.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


def unmarked(folder: Path) -> Path:
    """The demo household with nothing marked in 2027-W12."""
    home = demo.copy_to(folder)
    (home / "marks" / "2027-W12.csv").unlink()
    return home


def built(home: Path, now: str) -> Path:
    """The household's pages; gives the folder of both trees."""
    assert main(["build", "--household", str(home), "--now", now]) in {0, 1}
    return home / "output"


@pytest.fixture(scope="module")
def demo_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages as of the Monday after the week, with nothing marked in it."""
    return built(unmarked(tmp_path_factory.mktemp("demo") / "home"), MONDAY_AFTER)


@pytest.fixture(scope="module")
def small_pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three habits, a lesson and three tasks, as of Wednesday."""
    home = small_household(tmp_path_factory.mktemp("small"))
    return built(home, WEDNESDAY.isoformat())


@contextmanager
def entering(browser: Browser, folder: Path, *, now: datetime, width: int = 1280) -> Iterator[Page]:
    """The page of the week in a window of its own; all that is kept begins afresh."""
    with looking(browser, now=now, width=width) as page:
        page.goto((folder / PAGE).as_uri())
        yield page


def row(page: Page, thing: str) -> Locator:
    """The row of a habit, or the list of a day."""
    return page.locator(f'[data-row="{thing}"], [data-list="{thing}"]')


def says(page: Page, thing: str) -> str:
    """What the boxes of a row say, - where nothing: also before it is left."""
    values = (
        row(page, thing)
        .locator("[data-number]:enabled")
        .evaluate_all("(boxes) => boxes.map((box) => box.dataset.value || '-')")
    )
    return " ".join(values)


def saved(page: Page, target: Path) -> Path:
    """The marks of this browser as the file that `weeksync mark --from` takes."""
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as a file").click()
    download.value.save_as(target)
    return target


def said_by(home: Path) -> set[tuple[str, date, str, str]]:
    """(id, day, person, value) of every mark of 2027-W12."""
    marks: tuple[Mark, ...] = read_household(home).marks
    return {
        (one.id, one.day, one.person, one.value) for one in marks if day(1) <= one.day <= day(7)
    }


def ended(home: Path) -> dict[str, tuple[date | None, date | None]]:
    """When each task was done or dropped."""
    return {one.id: (one.done, one.dropped) for one in read_household(home).tasks}


def test_the_demos_week_in_at_most_150_keystrokes_says_what_mark_writes(
    browser: Browser, demo_pages: Path, tmp_path: Path
) -> None:
    """Each key counts, Enter and Tab too; then the same files as after the same week typed."""
    keys: list[str] = []
    by_page, by_terminal = unmarked(tmp_path / "page"), unmarked(tmp_path / "terminal")
    with entering(browser, demo_pages / "own", now=MONDAY) as page:
        for text in [*(text for _, text, _ in PAPER), *(text for text, _, _ in LISTS)]:
            for key in [*text, "Enter"]:
                page.keyboard.press(key)
                keys.append(key)
        expect(page.locator(".how-many")).to_contain_text(": 11.")
        for key in ("Tab", "Enter"):
            page.keyboard.press(key)
            keys.append(key)
        expect(page.locator(".entered")).to_be_focused()
        file = saved(page, tmp_path / "marks.jsonl")
    assert len(keys) <= 150, len(keys)
    words = ["--household", str(by_page), "--now", MONDAY_AFTER]
    assert main(["mark", "--from", str(file), *words]) == 0
    assert recorded(by_page) == expected()

    typed = [*(text for _, text, _ in PAPER), *(text for text, _, _ in LISTS), "m"]
    with Keyboard("mark", "last", folder=by_terminal, now=MONDAY_AFTER) as terminal:
        for text in typed:
            terminal.types(text)
        assert terminal.end() == 0
    assert said_by(by_page) == said_by(by_terminal)
    assert ended(by_page) == ended(by_terminal)
