"""The pages kept by the browser: a home computer that is late, switched off, and back again.

All of it over https with a certificate that `weeksync certificate` made and a browser whose user
trusts the household's authority. The site is the demo household's as of this very day: a service
worker knows no clock but the machine's.
"""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect, sync_playwright

from tests.support.home_server import HomeServer
from tests.support.trusting_chromium import KITCHEN, STRANGER, trusting
from weeksync.cli.run import run
from weeksync.demo import copy_to
from weeksync.model.week import IsoWeek, Month
from weeksync.serve.certificate import make
from weeksync.serve.certificate_names import THIS_MACHINE, Names

pytestmark = pytest.mark.browser

TODAY = datetime.now(ZoneInfo("Europe/London")).date()  # the demo household's zone
WEEK = IsoWeek.of(TODAY)
THIS, NEXT, EARLIER = (f"{WEEK.shifted(by)}.html" for by in (0, 1, -1))
MONTH = f"{Month.of(TODAY)}.html"
COPY = re.compile(r"^Copy of \d+ \w+ \d{4}, \d\d:\d\d: the home computer does not answer\.$")

KEPT_NAMES = """async () => {
  const names = [];
  for (const cache of await caches.keys())
    for (const request of await (await caches.open(cache)).keys())
      names.push(new URL(request.url).pathname.slice(1));
  return names.sort();
}"""


def build(household: Path, now: datetime) -> Path:
    """The site of the household as of `now`."""
    instant = now.isoformat(timespec="seconds")
    assert run(["nightly", "--household", str(household), "--now", instant]) in {0, 1}
    return (household / "output" / "site").resolve()


