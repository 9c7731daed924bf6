"""`weeksync serve` behind the nginx configuration that is shipped, tried with nginx itself."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from tests.deployment.nginx import LOGIN, PASSWORD, USER, Client, nginx
from tests.support.households import calendar, event, write_household
from tests.support.servers import free_port
from tests.support.serving import Serving, mark_line, until
from tests.support.trusting_chromium import KITCHEN, trusting
from weeksync.cli import main

pytestmark = [pytest.mark.server, pytest.mark.browser]

NOW = "2027-03-24T06:40:00+00:00"
HABITS = """\
format = 1

[[habits]]
id = "stretch"
title = "Stretch"
person = "ann"
area = "home"
"""
CALENDAR = '\n[[calendars]]\nid = "family"\npath = "family.ics"\nperson = "ann"\n'
KIND = "application/x-ndjson"


@dataclass
class Proxied:
    """The household, its server, the way to it through the proxy, and the proxy's folder."""

    home: Path
    serving: Serving
    client: Client
    folder: Path

    def code(self, *words: str) -> str:
        """What `weeksync devices` says with these words."""
        command = [sys.executable, "-m", "weeksync", "devices", "--household", str(self.home)]
        return subprocess.run([*command, *words], capture_output=True, check=True).stdout.decode()


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A household with its certificate."""
    folder = write_household(tmp_path_factory.mktemp("proxy") / "home", CALENDAR)
    (folder / "habits.toml").write_text(HABITS)
    (folder / "family.ics").write_text(calendar(event("a", "20270324T100000", "Boiler")))
    assert main(["certificate", "--household", str(folder), "--name", KITCHEN]) == 0
    return folder


@pytest.fixture(scope="module")
def proxied(home: Path) -> Iterator[Proxied]:
    """Both processes, and a device that is signed in."""
    port = free_port()
    config = home / "config.toml"
    address = f'address = "https://{KITCHEN}:{port}"\ntrusted_proxy = "127.0.0.1"\n'
    config.write_text(f"{config.read_text()}\n[serve]\n{address}")
    assert main(["nightly", "--household", str(home), "--now", NOW]) == 0
    tls = home / "state" / "tls"
    words = [sys.executable, "-m", "weeksync", "devices", "--household", str(home)]
    made = subprocess.run([*words, "--add", "kitchen"], capture_output=True, check=True)
    with Serving(home, now=NOW) as serving:
        put_in = {
            "127.0.0.1:8427": f"127.0.0.1:{serving.port}",
            "week.home.arpa": KITCHEN,
            "/etc/weeksync/server.crt": str(tls / "server.crt"),
            "/etc/weeksync/server.key": str(tls / "server.key"),
        }
        with nginx("nginx.conf", home.parent / "nginx", port, put_in) as folder:
            client = Client(KITCHEN, port, tls / "household-ca.crt")
            one = Proxied(home, serving, client, folder)
            code = re.findall(r"The code of kitchen: (\S+);", made.stdout.decode())[0]
            client.cookie = _signed_in(client, code)
            yield one


def _signed_in(client: Client, code: str) -> str:
    answer, _ = client.ask(
        "/sign-in",
        f"code={code}".encode(),
        Content_Type="application/x-www-form-urlencoded",
        Origin=client.origin,
    )
    assert (answer.status, answer.getheader("Location")) == (303, "/")
    cookies = answer.headers.get_all("Set-Cookie") or []
    (cookie,) = [one for one in cookies if not one.partition("=")[2].startswith('"')]
    assert cookie.startswith("__Host-weeksync-")
    assert {"Secure", "HttpOnly"} <= {part.strip() for part in cookie.split(";")}
    return cookie.partition(";")[0]


@pytest.mark.parametrize("path", ["/", "/2027-W12.html", "/marks", "/changes", "/own/", "/sign-in"])
def test_nobody_comes_in_without_the_proxys_sign_in(proxied: Proxied, path: str) -> None:
    """Also with the cookie of a device."""
    answer, _ = proxied.client.ask(path, login=False)
    assert answer.status == 401
    assert answer.getheader("WWW-Authenticate") == 'Basic realm="weeksync"'
    assert "nginx/" not in str(answer.getheader("Server"))


def test_the_proxys_sign_in_alone_is_not_enough(proxied: Proxied) -> None:
    """The household's own devices are asked for besides."""
    answer, _ = proxied.client.ask("/2027-W12.html", Cookie="none=")
    assert (answer.status, answer.getheader("Location")) == (303, "/sign-in")


