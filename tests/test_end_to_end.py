"""The main job from end to end: real servers → pull → build → pages as a person sees them.

The demo household, its four calendars in four kinds of places: a Radicale, a Xandikos, a web
address with a password, a file. Every step is a command as cron would run it, every page is
opened in Chromium from a plain folder.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.support.calendar_files import objects_of
from tests.support.chromium import chromium, looking
from tests.support.feeds import basic, feed, web_server
from tests.support.servers import PASSWORD, USER, CalDavServer, radicale, xandikos
from weeksync import demo

pytestmark = [pytest.mark.server, pytest.mark.browser]

NOW = demo.NOW
LATER = NOW + timedelta(hours=22)
"""Thursday, 04:40: the night after."""


@dataclass
class Ran:
    """How a command ended."""

    status: int
    out: str
    err: str


@dataclass
class Home:
    """A household on disk whose commands can be run; `sites` are copies of its pages."""

    folder: Path
    sites: dict[str, Path] = field(default_factory=dict)
    runs: dict[str, Ran] = field(default_factory=dict)

    def run(self, name: str, *command: str, now: datetime = NOW) -> Ran:
        """Run a command as cron would, and keep how it ended."""
        words = [sys.executable, "-m", "weeksync", *command]
        words += ["--household", str(self.folder), "--now", now.isoformat()]
        env = {**os.environ, "ROTA_PASSWORD": PASSWORD}
        done = subprocess.run(
            words, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=env
        )
        self.runs[name] = Ran(done.returncode, done.stdout, done.stderr)
        return self.runs[name]

    def keep(self, name: str) -> None:
        """Copy the pages as they are now; they work from any folder."""
        self.sites[name] = self.folder.parent / name
        shutil.copytree(self.folder / "output" / "site", self.sites[name])


def fill(server: CalDavServer, title: str, file: Path) -> str:
    """A calendar with the events of a file, object by object; its path on the server."""
    path = server.make_calendar(file.stem, title)
    for number, content in enumerate(objects_of(file.read_bytes()).values()):
        server.put(f"{path}{number}.ics", content)
    return path


def move(config: Path, name: str, place: str) -> None:
    """Let a calendar of the demo come from another place."""
    text = config.read_text(encoding="utf-8")
    line = f'path = "calendars/{name}.ics"\n'
    assert text.count(line) == 1
    config.write_text(text.replace(line, place), encoding="utf-8")


DENTIST_LATER = b"""BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//test//EN
BEGIN:VEVENT
UID:dentist-j@saltmere.invalid
DTSTAMP:20270324T090000Z
DTSTART;TZID=Europe/London:20270323T151500
DTEND;TZID=Europe/London:20270323T160000
SEQUENCE:1
SUMMARY:Dentist - Juno
END:VEVENT
END:VCALENDAR
""".replace(b"\n", b"\r\n")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """The whole story once: a first night, a change on a server, a night without any server."""
    root = tmp_path_factory.mktemp("end-to-end")
    home = Home(demo.copy_to(root / "household"))
    calendars = home.folder / "calendars"
    config = home.folder / "config.toml"
    secret = root / "secret"
    secret.write_text(PASSWORD + "\n")
    secret.chmod(0o600)
    user = f'user = "{USER}"\n'
    with ExitStack() as running:
        first, second = running.enter_context(radicale()), running.enter_context(xandikos())
        web = running.enter_context(web_server())
        lessons = (calendars / "lessons.ics").read_bytes()
        web["/term/lessons.ics"] = basic(USER, PASSWORD, feed(lessons, etag='"1"', packed=True))
        path = fill(first, "Home", calendars / "home.ics")
        fill(second, "Rota", calendars / "rota.ics")
        move(
            config,
            "home",
            f'caldav = "{first.url}"\nchoose = ["Home"]\n{user}password_file = "{secret}"\n',
        )
        move(config, "rota", f'caldav = "{second.url}"\n{user}password_env = "ROTA_PASSWORD"\n')
        move(
            config,
            "lessons",
            f'url = "{web.url}/term/lessons.ics"\n{user}password_command = ["cat", "{secret}"]\n',
        )
        home.run("pull", "pull")
        home.run("build", "build")
        home.keep("first")
        first.put(f"{path}{dentist_number(calendars)}.ics", DENTIST_LATER)
        home.run("changed", "nightly")
        home.keep("changed")
    home.run("down", "nightly", now=LATER)
    home.keep("down")
    return home


def dentist_number(calendars: Path) -> int:
    """Under which number the dentist was put on the server."""
    uids = list(objects_of((calendars / "home.ics").read_bytes()))
    return uids.index("dentist-j@saltmere.invalid")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this module."""
    with chromium() as running:
        yield running


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page on a wide screen, at the demo's instant; nothing may go wrong on it."""
    with looking(browser, now=NOW) as opened:
        yield opened


