"""Marks on a page that nobody serves: kept, counted, saved as a file, and never lost unsaid."""

from __future__ import annotations

import functools
import json
import threading
from collections.abc import Iterator
from datetime import datetime, timedelta
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from shutil import copytree

import pytest
from playwright.sync_api import Browser, expect

from tests.tablet.marking import NOON, TODAY, WEEK, YESTERDAY, Tablet, tablet
from weeksync.cli import main

pytestmark = pytest.mark.browser

ONLY_HERE = "Marks only on this tablet: "


@pytest.fixture(scope="module")
def web(household: Path) -> Iterator[str]:
    """A plain web server over the built site, which knows nothing of marks."""

    class Quiet(SimpleHTTPRequestHandler):
        def log_message(self, format: str, *args: object) -> None:
            """Nothing on the terminal."""

    handler = functools.partial(Quiet, directory=str(household / "output" / "site"))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}/{WEEK}"
        server.shutdown()


@pytest.mark.parametrize("where", ["week", "web"])
def test_a_mark_is_kept_and_counted(
    browser: Browser, where: str, request: pytest.FixtureRequest
) -> None:
    """In a folder and from a plain web server alike; it is there after the page is loaded anew."""
    with tablet(browser, request.getfixturevalue(where)) as one:
        expect(one.bar().get_by_text(ONLY_HERE)).to_be_hidden()
        one.button("day-card").tap()
        one.button("easter-parcel").tap()
        expect(one.bar()).to_contain_text(f"{ONLY_HERE}2")
        one.page.reload()
        expect(one.bar()).to_contain_text(f"{ONLY_HERE}2")
        assert one.state("day-card") == "marked (only on this tablet)"
        one.page.goto(one.page.url.replace(WEEK, "2027-03.html"))
        expect(one.bar().get_by_text(f"{ONLY_HERE}2")).to_be_visible()
        assert one.page.evaluate("weekMarks.waiting()") == 2
        assert one.page.evaluate(f"weekMarks.held('day-card', '{TODAY}')") == "yes"


def test_a_device_keeps_its_name(browser: Browser, week: str) -> None:
    """It is made once, and another browser makes another one."""
    names = set()
    for _ in range(2):
        with tablet(browser, week) as one:
            one.button("day-card").tap()
            one.page.reload()
            one.button("day-card").tap()
            mine = {mark["device"] for mark in one.kept()}
            assert len(mine) == 1
            names |= mine
    assert len(names) == 2


def test_times_never_go_back(browser: Browser, week: str) -> None:
    """The clock is put back by an hour: the later mark still is the later one, and holds."""
    with tablet(browser, week) as one:
        one.button("day-card").tap()
        one.page.clock.set_fixed_time(NOON - timedelta(hours=1))
        one.button("day-card").tap()
        times = [datetime.fromisoformat(mark["recorded_at"]) for mark in one.kept()]
        assert times[0] < times[1]
        assert one.state("day-card").startswith("missed")


def test_two_tabs_share_what_is_kept(browser: Browser, week: str) -> None:
    """What one marks the other shows, without being touched; neither takes anything away."""
    with tablet(browser, week) as one:
        page = one.context.new_page()
        page.clock.install(time=NOON)
        page.goto(week)
        other = Tablet(one.context, page)
        one.button("day-card").tap()
        expect(other.button("day-card")).to_have_attribute(
            "aria-label", one.button("day-card").get_attribute("aria-label") or ""
        )
        other.button("easter-parcel").tap()
        expect(one.bar()).to_contain_text(f"{ONLY_HERE}2")
        assert [mark["id"] for mark in other.kept()] == ["day-card", "easter-parcel"]


FULL_STORAGE = """
try { for (let size = 5e6; size >= 1; size = Math.floor(size / 2))
  for (;;) try { localStorage["x" + Math.random()] = "x".repeat(size); } catch { break; }
} catch {}
"""
FORBIDDEN = """
Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("no", "SecurityError"); } });
"""


