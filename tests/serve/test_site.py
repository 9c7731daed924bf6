"""The built site over HTTP: what is given out, how, and that nothing else is."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.serve.serving import Served
from tests.serve.standin import PAGE, POLICY, SECRET, make_household
from weeksync.serve.site_files import NoSite, media_type, policy, read


@pytest.mark.parametrize("target", ["/", "/index.html"])
def test_the_start_page_is_the_index(served: Served, target: str) -> None:
    """Answered itself, without a redirect."""
    answer = served.get(target.encode())
    assert answer.status == 200
    assert b"All weeks" in answer.body


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("2027-W12.html", "text/html; charset=utf-8"),
        ("style.css", "text/css; charset=utf-8"),
        ("page.js", "text/javascript; charset=utf-8"),
        ("icon.svg", "image/svg+xml"),
        ("manifest.webmanifest", "application/manifest+json"),
        ("unknown.xyz", "application/octet-stream"),
        ("sub/page.html", "text/html; charset=utf-8"),
    ],
)
def test_each_file_has_its_type_and_may_not_be_taken_for_another(
    served: Served, name: str, kind: str
) -> None:
    """Types of the IANA registry; nosniff."""
    answer = served.get(f"/{name}".encode())
    assert answer.status == 200
    assert answer.headers["content-type"] == kind
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_every_answer_says_that_it_is_for_our_own_pages_alone(served: Served) -> None:
    """Pages, files and refusals alike: no frame, no embedding, no referrer to elsewhere."""
    for target in (b"/", b"/style.css", b"/status.js", b"/nothing", b"/own/", b"/changes?x=1"):
        method = b"HEAD" if target.startswith(b"/changes") else b"GET"
        headers = served.get(target, method=method).headers
        assert headers["x-frame-options"] == "deny"
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["referrer-policy"] == "same-origin"
        assert headers["cross-origin-opener-policy"] == "same-origin"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "server" not in headers


def test_a_page_is_sent_with_the_policy_of_its_own_head(served: Served) -> None:
    """And with the one thing a meta element cannot say (CSP Level 3 section 3.3)."""
    sent = served.get(b"/2027-W12.html").headers["content-security-policy"]
    assert sent == f"{POLICY}; frame-ancestors 'none'".lower()


def test_quotes_of_a_policy_may_be_written_as_html_writes_them() -> None:
    """A template escapes what it puts in; the header is plain text."""
    head = (
        b"""<meta http-equiv="Content-Security-Policy" content="connect-src &#39;self&#39; x:1">"""
    )
    assert policy("a.html", head) == "connect-src 'self' x:1; frame-ancestors 'none'"


def test_a_page_without_a_policy_may_nothing() -> None:
    """As a page of the user's own template that forgot it."""
    assert policy("own.html", b"<html>") == "default-src 'none'; frame-ancestors 'none'"


def test_a_worker_may_reach_its_own_server(served: Served) -> None:
    """A worker's policy is that of its own answer (CSP Level 3 section 4.2)."""
    headers = served.get(b"/service-worker.js").headers
    assert "connect-src 'self'" in headers["content-security-policy"]
    assert headers["cache-control"] == "private, no-cache"


def test_an_unchanged_file_is_not_sent_again(served: Served) -> None:
    """RFC 9110 section 13.1.2; a list, a weak mark and a star count, too."""
    tag = served.get(b"/2027-W12.html").headers["etag"].encode()
    for known in (tag, b'"other", W/' + tag, b"*"):
        answer = served.get(b"/2027-W12.html", b"If-None-Match: " + known)
        assert (answer.status, answer.body) == (304, b"")
        assert answer.headers["etag"].encode() == tag
    assert served.get(b"/2027-W12.html", b'If-None-Match: "other"').status == 200


def test_status_says_that_it_comes_from_serve(served: Served) -> None:
    """The site's own lines, and one more; never cached."""
    answer = served.get(b"/status.js")
    assert b"lastGood" in answer.body
    assert b'const served = {"home": "a1b2c3d4e5f6", "signedIn": true, "person": ""' in answer.body
    assert answer.headers["cache-control"] == "no-store"