def day(page: Page, name: str) -> Locator:
    """The part of a week page that is the day of that name, as a screen reader finds it."""
    return page.get_by_role("article", name=re.compile(f"^{name}"))


def entry(place: Locator, title: str) -> str:
    """The one entry of a day with that title, as it reads; others may name it, as clashes do."""
    return line(place, title, place.page.locator(".what, .label + bdi").filter(has_text=title))


def line(place: Locator, text: str, holds: Locator | None = None) -> str:
    """The one list item that holds a text, as it reads, blanks made one."""
    item = place.get_by_role("listitem").filter(has_text=text, has=holds)
    expect(item).to_have_count(1)
    return " ".join(item.inner_text().split())


def open_week(page: Page, site: Path, week: str = "2027-W12") -> None:
    """Open the page of a week from its folder."""
    page.goto((site / f"{week}.html").as_uri())


def test_all_is_well_and_silent(home: Home) -> None:
    """Pull, build and the night with a change end with 0 and say nothing."""
    for name in ("pull", "build", "changed"):
        assert home.runs[name] == Ran(0, "", ""), name


def test_the_start_page_leads_to_the_week_and_on(home: Home, page: Page) -> None:
    """From the start page to this week, to the next, to the month, and back to the start."""
    page.goto((home.sites["first"] / "index.html").as_uri())
    page.get_by_role("region", name="This week").get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("12")
    assert page.url.endswith("/2027-W12.html")
    page.locator("a[rel=next]").click()
    assert page.url.endswith("/2027-W13.html")
    page.locator("a[rel=prev]").click()
    page.get_by_role("navigation").get_by_role("link", name="March 2027").click()
    assert page.url.endswith("/2027-03.html")
    page.get_by_role("table").get_by_role("link").nth(2).click()
    assert re.search(r"/2027-W\d\d\.html", page.url)


def test_the_call_that_was_moved_is_on_monday(home: Home, page: Page) -> None:
    """Kept in the zone of St John's on the server, it reads 10:30 on Monday, and once."""
    open_week(page, home.sites["first"])
    assert "10:30" in entry(day(page, "Monday"), "Call with Nana Brice (moved)")
    assert "18:30" in entry(day(page, "Sunday"), "Call with Nana Brice")
    open_week(page, home.sites["first"], "2027-W11")
    expect(page.get_by_text("Call with Nana Brice")).to_have_count(0)


def test_the_dentist_is_on_tuesday(home: Home, page: Page) -> None:
    """At 11:30 first; after the change on the server at 15:15."""
    open_week(page, home.sites["first"])
    assert "11:30" in entry(day(page, "Tuesday"), "Dentist - Juno")
    open_week(page, home.sites["changed"])
    assert "15:15" in entry(day(page, "Tuesday"), "Dentist - Juno")


def test_every_source_is_on_the_page(home: Home, page: Page) -> None:
    """Something of each of the four places stands on its day."""
    open_week(page, home.sites["first"])
    assert "09:30" in entry(day(page, "Thursday"), "Home lessons")
    assert "07:00" in entry(day(page, "Wednesday"), "Dov day shift")
    assert "07:30" in entry(day(page, "Saturday"), "Market stall")
    assert entry(day(page, "Friday"), "Cousin Tamsin staying")


def test_a_cancelled_lesson_that_was_printed_is_struck_through(home: Home, page: Page) -> None:
    """Piano is marked as cancelled where it stood, and so is not among what was left out."""
    open_week(page, home.sites["first"])
    piano = day(page, "Wednesday").locator("li.event.cancelled").filter(has_text="Piano - Pell")
    expect(piano).to_have_count(1)
    expect(piano.locator("small")).to_have_text("cancelled")
    expect(piano.locator(".what")).to_have_css("text-decoration-line", "line-through")
    page.get_by_role("contentinfo").get_by_role("link", name="Problems").click()
    assert page.url.endswith("/problems.html")
    expect(page.get_by_text("Piano - Pell")).to_have_count(0)
    expect(page.get_by_text("All is well")).to_be_visible()


def test_bills_and_pay_are_on_the_real_day(home: Home, page: Page) -> None:
    """Water and council tax after Easter, pay before it; no amount on a common page."""
    open_week(page, home.sites["first"])
    assert entry(day(page, "Wednesday"), "Broadband")
    assert entry(day(page, "Thursday"), "Dov's pay")
    page.goto(f"{page.url.partition('#')[0]}#d-2027-03-25")  # the day by itself says from where
    assert "moved from Sun 28 Mar" in entry(day(page, "Thursday"), "Dov's pay")
    for title in ("Water", "Council tax"):
        expect(page.locator(".money").filter(has_text=title)).to_have_count(0)
    expect(page.get_by_text("£")).to_have_count(0)
    open_week(page, home.sites["first"], "2027-W13")
    tuesday = day(page, "Tuesday")
    assert entry(tuesday, "Water")
    assert entry(tuesday, "Council tax")
    assert entry(day(page, "Thursday"), "Rent")


