"""`[serve]`: where to listen, and the home address as browsers write an origin."""

from __future__ import annotations

import pytest

from tests.support.readings import CONFIG
from weeksync.model.config import Config
from weeksync.model.serve_settings import Serve, home_address
from weeksync.read import parse_toml
from weeksync.read.checked import checked


def said_of(line: str) -> list[str]:
    """What is said of a config with one line under `[serve]`."""
    _, problems = parse_toml("config.toml", f"{CONFIG}\n[serve]\n{line}\n".encode(), Config)
    return [str(one).partition(": ")[2] for one in problems]


def test_without_a_table_only_this_machine_is_served() -> None:
    """Loopback is RFC 1122 section 3.2.1.3."""
    assert (Serve().host, Serve().port, Serve().address) == ("127.0.0.1", 8427, "")


@pytest.mark.parametrize(
    ("given", "origin"),
    [
        ("https://home.arpa:8427", "https://home.arpa:8427"),
        ("https://Home.ARPA:443/", "https://home.arpa"),
        ("http://192.168.1.20:80", "http://192.168.1.20"),
        ("http://[fd00::20]:8427", "http://[fd00::20]:8427"),
    ],
)
def test_the_address_is_kept_as_an_origin(given: str, origin: str) -> None:
    """RFC 6454 section 6.2: small letters, and the usual port of the scheme left out."""
    assert checked(Serve, {"address": given}).address == origin


@pytest.mark.parametrize(
    "given",
    [
        "home.arpa",
        "ftp://home.arpa",
        "https://ines@home.arpa",
        "https://home.arpa/week",
        "https://home.arpa?x",
        "https://home.arpa:99999",
        "https://a b",
        "https://",
    ],
)
def test_what_is_no_address_of_a_home(given: str) -> None:
    """A path, a name, another scheme: none can be an origin. A name to sign in is not repeated."""
    assert home_address(given) is None
    assert said_of(f'address = "{given}"') == [
        f'address = "{given.replace("ines@", "…@")}" is no address of a home; '
        "write http or https, the name and the port, as https://home.arpa:8427"
    ]


@pytest.mark.parametrize("given", ["0.0.0.0", "::1", "localhost", "pantry.home.arpa"])
def test_where_to_listen(given: str) -> None:
    """An IP address or a host name."""
    assert said_of(f'host = "{given}"') == []


@pytest.mark.parametrize("given", ["", "300.1.1.1", "http://localhost", "a_b", "localhost:80"])
def test_where_nobody_can_listen(given: str) -> None:
    """A scheme, a port, a number that is no address."""
    assert said_of(f'host = "{given}"') == [
        f'host = "{given}" is no address to listen on; '
        "write 127.0.0.1 for this machine alone, 0.0.0.0 for the whole home network"
    ]


def test_a_key_without_its_certificate() -> None:
    """Both files or none; the line of the one that is there is named."""
    assert said_of('certificate_key = "key.pem"') == [
        "certificate_key stands without certificate; give both files, or none"
    ]


def test_a_proxy_is_named_by_its_number() -> None:
    """A name could lead elsewhere tomorrow."""
    assert said_of('trusted_proxy = "proxy"') == [
        'trusted_proxy = "proxy" is no address of a machine; '
        "write the proxy's IP address as weeksync sees it, as 127.0.0.1"
    ]


def test_a_port_has_its_bounds() -> None:
    """Sixteen bits (RFC 9293 section 3.1); port 0 would be another one on every run."""
    assert said_of("port = 70000") == ["port = 70000 is too large; write 65535 or less"]
    assert said_of("port = 0") == ["port = 0 is too small; write 1 or more"]