TRAVERSALS = [
    b"/../secret.txt",
    b"/../../../secret.txt",
    b"/..%2fsecret.txt",
    b"/%2e%2e/secret.txt",
    b"/%2e%2e%2fsecret.html",
    b"/%2E%2E%5Csecret.html",
    b"/..\\secret.html",
    b"/%252e%252e/secret.html",
    b"/%25%32%65%25%32%65/secret.html",
    b"/..%c0%afsecret.html",  # an overlong slash
    b"/%c0%ae%c0%ae/secret.html",  # overlong dots
    b"/..%00/secret.html",
    b"/index.html%00.css",
    b"/sub/../../secret.html",
    b"/sub/..;/..;/secret.html",
    b"/./../secret.html",
    b"//secret.html",
    b"///etc/passwd",
    b"/%2fetc%2fpasswd",
    b"/etc/passwd",
    b"/.hidden",
    b"/%2ehidden",
    b"/sub/.%2e/.hidden",
    b"/out.html",  # a link to a file outside
    b"/outside/secret.txt",  # a link to a folder outside
    b"/pipe.html",
    b"/own/../../secret.txt",
    b"/own/%2e%2e/secret.html",
    b"/own/..%2f..%2fsecret.css",
    b"/index.html/",
    b"/index.html/x",
    b"/" + b"a" * 300 + b".html",
    b"/" + b"a/" * 300,
    b"/\xef\xbf\xbd",
    b"/%ff%fe",
    b"/CON",
    b"/secret.html?/../index.html",
    b"http://127.0.0.1/../secret.html",
    b"file:///etc/passwd",
    b"*",
    b"",
]


@pytest.mark.parametrize("target", TRAVERSALS)
def test_no_path_leads_out_of_the_site(served: Served, target: bytes) -> None:
    """Plain, percent-encoded once and twice, overlong, with NUL, by links: all are not there."""
    answer = served.get(target)
    assert answer.status in {400, 403, 404}, answer
    assert SECRET.encode() not in answer.body
    assert b"root:" not in answer.body


@pytest.mark.parametrize("target", [b"/sub", b"/sub/", b"/sub/.", b"//", b"/."])
def test_no_folder_is_listed(served: Served, target: bytes) -> None:
    """There is nothing at the name of a folder."""
    answer = served.get(target)
    assert answer.status == 404
    assert b"page.html" not in answer.body


def test_a_request_reads_one_generation_even_where_the_link_is_flipped(tmp_path: Path) -> None:
    """The folder behind the link is opened once, and all further names from there."""
    make_household(tmp_path)
    site = tmp_path / "output" / "site"
    second = tmp_path / "output" / ".generations" / "2" / "site"
    second.mkdir(parents=True)
    (second / "index.html").write_text("second")
    new = tmp_path / "output" / ".site.new"
    new.symlink_to(".generations/2/site")
    assert read(site, "2027-W12.html") == PAGE.encode()
    new.replace(site)
    assert read(site, "2027-W12.html") is None
    assert read(site, "index.html") == b"second"


def test_no_file_stays_open(tmp_path: Path) -> None:
    """Whatever was asked for."""
    make_household(tmp_path)
    site, before = tmp_path / "output" / "site", len(os.listdir("/proc/self/fd"))
    for path in ("index.html", "sub/page.html", "sub", "nothing", "out.html", "a/b/c", "pipe.html"):
        read(site, path)
    with pytest.raises(NoSite):
        read(tmp_path / "nowhere", "index.html")
    assert len(os.listdir("/proc/self/fd")) == before


def test_an_ending_in_capitals_is_the_same_ending() -> None:
    """As some cameras and some people write them."""
    assert media_type("photo.JPG") == "image/jpeg"


def test_head_is_get_without_the_body(served: Served) -> None:
    """RFC 9110 section 9.3.2."""
    got, asked = served.get(b"/2027-W12.html"), served.get(b"/2027-W12.html", method=b"HEAD")
    assert asked.status == 200
    assert asked.body == b""
    assert asked.headers["content-length"] == got.headers["content-length"]
    assert asked.headers["etag"] == got.headers["etag"]


@pytest.mark.parametrize("method", [b"PUT", b"DELETE", b"PATCH", b"TRACE", b"CONNECT", b"PROPFIND"])
def test_other_methods_are_refused(served: Served, method: bytes) -> None:
    """405 with what is allowed (RFC 9110 section 15.5.6); TRACE echoes nothing."""
    answer = served.get(b"/2027-W12.html", b"X-Secret: told", method=method)
    assert answer.status == 405
    assert "get" in answer.headers["allow"]
    assert b"told" not in answer.body


@pytest.mark.parametrize("method", [b"POST", b"OPTIONS"])
def test_a_page_can_only_be_fetched(served: Served, method: bytes) -> None:
    """Neither is there a preflight for it."""
    origin = b"Origin: " + served.address.encode()
    answer = served.get(b"/2027-W12.html", origin, b"Content-Length: 0", method=method)
    assert answer.status == 405
    assert "access-control-allow-origin" not in answer.headers


def test_a_site_that_was_never_built_is_said(tmp_path: Path, served: Served) -> None:
    """With the remedy; the page itself comes back by building."""
    link = served.folder / "output" / "site"
    aside = link.with_name("aside")
    link.rename(aside)
    try:
        answer = served.get(b"/")
        assert answer.status == 503
        assert b"weeksync build" in answer.body
    finally:
        aside.rename(link)
    assert served.get(b"/").status == 200
