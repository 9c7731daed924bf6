"""Chromium at the door: signing in by a scanned code, the PIN, and another site's page."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from benchmarks.serve import demo_served
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium
from weeksync.serve import Access, sign_in_address

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Access]]:
    """(address, access) of the real `weeksync serve` on the demo household; Ines has a PIN."""
    folder = tmp_path_factory.mktemp("demo")
    with demo_served(folder) as running:
        access = Access(folder / "household" / "state" / "access.json")
        access.set_pin("ines", "2468")
        yield running.address, access


@pytest.fixture
def tablet(browser: Browser) -> Iterator[BrowserContext]:
    """A tablet that has never been here; its console must stay empty."""
    context = browser.new_context(viewport={"width": 800, "height": 1280})
    said: list[str] = []
    context.on("console", lambda one: said.append(one.text) if one.type == "error" else None)
    context.on("weberror", lambda one: said.append(str(one.error)))
    yield context
    context.close()
    # Chromium itself notes every answer of 4xx; the PIN page is one.
    assert [one for one in said if "status of 40" not in one] == []


def scanned(home: tuple[str, Access], context: BrowserContext, name: str) -> Page:
    """A page that was opened by scanning the code."""
    address, access = home
    page = context.new_page()
    page.goto(sign_in_address(address, access.add(name)))
    page.wait_for_url(f"{address}/")
    return page


def test_a_scanned_code_signs_in_by_itself(
    home: tuple[str, Access], tablet: BrowserContext
) -> None:
    """The code is left in no history and no address; the cookie is out of reach of scripts."""
    page = scanned(home, tablet, "kitchen")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    (cookie,) = tablet.cookies()
    assert (cookie["httpOnly"], cookie["sameSite"], cookie["path"]) == (True, "Strict", "/")
    assert page.evaluate("document.cookie") == ""
    page.go_back()
    assert "#" not in page.url


def test_a_code_can_be_typed_in_without_script(home: tuple[str, Access], browser: Browser) -> None:
    """And a wrong one is told in words, and can be corrected."""
    address, access = home
    scanned(home, browser.new_context(), "first of all")
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/2027-W12.html")
    assert page.url == f"{address}/sign-in"
    page.get_by_label("code").fill("AAAA-AAAA")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("not known")
    page.get_by_label("code").fill(access.add("typed").lower())
    page.keyboard.press("Enter")
    page.wait_for_url(f"{address}/")
    for one in browser.contexts:
        one.close()


def test_a_pin_opens_ones_own_pages_by_keyboard_alone(
    home: tuple[str, Access], tablet: BrowserContext
) -> None:
    """Person, PIN, Enter; the page that was wanted comes."""
    address, _ = home
    page = scanned(home, tablet, "bedroom")
    page.goto(f"{address}/own/2027-W12.html")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(page.get_by_label("Ines")).to_be_checked()
    page.keyboard.press("Tab")
    page.keyboard.type("2468")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{address}/own/2027-W12.html")
    expect(page.locator("html")).to_have_attribute("data-tree", "own")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["/sign-in", "/own/"])
def test_the_pages_on_the_way_in_can_be_used_by_everybody(
    home: tuple[str, Access], tablet: BrowserContext, path: str, scheme: str, tmp_path: Path
) -> None:
    """Checkers find nothing, nothing scrolls sideways at 320 px, targets have 44 px."""
    address, _ = home
    page = scanned(home, tablet, f"{scheme} {path.strip('/')}")
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    page.set_viewport_size({"width": 320, "height": 640})
    page.goto(f"{address}{path}")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    for target in page.locator("button, input:not([type=hidden]):not([type=radio]), .who").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44
    assert axe(page) == []
    (tmp_path / "page.html").write_text(page.request.get(f"{address}{path}").text())
    assert html_mistakes([tmp_path / "page.html"], tmp_path) == []


class _Evil(BaseHTTPRequestHandler):
    """A page of another site."""

    def do_GET(self) -> None:
        """Empty, and may do whatever it likes."""
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>elsewhere</title>")

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@contextmanager
def elsewhere(name: str) -> Iterator[str]:
    """The address of another site's page, under that name of this machine."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Evil)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://{name}:{server.server_address[1]}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.mark.parametrize("name", ["localhost", "127.0.0.1"])
def test_a_page_of_another_site_can_do_and_learn_nothing(
    home: tuple[str, Access], browser: Browser, name: str
) -> None:
    """In the browser of a signed-in tablet, from another host and from another port of ours."""
    address, access = home
    context = browser.new_context()
    scanned(home, context, f"visits {name}")
    with elsewhere(name) as there:
        page = context.new_page()
        page.goto(there)
        assert page.evaluate(_POST, [f"{address}/marks", "omit"]) == "403"
        assert page.evaluate(_POST, [f"{address}/marks", "include"]) == "refused"
        assert page.evaluate(_POST, [f"{address}/sign-out", "include"]) == "refused"
        assert page.evaluate(_SCRIPT, f"{address}/status.js") == "refused"
        assert page.evaluate(_READ, f"{address}/2027-W12.html") == "refused"
        page.evaluate(_FORM, f"{address}/sign-out")
        page.wait_for_url(f"{address}/sign-out")
        assert any(one.name == f"visits {name}" for one in access.devices())
    context.close()


_POST = """([to, credentials]) => fetch(to, {method: "POST", credentials, body: "{}",
  headers: to.endsWith("marks") ? {"Content-Type": "application/json"} : {}})
  .then((answer) => String(answer.status), () => "refused")"""
_READ = """(to) => fetch(to, {credentials: "include"}).then((one) => one.text(), () => "refused")"""
_SCRIPT = """(to) => new Promise((done) => {
  const script = document.createElement("script");
  script.onload = () => done(typeof served);
  script.onerror = () => done("refused");
  script.src = to;
  document.head.append(script);
})"""
_FORM = """(to) => {
  const form = document.createElement("form");
  form.method = "post";
  form.action = to;
  document.body.append(form);
  form.submit();
}"""