@pytest.fixture(scope="module")
def household(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household with a few weeks about today."""
    folder = copy_to(tmp_path_factory.mktemp("household"))
    config = folder / "config.toml"
    text = re.sub(r"weeks_back = \d+\nweeks_ahead = \d+", "weeks_back = 2\nweeks_ahead = 3",
                  config.read_text())  # fmt: skip
    config.write_text(text)
    return folder


@pytest.fixture(scope="module")
def built(household: Path) -> Path:
    """Its site of now."""
    return build(household, datetime.now(UTC))


@pytest.fixture(scope="module")
def tls(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An authority, and a certificate for the kitchen's name."""
    folder = tmp_path_factory.mktemp("tls")
    make(folder, Names.of([KITCHEN]) | THIS_MACHINE, datetime.now(UTC))
    return folder


@pytest.fixture
def site(built: Path, tmp_path: Path) -> Path:
    """A copy of the site that a test may change."""
    return Path(shutil.copytree(built, tmp_path / "site"))


@pytest.fixture
def home(site: Path, tls: Path) -> Iterator[HomeServer]:
    """The home computer, switched on."""
    server = HomeServer(site, tls).on()
    yield server
    server.off()


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    """What drives the browsers."""
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def tablet(
    playwright: Playwright, tls: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[BrowserContext]:
    """A browser that trusts the household; each test has a port, so an origin, of its own."""
    with trusting(
        playwright, tmp_path_factory.mktemp("tablet"), tls / "household-ca.crt"
    ) as context:
        yield context


@pytest.fixture
def page(tablet: BrowserContext) -> Iterator[Page]:
    """A window of it; the test fails at an error in a script."""
    window = tablet.new_page()
    wrong: list[str] = []
    window.on("pageerror", lambda error: wrong.append(str(error)))
    yield window
    window.close()
    assert wrong == []


def eventually(page: Page, promise: str) -> None:
    """Wait until the promise of that script is kept with something true."""
    end = time.monotonic() + 15
    while not page.evaluate(promise):
        assert time.monotonic() < end, promise
        page.wait_for_timeout(50)


def visit(page: Page, home: HomeServer, name: str = THIS) -> None:
    """Look at a page until the browser has kept what it wants to keep."""
    page.goto(home.url(name, KITCHEN))
    eventually(
        page, "navigator.serviceWorker.ready.then((one) => one.active.state === 'activated')"
    )
    eventually(page, f"({KEPT_NAMES})().then((names) => names.includes('{NEXT}'))")


def test_this_and_the_next_week_are_there_without_the_home_computer(
    page: Page, home: HomeServer
) -> None:
    """One look at one page is enough; each page says in words that it is a copy, and of when."""
    visit(page, home)
    home.off()
    for name in (THIS, NEXT, MONTH, "index.html", "", f"enter-{THIS}"):
        answer = page.goto(home.url(name, KITCHEN))
        assert answer is not None
        assert answer.ok, name
        expect(page.locator("main > .kept-copy:first-child")).to_have_text(COPY)
        expect(page.locator(".kept-copy")).to_have_attribute("role", "status")
        expect(page.locator("h1")).to_be_visible()
    page.goto(home.url(THIS, KITCHEN))
    style = page.evaluate("getComputedStyle(document.querySelector('.day')).position")
    assert style == "relative"  # the style sheet was kept, too
    expect(page.locator(".today").first).to_be_visible()  # and the script that knows today


def test_a_page_from_home_is_no_copy(page: Page, home: HomeServer) -> None:
    """With the worker installed and home answering, nothing is said."""
    visit(page, home)
    page.reload()
    assert page.evaluate("navigator.serviceWorker.controller !== null")
    expect(page.locator("h1")).to_be_visible()
    expect(page.locator(".kept-copy")).to_have_count(0)
    expect(page.locator(".cannot")).to_have_count(0)


def test_only_names_that_may_be_kept_are_kept(page: Page, home: HomeServer) -> None:
    """No other week, no page of one's own, no sign-in, no problems, and no query beside a name."""
    visit(page, home)
    for name in (EARLIER, "own/2027-W12.html", "sign-in", "problems.html", f"{THIS}?day=2"):
        page.goto(home.url(name, KITCHEN))
    page.evaluate("fetch('changes').catch(() => {})")
    page.evaluate("fetch('marks', {method: 'POST', body: '{}'}).catch(() => {})")
    page.wait_for_timeout(300)
    page.goto(home.url(THIS, KITCHEN))
    files = {path.name for path in home.site.iterdir() if path.suffix != ".html"}
    pages = {"index.html", THIS, NEXT, MONTH, f"enter-{THIS}"}
    assert set(page.evaluate(KEPT_NAMES)) == (files - {"service-worker.js"}) | pages


def test_a_page_that_is_not_kept_says_so_and_leads_to_those_that_are(
    page: Page, home: HomeServer
) -> None:
    """In place of the browser's own page of errors."""
    visit(page, home)
    home.off()
    page.goto(home.url(EARLIER, KITCHEN))
    expect(page.locator("h1")).to_have_text(
        "The home computer does not answer, and this page is not kept here."
    )
    page.get_by_role("link", name="All weeks").click()
    expect(page.locator("p.kept-copy")).to_have_text(COPY)


def test_a_new_build_replaces_the_copy_at_the_next_look(page: Page, home: HomeServer) -> None:
    """Nobody is shown an old page while home answers, and the copy is the newest page seen."""
    visit(page, home)
    shown = home.site / THIS
    shown.write_text(shown.read_text().replace("<h1>", "<h1>Rebuilt: ", 1))
    page.reload()
    expect(page.locator("h1")).to_contain_text("Rebuilt: ")
    page.wait_for_timeout(300)
    home.off()
    page.reload()
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    expect(page.locator("h1")).to_contain_text("Rebuilt: ")


def test_a_look_at_this_week_renews_the_copy_of_the_next(page: Page, home: HomeServer) -> None:
    """Nobody looks at the next week before it comes; its copy must not be that of the first day.

    A worker that was put to sleep asks for all copies anew when it wakes, else after ten minutes.
    """
    visit(page, home)
    shown = home.site / NEXT
    shown.write_text(shown.read_text().replace("<h1>", "<h1>Planned: ", 1))
    tools = page.context.new_cdp_session(page)
    tools.send("ServiceWorker.enable")
    tools.send("ServiceWorker.stopAllWorkers")
    page.reload()
    eventually(
        page,
        f"caches.match('{NEXT}').then((kept) => kept.text())"
        ".then((text) => text.includes('Planned: '))",
    )
    home.off()
    page.goto(home.url(NEXT, KITCHEN))
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    expect(page.locator("h1")).to_contain_text("Planned: ")


def test_a_new_worker_takes_over_and_clears_away_what_older_ones_kept(
    page: Page, home: HomeServer
) -> None:
    """An update that waits for all pages to be closed never comes on a tablet on the wall."""
    visit(page, home)
    page.evaluate(
        "caches.open('weeksync:old').then((old) => old.put('/2020-W01.html', new Response('')))"
    )
    worker = home.site / "service-worker.js"
    worker.write_text(worker.read_text().replace("Copy of {time}", "Newer copy of {time}"))
    page.reload()
    eventually(page, "caches.has('weeksync:old').then((has) => !has)")
    home.off()
    page.reload()
    expect(page.locator(".kept-copy")).to_contain_text("Newer copy of ")


def test_where_home_is_late_the_copy_is_shown_after_two_seconds(
    page: Page, home: HomeServer
) -> None:
    """A slow network is waited for two seconds and no longer; a late answer is kept even so."""
    visit(page, home)
    shown = home.site / THIS
    shown.write_text(shown.read_text().replace("<h1>", "<h1>Late: ", 1))
    home.delay = 4.0
    begun = time.monotonic()
    page.reload(wait_until="domcontentloaded")
    assert 1.9 <= time.monotonic() - begun < 3.9
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    expect(page.locator("h1")).not_to_contain_text("Late: ")
    page.wait_for_timeout(3500)
    home.off()
    page.reload()
    expect(page.locator("h1")).to_contain_text("Late: ")


def test_a_copy_gives_way_to_the_page_once_home_answers(page: Page, home: HomeServer) -> None:
    """The page loads itself anew within half a minute, but not under somebody's fingers."""
    visit(page, home)
    home.off()
    page.clock.install()
    page.reload()
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    page.clock.fast_forward(21_000)
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    home.on()
    page.evaluate(
        "document.querySelector('main').append(document.createElement('textarea'));"
        "document.querySelector('main > textarea').focus()"
    )
    page.clock.fast_forward(21_000)
    page.wait_for_timeout(300)
    expect(page.locator(".kept-copy")).to_have_text(COPY)
    page.evaluate("document.activeElement.blur()")
    page.clock.fast_forward(21_000)
    expect(page.locator(".kept-copy")).to_have_count(0)
    expect(page.locator("h1")).to_be_visible()


def test_a_page_that_is_being_filled_in_is_left_alone(page: Page, home: HomeServer) -> None:
    """Half of a week typed in from paper is worth more than the newest page."""
    visit(page, home)
    home.off()
    page.clock.install()
    page.goto(home.url(f"enter-{THIS}", KITCHEN))
    page.evaluate("window.here = true")
    home.on()
    page.clock.fast_forward(21_000)
    page.wait_for_timeout(500)
    assert page.evaluate("window.here")
    expect(page.locator(".kept-copy")).to_have_text(COPY)


def test_signing_out_throws_the_copies_away(page: Page, home: HomeServer) -> None:
    """A tablet that is given away shows the household's week to nobody."""
    visit(page, home)
    page.evaluate("fetch('sign-out', {method: 'POST'})")
    eventually(page, "caches.keys().then((names) => names.length === 0)")
    home.off()
    answer = page.goto(home.url(THIS, KITCHEN))
    assert answer is not None
    assert answer.status == 503


def test_a_device_that_was_signed_out_at_home_loses_its_copies(
    page: Page, home: HomeServer
) -> None:
    """Revoked at home, the tablet is led to sign in, and forgets at the next look."""
    visit(page, home)
    home.signed_in = False
    page.goto(home.url(THIS, KITCHEN))
    expect(page).to_have_title("Sign in")
    home.off()
    answer = page.goto(home.url(THIS, KITCHEN))
    assert answer is not None
    assert answer.status == 503


def test_the_pages_can_be_installed(page: Page, home: HomeServer) -> None:
    """Chromium's own judgement of the manifest and the icon: nothing that speaks against it."""
    visit(page, home, "index.html")
    tools = page.context.new_cdp_session(page)
    assert tools.send("Page.getInstallabilityErrors") == {"installabilityErrors": []}
    manifest = tools.send("Page.getAppManifest")
    assert manifest["errors"] == []
    assert manifest["url"] == home.url("manifest.webmanifest", KITCHEN)
    said = manifest["manifest"]
    assert said["name"] == "The Marlowicks"
    assert said["startUrl"] == home.url("index.html?current", KITCHEN)
    assert said["display"].lower().endswith("standalone")


def test_an_installed_app_begins_with_the_week_of_today(page: Page, home: HomeServer) -> None:
    """The start page leads on at once, with and without home, and leaves no step to go back to."""
    visit(page, home)
    for switched_on in (True, False):
        if not switched_on:
            home.off()
        page.goto("about:blank")
        page.goto(home.url("index.html?current", KITCHEN))
        page.wait_for_url(home.url(THIS, KITCHEN))
    page.go_back()
    expect(page).to_have_url("about:blank")


def said_in_footer(page: Page) -> None:
    """The page works, keeps nothing, and says once, below everything else, what it cannot do."""
    expect(page.locator("footer .cannot")).to_have_count(1)
    expect(page.locator(".cannot")).to_have_text(
        "Here the page cannot be installed, nor kept for when the home computer does not answer: "
        "that takes weeksync serve with https."
    )
    expect(page.locator(".kept-copy")).to_have_count(0)
    expect(page.locator("h1")).to_be_visible()
    expect(page.locator(".today").first).to_be_visible()
    if not page.url.startswith("file:"):  # where the browser has none to ask
        assert page.evaluate(
            "navigator.serviceWorker?.getRegistrations().then((found) => found.length)"
        ) in {0, None}


def test_over_http_on_a_home_network_the_page_says_what_it_cannot(page: Page, site: Path) -> None:
    """W3C Secure Contexts, section 3.1: a name of the home network over http is none."""
    home = HomeServer(site).on()
    page.goto(home.url(THIS, KITCHEN))
    said_in_footer(page)
    home.off()


def test_on_the_home_computer_itself_http_is_enough(page: Page, site: Path) -> None:
    """W3C Secure Contexts, section 3.1: localhost is trustworthy without https."""
    home = HomeServer(site).on()
    page.goto(home.url(THIS))
    page.evaluate("navigator.serviceWorker.ready")
    expect(page.locator(".cannot")).to_have_count(0)
    home.off()


def test_on_a_plain_web_server_and_from_a_folder_the_page_says_what_it_cannot(
    page: Page, site: Path
) -> None:
    """Where weeksync does not serve, no worker is registered, whatever the browser would allow."""
    home = HomeServer(site, served=False).on()
    page.goto(home.url(THIS))
    said_in_footer(page)
    home.off()
    page.goto((site / THIS).as_uri())
    said_in_footer(page)


def test_where_the_certificate_is_not_trusted_the_page_works_and_says_so(
    playwright: Playwright, home: HomeServer, tmp_path: Path
) -> None:
    """After a click past the browser's warning: pages yes, worker no, and a word about it."""
    with trusting(playwright, tmp_path / "stranger", None) as tablet:
        warned = tablet.new_page()
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            warned.goto(home.url(THIS, KITCHEN))
        page = tablet.new_page()
        tools = tablet.new_cdp_session(page)
        tools.send("Security.setIgnoreCertificateErrors", {"ignore": True})
        page.goto(home.url(THIS, KITCHEN))
        said_in_footer(page)


def test_the_browser_trusts_the_authority_for_no_other_name(page: Page, home: HomeServer) -> None:
    """Another machine of the home that got hold of the certificate convinces nobody."""
    with pytest.raises(Exception, match="ERR_CERT_COMMON_NAME_INVALID"):
        page.goto(home.url(THIS, STRANGER))


def test_pages_nobody_has_built_for_long_say_so(
    page: Page, household: Path, tmp_path: Path
) -> None:
    """After 36 hours, told by the browser's clock; before that nothing is said."""
    site = tmp_path / "old"
    for hours, said in ((40, True), (30, False)):
        made = datetime.now(UTC) - timedelta(hours=hours)
        shutil.copytree(build(household, made), site, dirs_exist_ok=True)
        page.goto((site / THIS).as_uri())
        there = page.locator("main > .kept-copy:first-child")
        expect(there).to_have_count(1 if said else 0)
        if said:
            day = made.astimezone(ZoneInfo("Europe/London"))
            expect(there).to_have_text(f"These pages are from {day.day} {day:%b %Y}.")