@pytest.mark.parametrize("before", [FULL_STORAGE, FORBIDDEN], ids=["full", "forbidden"])
def test_storage_that_keeps_nothing_is_told(
    browser: Browser, week: str, before: str, tmp_path: Path
) -> None:
    """The marks stay on the page, a sentence says what to do, and they can be saved."""
    with tablet(browser, week, before=before) as one:
        one.button("day-card").tap()
        one.button("easter-parcel").tap()
        expect(one.bar()).to_contain_text("This browser keeps nothing")
        expect(one.bar()).to_contain_text(f"{ONLY_HERE}2")
        assert one.state("day-card").startswith("marked")
        with one.page.expect_download() as saving:
            one.bar().get_by_role("button", name="Save as a file").tap()
        saving.value.save_as(tmp_path / "marks.jsonl")
        saved = (tmp_path / "marks.jsonl").read_text("utf-8").splitlines()
        assert [json.loads(line)["id"] for line in saved] == ["day-card", "easter-parcel"]
        one.page.on("dialog", lambda asked: asked.accept())


def test_a_saved_file_is_taken_and_the_page_then_shows_it(
    browser: Browser, household: Path, tmp_path: Path
) -> None:
    """Saved marks wait until the page has them; then nothing is left in the browser."""
    home = tmp_path / "home"
    copytree(household, home, symlinks=True)
    address = (home / "output" / "site" / WEEK).as_uri()
    with tablet(browser, address) as one:
        one.button("day-card").tap()
        one.button("day-card", YESTERDAY).tap()
        one.button("water").tap()
        one.ask().get_by_role("spinbutton").fill("7")
        one.ask().get_by_role("button", name="Record").tap()
        one.button("cousin-room", "2027-03-25").tap()
        with one.page.expect_download() as saving:
            one.bar().get_by_role("button", name="Save as a file").tap()
        name = saving.value.suggested_filename
        device = one.kept()[0]["device"]
        assert name == f"marks-{device}-2027-W12.jsonl"
        saving.value.save_as(tmp_path / name)
        assert ONLY_HERE not in one.tells()
        expect(one.bar()).to_contain_text("In a file, not yet taken: 4")
        one.page.reload()
        expect(one.bar()).to_contain_text("In a file, not yet taken: 4")

        at = ["--household", str(home), "--now", NOON.isoformat()]
        assert main(["mark", "--from", str(tmp_path / name), *at]) == 0
        assert main(["build", *at]) in {0, 1}
        one.page.reload()
        assert one.state("water") == "marked 7"
        assert one.state("day-card") == "marked"
        assert one.state("day-card", YESTERDAY) == "missed"
        assert one.kept() == []
        assert "In a file" not in one.tells()


def test_the_owner_may_say_that_a_file_was_taken(browser: Browser, week: str) -> None:
    """Before the page shows it: then the mark lies over the page and counts no longer."""
    with tablet(browser, week) as one:
        one.button("day-card").tap()
        with one.page.expect_download():
            one.bar().get_by_role("button", name="Save as a file").tap()
        one.bar().get_by_role("button", name="The file was taken").tap()
        assert "In a file" not in one.tells()
        assert one.state("day-card") == "marked"
        one.page.reload()
        assert one.state("day-card") == "marked"
        assert one.page.evaluate("weekMarks.waiting()") == 0


def test_other_scripts_add_marks_and_hear_of_changes(browser: Browser, week: str) -> None:
    """A whole row at once, which one undo takes back together."""
    with tablet(browser, week) as one:
        one.page.evaluate(
            "() => { window.heard = 0; weekMarks.onChange(() => window.heard++); weekMarks.add(["
            f"{{id: 'water', date: '{TODAY}', person: 'ines', value: '7', was: ''}},"
            f"{{id: 'water', date: '{YESTERDAY}', person: 'ines', value: '8', was: '5'}}]); }}"
        )
        assert one.page.evaluate("window.heard") > 0
        assert one.state("water").startswith("marked 7")
        one.page.keyboard.press("Control+z")
        assert [mark["value"] for mark in one.kept()] == ["7", "8", "", "5"]
