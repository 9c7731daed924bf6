"""A tablet of the home and the real `weeksync serve`, over https that the tablet trusts.

From the certificate to the mark that was made while the home computer was away: as a person does
it, with the commands and the pages alone.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright

from tests.support.trusting_chromium import KITCHEN, trusting
from weeksync.cli.run import run
from weeksync.demo import copy_to
from weeksync.model.week import IsoWeek
from weeksync.serve.certificate import authority_file

pytestmark = [pytest.mark.browser, pytest.mark.server]

TODAY = datetime.now(ZoneInfo("Europe/London")).date()  # the demo household's zone
THIS = f"{IsoWeek.of(TODAY)}.html"
KEPT = """(async () => {
  const names = [];
  for (const cache of await caches.keys())
    for (const one of await (await caches.open(cache)).keys())
      names.push(new URL(one.url).pathname);
  return names.filter((name) => !['/icon.svg', '/style.css'].includes(name));
})()"""
"""The paths of all copies but those of what the page to sign in is drawn with, too."""


@dataclass
class Home:
    """A household whose `weeksync serve` can be stopped and started again."""

    folder: Path
    port: int
    _process: subprocess.Popen[str] | None = None

    def url(self, path: str = "", scheme: str = "https") -> str:
        """An address of it as the tablet writes it."""
        return f"{scheme}://{KITCHEN}:{self.port}/{path}"

    def on(self) -> None:
        """Start it, and wait until it says that it is there."""
        command = [sys.executable, "-m", "weeksync", "serve", "--household", str(self.folder)]
        self._process = subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env={**os.environ, "LC_ALL": "C"}
        )
        assert self._process.stdout is not None
        assert "The pages are at https://" in self._process.stdout.readline()

    def off(self) -> None:
        """Stop it as a machine does that is shut down."""
        if self._process is not None:
            self._process.send_signal(signal.SIGTERM)
            self._process.communicate(timeout=20)
            self._process = None

    def marks(self) -> str:
        """What stands in the week's file of marks."""
        path = self.folder / "marks" / f"{IsoWeek.of(TODAY)}.csv"
        return path.read_text() if path.exists() else ""


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household, made ready for https by the command, with pages of today."""
    made = Home(copy_to(tmp_path_factory.mktemp("household")), free_port())
    config = made.folder / "config.toml"
    text = re.sub(r"weeks_back = \d+\nweeks_ahead = \d+", "weeks_back = 1\nweeks_ahead = 1",
                  config.read_text())  # fmt: skip
    config.write_text(
        f'{text}\n[serve]\nport = {made.port}\naddress = "{made.url().rstrip("/")}"\n'
        'certificate = "state/tls/server.crt"\ncertificate_key = "state/tls/server.key"\n'
    )
    first = ["devices", "--add", "first"]  # by that address others come in: not without a device
    for command in (["certificate", "--name", KITCHEN], first, ["nightly"]):
        assert run([*command, "--household", str(made.folder)]) in {0, 1}
    made.on()
    yield made
    made.off()


@pytest.fixture(scope="module")
def tablet(home: Home, tmp_path_factory: pytest.TempPathFactory) -> Iterator[BrowserContext]:
    """A browser whose user loaded the authority from the home computer and trusts it."""
    folder = tmp_path_factory.mktemp("tablet")
    content = authority_file(home.folder / "state" / "tls", "household-ca.crt")
    assert content is not None
    (folder / "household-ca.crt").write_bytes(content)
    with (
        sync_playwright() as playwright,
        trusting(playwright, folder, folder / "household-ca.crt") as context,
    ):
        yield context


def code_for(home: Home, capsys: pytest.CaptureFixture[str], device: str) -> str:
    """The one-time code that `weeksync devices` prints for a device."""
    capsys.readouterr()
    assert run(["devices", "--household", str(home.folder), "--add", device]) == 0
    found = re.search(r"sign-in#([A-Z0-9-]+)", capsys.readouterr().out)
    assert found is not None
    return found[1]


def sign_in(page: Page, home: Home, code: str) -> None:
    """Open the address of the scannable code, then the week, until it is kept."""
    page.goto(home.url(f"sign-in#{code}"))
    page.wait_for_url(home.url())
    page.goto(home.url(THIS))
    eventually(page, "navigator.serviceWorker.ready.then((one) => one.active.state == 'activated')")


def eventually(page: Page, promise: str) -> None:
    """Wait until the promise of that script is kept with something true."""
    end = time.monotonic() + 20
    while not page.evaluate(promise):
        assert time.monotonic() < end, promise
        page.wait_for_timeout(50)


def test_the_authority_is_there_before_anybody_signs_in(home: Home) -> None:
    """A tablet that trusts nothing yet loads it; what it gets is what the command wrote."""
    unverified = ssl.create_default_context()
    unverified.check_hostname, unverified.verify_mode = False, ssl.CERT_NONE
    at = f"https://127.0.0.1:{home.port}/household-ca.crt"
    with urllib.request.urlopen(at, context=unverified) as answer:
        assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
        content = answer.read()
    assert content == (home.folder / "state" / "tls" / "household-ca.crt").read_bytes()


def test_a_mark_made_while_home_is_away_is_in_the_files_once_it_is_back(
    home: Home, tablet: BrowserContext, capsys: pytest.CaptureFixture[str]
) -> None:
    """The kept page takes marks and says that they wait; they go out without a touch."""
    page = tablet.new_page()
    sign_in(page, home, code_for(home, capsys, "kitchen"))
    home.off()
    page.reload()
    expect(page.locator(".kept-copy")).to_contain_text("the home computer does not answer")
    unmarked = page.locator("tr[data-kind='yes/no'][data-id]").filter(
        has=page.locator(f"td[data-date='{TODAY}']:not([data-value]) .touch")
    )
    habit, person = (unmarked.first.get_attribute(name) for name in ("data-id", "data-person"))
    cell = page.locator(f"tr[data-id='{habit}'][data-person='{person}'] td[data-date='{TODAY}']")
    cell.locator(".touch").click()
    expect(cell).to_have_class(re.compile(r"\bmarked\b"))
    expect(page.locator("#bar")).to_contain_text("Marks only on this tablet: 1")
    page.reload()  # what waits is still there
    expect(page.locator("#bar")).to_contain_text("Marks only on this tablet: 1")
    assert f"{habit},{TODAY}" not in home.marks()
    home.on()
    expect(page.locator(".kept-copy")).to_have_count(0, timeout=60_000)
    end = time.monotonic() + 30
    while f"{habit},{TODAY}" not in home.marks():
        assert time.monotonic() < end, home.marks()
        page.wait_for_timeout(100)
    assert home.marks().count(f"{habit},{TODAY}") == 1
    expect(page.locator("#bar")).not_to_contain_text("Marks only on this tablet: 1", timeout=40_000)
    page.close()


def test_a_device_that_is_let_in_no_longer_keeps_nothing(
    home: Home, tablet: BrowserContext, capsys: pytest.CaptureFixture[str]
) -> None:
    """Told at home with one command; the tablet forgets when it next reaches home."""
    page = tablet.new_page()
    sign_in(page, home, code_for(home, capsys, "pantry"))
    assert f"/{THIS}" in page.evaluate(KEPT)
    assert run(["devices", "--household", str(home.folder), "--revoke", "pantry"]) == 0
    page.goto(home.url(THIS))
    page.wait_for_url(home.url("sign-in"))
    assert page.evaluate(KEPT) == []
    page.close()


def test_signing_out_on_the_tablet_keeps_nothing(
    home: Home, tablet: BrowserContext, capsys: pytest.CaptureFixture[str]
) -> None:
    """The copies go, and the page is not to be had without a code."""
    page = tablet.new_page()
    sign_in(page, home, code_for(home, capsys, "hall"))
    assert f"/{THIS}" in page.evaluate(KEPT)
    page.evaluate("fetch('/sign-out', {method: 'POST'})")
    eventually(page, f"{KEPT}.then((names) => names.length === 0)")
    page.goto(home.url(THIS))
    page.wait_for_url(home.url("sign-in"))
    page.close()


def test_no_worker_keeps_what_is_one_persons_own(home: Home, tablet: BrowserContext) -> None:
    """Asked for through the worker, pages behind the PIN and the way in stay out of the copies."""
    page = tablet.new_page()
    for path in ("own/index.html", "own/check-in.html", "sign-in"):
        page.goto(home.url(path))
    names = page.evaluate(KEPT)
    assert not [name for name in names if "/own/" in name or "sign-in" in name]
    page.close()