def test_today_is_marked_by_the_readers_clock(home: Home, browser: Browser) -> None:
    """Wednesday on Wednesday, Thursday the day after, on the same page."""
    for now, name in ((NOW, "Wednesday"), (NOW + timedelta(days=1), "Thursday")):
        with looking(browser, now=now) as page:
            open_week(page, home.sites["first"])
            expect(day(page, name)).to_have_attribute("aria-current", "date")
            expect(page.locator("article[aria-current]")).to_have_count(1)


def test_a_night_without_servers_ends_with_one(home: Home) -> None:
    """A line for each source that failed, with its id, and no password in any of them."""
    down = home.runs["down"]
    assert down.status == 1
    assert down.out == ""
    lines = down.err.splitlines()
    assert sorted(one.partition(":")[0] for one in lines) == ["home", "lessons", "rota"]


def test_the_last_good_copy_is_shown_with_its_age(home: Home, browser: Browser) -> None:
    """The page says which calendars are not up to date and since when, and still has them."""
    with looking(browser, now=LATER) as page:
        open_week(page, home.sites["down"])
        stale = page.get_by_role("region", name="Not up to date")
        expect(stale.get_by_role("listitem")).to_have_count(3)
        assert re.search(r"Home lessons.*22 hours ago", line(stale, "Home lessons"))
        assert "15:15" in entry(day(page, "Tuesday"), "Dentist - Juno")
        assert "10:30" in entry(day(page, "Monday"), "Call with Nana Brice (moved)")


def test_own_pages_hold_what_the_common_ones_do_not(home: Home, page: Page) -> None:
    """Amounts and check-ins are on the pages of one's own, apart from the site."""
    page.goto((home.folder / "output" / "own" / "2027-W12.html").as_uri())
    expect(page.get_by_text("£28.50")).to_be_visible()
    expect(page.get_by_text("the blackbird on the wash-house roof")).to_be_visible()
    for common in home.sites["down"].glob("*.html"):
        text = common.read_text(encoding="utf-8")
        assert "blackbird" not in text, common.name
        assert "28.50" not in text, common.name
        assert "letter drawer" not in text, common.name


def test_no_password_is_anywhere(home: Home) -> None:
    """Not in what was printed, not in the pages, not in the store."""
    for name, ran in home.runs.items():
        assert PASSWORD not in ran.out + ran.err, name
    for folder in (home.folder / "output", home.folder / "state"):
        for path in folder.rglob("*"):
            if path.is_file():
                assert PASSWORD.encode() not in path.read_bytes(), path


@pytest.mark.parametrize(("width", "height"), [(320, 640), (800, 1280), (1366, 768)])
@pytest.mark.parametrize("name", ["index", "2027-W12", "2027-03", "problems"])
def test_nothing_sticks_out_sideways(
    home: Home, browser: Browser, tmp_path: Path, name: str, width: int, height: int
) -> None:
    """On phone, tablet and desk no page has to be moved sideways; a picture of each is kept."""
    with looking(browser, now=LATER, width=width, height=height) as page:
        page.goto((home.sites["down"] / f"{name}.html").as_uri())
        page.screenshot(path=tmp_path / f"{name}-{width}.png", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_broken_configuration_ends_with_two_and_leaves_the_site(
    home: Home, tmp_path: Path
) -> None:
    """The line and the key are named, nothing is changed, the old pages are still there."""
    other = Home(tmp_path / "household")
    shutil.copytree(home.folder, other.folder, symlinks=True)
    config = other.folder / "config.toml"
    text = config.read_text(encoding="utf-8")
    config.write_text(text.replace('region = "GB-ENG"', 'regoin = "GB-ENG"'), encoding="utf-8")
    number = text[: text.index("region =")].count("\n") + 1
    ran = other.run("broken", "nightly")
    assert ran.status == 2
    assert f"config.toml:{number}" in ran.err
    assert "regoin" in ran.err
    assert (other.folder / "output" / "site" / "2027-W12.html").is_file()


def test_nothing_at_all_ends_with_three(tmp_path: Path) -> None:
    """A first pull that reaches no calendar, as no server is there, could do nothing."""
    home = Home(demo.copy_to(tmp_path / "household"))
    shutil.rmtree(home.folder / "calendars")
    assert home.run("none", "pull").status == 3
    assert len(home.runs["none"].err.splitlines()) == 4
    assert home.run("no such command", "pull", "--source", "attic").status == 2


def test_the_instant_of_the_demo_is_wednesday() -> None:
    """The names of days above stand and fall with it."""
    assert datetime(2027, 3, 24, 6, 40, tzinfo=UTC) == NOW