def test_pages_come_as_serve_sends_them(proxied: Proxied) -> None:
    """With their policy, and unchanged ones are not sent again."""
    answer, page = proxied.client.ask("/2027-W12.html")
    assert (answer.status, b"Boiler" in page) == (200, True)
    policy = str(answer.getheader("Content-Security-Policy"))
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert f"https://{KITCHEN}:{proxied.client.port}" in policy
    assert answer.getheader("X-Content-Type-Options") == "nosniff"
    tag = str(answer.getheader("ETag"))
    again, nothing = proxied.client.ask("/2027-W12.html", If_None_Match=tag)
    assert (again.status, nothing) == (304, b"")


def test_a_mark_is_taken_and_an_open_page_hears_of_it_at_once(proxied: Proxied) -> None:
    """The stream is not held back: its first line is there before anything has happened."""
    connection = proxied.client.open()
    connection.request(
        "GET", "/changes", headers={"Authorization": LOGIN, "Cookie": proxied.client.cookie}
    )
    stream = connection.getresponse()
    assert stream.status == 200
    assert stream.getheader("Content-Type", "").startswith("text/event-stream")
    assert stream.readline() == b"retry: 5000\n"
    line = mark_line("stretch", "yes", person="ann")
    answer, said = proxied.client.ask(
        "/marks", line, Origin=proxied.client.origin, Content_Type=KIND
    )
    assert answer.status == 200, said
    assert b"stretch,2027-03-24,ann,yes" in (proxied.home / "marks/2027-W12.csv").read_bytes()
    seen = b""
    while b"event: built" not in seen:
        piece = stream.readline()
        assert piece, "the stream ended"
        seen += piece
    assert b"2027-W12.html" in stream.readline()
    connection.close()


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "https://elsewhere.example"}, 403),
        ({"Origin": "https://elsewhere.example", "X_Forwarded_Host": "elsewhere.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Host": "elsewhere.example"}, 421),
        ({"Host": "elsewhere.example", "X_Forwarded_Host": KITCHEN}, 421),
    ],
)
def test_other_origins_and_names_are_refused_behind_the_proxy_too(
    proxied: Proxied, headers: dict[str, str], status: int
) -> None:
    """What a caller says of forwarding is not handed on."""
    headers = {**headers, "Content_Type": "application/x-www-form-urlencoded"}
    answer, _ = proxied.client.ask("/sign-out", b"", login=True, **headers)
    assert answer.status == status
    assert proxied.client.ask("/2027-W12.html")[0].status == 200


@pytest.mark.parametrize(
    ("size", "words"),
    [(300 * 1024, b"send less at once"), (2 * 1024 * 1024, b"Too Large")],
    ids=["serve refuses it", "the proxy refuses it"],
)
def test_what_is_too_large_is_refused(proxied: Proxied, size: int, words: bytes) -> None:
    """By serve in its own words up to a megabyte, by the proxy beyond."""
    body = b" " * size
    answer, said = proxied.client.ask(
        "/marks", body, Origin=proxied.client.origin, Content_Type=KIND
    )
    assert (answer.status, words in said) == (413, True)


def test_a_feed_needs_its_address_alone_which_no_log_has(proxied: Proxied) -> None:
    """A phone's calendar cannot sign in; nothing of nginx has written the token down."""
    told = proxied.code("--feed", "phone", "--person", "ann")
    token = re.findall(r"/feeds/([^/\s]+)/plan\.ics", told)[0]
    answer, plan = proxied.client.ask(f"/feeds/{token}/plan.ics", login=False)
    assert (answer.status, plan.startswith(b"BEGIN:VCALENDAR")) == (200, True)
    assert proxied.client.ask("/feeds/none/plan.ics", login=False)[0].status == 404
    written = b"".join(one.read_bytes() for one in proxied.folder.rglob("*.log"))
    assert token.encode() not in written


