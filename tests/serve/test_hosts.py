"""Which names serve answers to, and whose pages it listens to."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.serve.serving import LINES, MARK, Served, serving
from tests.serve.standin import SmallDesk
from weeksync.errors import UsageError
from weeksync.serve import Access, Options, run, sign_in_address
from weeksync.serve.options import Names, host_name, is_loopback, plain_address


@pytest.mark.parametrize(
    "host",
    [
        b"evil.example",
        b"127.0.0.1.evil.example",
        b"localhost.evil.example",
        b"evil.example:8427",
        b"user@127.0.0.1",
        b"127.0.0.1@evil.example",
        b"127.0.0.1#evil.example",
        b"127.0.0.1/evil",
        b"127.0.0.1:x",
        b"2130706433",
        b"[::1",
        b"",
    ],
)
@pytest.mark.parametrize("path", [b"/", b"/status.js", b"/sign-in", b"/nothing"])
def test_a_name_that_is_not_ours_gets_nothing(served: Served, host: bytes, path: bytes) -> None:
    """DNS rebinding: a page at a name of its own that points here is not of our origin."""
    answer = served.raw(b"GET " + path + b" HTTP/1.1\r\nHost: " + host + b"\r\n\r\n")
    assert answer.status in {400, 421}, answer
    assert b"lastGood" not in answer.body
    assert b"All weeks" not in answer.body


@pytest.mark.parametrize("host", [b"localhost", b"LOCALHOST:1", b"127.0.0.1", b"[::1]:8427"])
def test_loopback_has_three_names(served: Served, host: bytes) -> None:
    """With any port: a tunnel may have another one."""
    assert served.raw(b"GET / HTTP/1.1\r\nHost: " + host + b"\r\n\r\n").status == 200


def test_a_request_without_a_host_or_with_two_gets_nothing(served: Served) -> None:
    """RFC 9112 section 3.2."""
    assert served.raw(b"GET / HTTP/1.1\r\n\r\n").status == 400
    assert served.raw(b"GET / HTTP/1.0\r\n\r\n").status == 421
    two = b"GET / HTTP/1.1\r\nHost: " + served.host + b"\r\nHost: evil.example\r\n\r\n"
    assert served.raw(two).status == 400


def test_the_configured_address_is_a_name_of_ours(tmp_path: Path) -> None:
    """And no name beside it."""
    options = {"address": "https://home.arpa:8427"}
    with serving(tmp_path, options=options, device=True) as served:
        assert served.raw(b"GET /sign-in HTTP/1.1\r\nHost: home.arpa:8427\r\n\r\n").status == 200
        assert served.raw(b"GET / HTTP/1.1\r\nHost: arpa:8427\r\n\r\n").status == 421
        status = served.signed_in().get(f"{served.address}/status.js").text
        assert '"address": "https://home.arpa:8427"' in status


def test_on_all_addresses_the_one_a_request_came_to_is_a_name() -> None:
    """An address is no name that can be made to point elsewhere."""
    names = Names.of(Options(host="0.0.0.0", address="http://home.arpa"))
    assert names.knows("192.168.1.5:8427", "192.168.1.5")
    assert not names.knows("192.168.1.6:8427", "192.168.1.5")
    assert not names.knows("0.0.0.0", "192.168.1.5")
    assert names.knows("Home.Arpa.", "192.168.1.5")


def test_a_host_is_read_as_rfc_9110_has_it() -> None:
    """Section 7.2: a name or address, and maybe a port."""
    assert host_name("[fe80::1]:80") == "fe80::1"
    assert host_name("näme") is None


FOREIGN = ["http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:1", "http://", "x"]


@pytest.mark.parametrize("origin", FOREIGN)
@pytest.mark.parametrize(
    "path", ["/marks", "/check-ins", "/sign-in", "/sign-out", "/own/unlock", "/own/lock"]
)
def test_a_post_of_another_site_does_nothing(served: Served, origin: str, path: str) -> None:
    """Whatever it holds; also from pages that are of no origin."""
    before = served.taken()
    for site in ("", "cross-site", "same-site", "none"):
        browser = served.browser(Origin=origin, Sec_Fetch_Site=site)
        answer = browser.post(f"{served.address}{path}", data=MARK % b"water", headers=LINES)
        assert answer.status_code in {401, 403}, (site, answer.text)
    assert served.taken() == before


def test_a_post_that_does_not_say_where_it_is_from_does_nothing(served: Served) -> None:
    """Every browser says it; other programs use a token."""
    head = b"POST /marks HTTP/1.1\r\nHost: " + served.host
    body = MARK % b"water"
    length = b"\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n" % len(body)
    assert served.raw(head + length + body).status == 403


def test_a_browser_that_calls_it_foreign_is_believed(served: Served) -> None:
    """Even where the Origin is ours: Sec-Fetch-Site can be set by no script."""
    browser = served.browser(Sec_Fetch_Site="cross-site")
    answer = browser.post(f"{served.address}/marks", data=MARK % b"water", headers=LINES)
    assert answer.status_code == 403


def test_a_form_of_a_page_without_referrer_is_ours_where_the_browser_says_so(
    served: Served,
) -> None:
    """Its Origin is `null` (Fetch, section 3.1)."""
    browser = served.browser(Origin="null")
    answer = browser.post(f"{served.address}/own/lock", allow_redirects=False)
    assert answer.status_code == 303


def test_another_site_can_embed_nothing_of_ours(served: Served) -> None:
    """Neither as script, picture nor frame; a link to a page may be followed."""
    cross = b"Sec-Fetch-Site: cross-site"
    for mode, dest in ((b"no-cors", b"script"), (b"cors", b"empty"), (b"navigate", b"iframe")):
        lines = (cross, b"Sec-Fetch-Mode: " + mode, b"Sec-Fetch-Dest: " + dest)
        assert served.get(b"/status.js", *lines).status == 403
    lines = (cross, b"Sec-Fetch-Mode: navigate", b"Sec-Fetch-Dest: document")
    assert served.get(b"/2027-W12.html", *lines).status == 200


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.1", "home.arpa"])
def test_other_machines_are_not_let_in_before_a_device_is_added(tmp_path: Path, host: str) -> None:
    """It does not start, and says what to do."""
    with pytest.raises(UsageError, match="weeksync devices --add"):
        _start(tmp_path, Options(host=host))


def test_a_proxy_in_front_is_like_another_address(tmp_path: Path) -> None:
    """On loopback, and yet others reach it."""
    with pytest.raises(UsageError, match="weeksync devices --add"):
        _start(tmp_path, Options(trusted_proxy="127.0.0.1"))


def test_an_address_of_another_name_says_that_something_stands_in_front(tmp_path: Path) -> None:
    """A proxy that nobody said to trust asks from loopback; its visitors are from anywhere."""
    with pytest.raises(UsageError, match=r"https://home\.arpa can be reached.*devices --add"):
        _start(tmp_path, Options(address="https://home.arpa"))
    assert not Options(address="https://home.arpa").on_loopback
    for ours in ("", "http://localhost:8427", "https://127.0.0.1:8427", "http://[::1]:8427"):
        assert Options(address=ours).on_loopback


@pytest.mark.parametrize("address", ["home.arpa", "ftp://home.arpa", "http://", "http://a:b", "/x"])
def test_an_address_that_is_none_is_named(tmp_path: Path, address: str) -> None:
    """With the value and how to write it."""
    with pytest.raises(UsageError, match=r"\[serve\] address = "):
        _start(tmp_path, Options(address=address))


def test_a_proxy_that_is_no_ip_address_is_named(tmp_path: Path) -> None:
    """Names could change where they point."""
    with pytest.raises(UsageError, match="is no IP address"):
        _start(tmp_path, Options(trusted_proxy="proxy.home.arpa"))


def test_a_certificate_that_is_not_there_is_named(tmp_path: Path) -> None:
    """With the command that makes one."""
    with pytest.raises(UsageError, match="weeksync certificate makes one"):
        _start(tmp_path, Options(certificate=tmp_path / "server.crt"))


def test_a_certificate_that_is_none_is_named(tmp_path: Path) -> None:
    """Before anything is listened at."""
    (tmp_path / "server.crt").write_text("no certificate")
    with pytest.raises(UsageError, match="cannot be used"):
        _start(tmp_path, Options(certificate=tmp_path / "server.crt", port=0))


def test_a_port_that_is_taken_is_named(served: Served, tmp_path: Path) -> None:
    """By whatever runs there."""
    with pytest.raises(UsageError, match=f"port {served.port} cannot be listened at"):
        _start(tmp_path, Options(port=served.port))


def _start(folder: Path, options: Options) -> None:
    run(SmallDesk(folder), Access(folder / "state" / "access.json"), options)


def test_what_only_this_machine_reaches_is_known() -> None:
    """RFC 1122 section 3.2.1.3, RFC 4291 section 2.5.3."""
    assert [is_loopback(one) for one in ("localhost", "127.0.0.1", "127.9.9.9", "::1")] == [
        True
    ] * 4
    assert [is_loopback(one) for one in ("0.0.0.0", "::", "home.arpa", "10.0.0.1")] == [False] * 4


def test_an_ipv4_address_over_ipv6_is_itself() -> None:
    """RFC 4291 section 2.5.5.2; as on a machine that listens at `::`."""
    assert plain_address("::ffff:192.168.1.5") == "192.168.1.5"
    for other in ("192.168.1.5", "::1", "fe80::1", "::ffff:x", ""):
        assert plain_address(other) == other


def test_all_addresses_are_no_address_to_go_to() -> None:
    """A tablet is sent to one that it can reach."""
    for host in ("0.0.0.0", "::"):
        address = Options(host=host).own_address
        assert address.startswith("http://")
        assert "0.0.0.0" not in address
        assert "[" not in address


def test_addresses_are_written_as_people_type_them() -> None:
    """The usual port is left out; the code stands where no server sees it."""
    assert Options(host="::1").own_address == "http://[::1]:8427"
    assert Options(certificate=Path("x"), port=443).own_address == "https://127.0.0.1"
    assert sign_in_address("https://home.arpa/", "K3QF-7WZA") == (
        "https://home.arpa/sign-in#K3QF-7WZA"
    )