@pytest.mark.parametrize(
    ("device", "day", "is_in_address"),
    [("tablet", "2027-03-23", False), ("phone", "2027-03-22", True)],
)
def test_a_tablet_marks_through_the_proxy(
    proxied: Proxied, tmp_path: Path, device: str, day: str, is_in_address: bool
) -> None:
    """In a browser that trusts the household: sign in twice, touch a box, and it is in the file.

    The proxy's name and password may stand in the address: a browser sends nothing from a page
    that was opened so.
    """
    code = re.findall(rf"The code of {device}: (\S+);", proxied.code("--add", device))[0]
    marks = proxied.home / "marks/2027-W12.csv"
    tls, client = proxied.home / "state/tls", proxied.client
    with (
        sync_playwright() as playwright,
        trusting(playwright, tmp_path, tls / "household-ca.crt") as window,
    ):
        start = client.origin
        if is_in_address:
            start = start.replace("https://", f"https://{USER}:{PASSWORD}@")
        else:
            window.set_extra_http_headers({"Authorization": LOGIN})
        page = window.new_page()
        page.clock.set_fixed_time(NOW)
        errors: list[str] = []
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(f"{start}/sign-in#{code}")
        page.wait_for_function("location.pathname === '/'")
        page.goto(f"{start}/2027-W12.html")
        page.wait_for_function("!document.baseURI.includes('@')")
        box = page.locator(f'tr[data-id="stretch"] > [data-date="{day}"] .touch')
        box.click()
        until(lambda: marks.exists() and f"stretch,{day},".encode() in marks.read_bytes())
        assert not errors


@pytest.fixture(scope="module")
def pages(proxied: Proxied) -> Iterator[Client]:
    """The pages alone, by nginx alone."""
    home = proxied.home
    port, tls = free_port(), home / "state" / "tls"
    put_in = {
        "/srv/weeksync/household": str(home),
        "week.home.arpa": KITCHEN,
        "/etc/weeksync/server.crt": str(tls / "server.crt"),
        "/etc/weeksync/server.key": str(tls / "server.key"),
    }
    with nginx("nginx-pages.conf", home.parent / "nginx-pages", port, put_in):
        yield Client(KITCHEN, port, tls / "household-ca.crt")


def test_pages_alone_come_with_what_protects_them(pages: Client) -> None:
    """The policy in their head, and beside it what a head cannot say."""
    answer, page = pages.ask("/")
    assert (answer.status, b"Test household" in page) == (200, True)
    assert answer.getheader("Content-Type") == "text/html; charset=utf-8"
    wanted = {
        "Content-Security-Policy": "frame-ancestors 'none'",
        "X-Frame-Options": "DENY",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "private, no-cache",
    }
    assert {name: answer.getheader(name) for name in wanted} == wanted
    again, _ = pages.ask("/", If_None_Match=str(answer.getheader("ETag")))
    assert again.status == 304


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/style.css", "text/css; charset=utf-8"),
        ("/page.js", "text/javascript; charset=utf-8"),
        ("/icon.svg", "image/svg+xml"),
        ("/manifest.webmanifest", "application/manifest+json"),
    ],
)
def test_what_pages_need_has_its_kind(pages: Client, path: str, kind: str) -> None:
    """With nosniff a browser takes a script or a style sheet by its type alone."""
    answer, _ = pages.ask(path)
    assert (answer.status, answer.getheader("Content-Type")) == (200, kind)


@pytest.mark.parametrize(
    ("path", "method", "status"),
    [
        ("/own/index.html", "", 404),
        ("/../own/index.html", "", 400),
        ("/%2e%2e/own/index.html", "", 400),
        ("/..%2fstatus.json", "", 400),
        ("/.hidden", "", 404),
        ("/config.toml", "", 404),
        ("/index.html", "POST", 405),
    ],
)
def test_nothing_but_the_common_pages_is_served(
    pages: Client, path: str, method: str, status: int
) -> None:
    """Neither pages of one's own nor the household's files."""
    answer, said = pages.ask(path, method=method)
    assert answer.status == status
    assert b"Boiler" not in said


def test_pages_alone_ask_for_a_sign_in(pages: Client) -> None:
    """Nobody reads when a home is empty."""
    assert pages.ask("/", login=False)[0].status == 401
