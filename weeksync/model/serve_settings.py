"""The part of `config.toml` that says how the pages are served to the tablets of a home."""

from __future__ import annotations

import re
from typing import Annotated
from urllib.parse import urlsplit

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.mistake import Mistake
from weeksync.model.record import Checked, Record, Within

_HOST = r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9-]{1,63})*"
"""A host name by RFC 1123 section 2.1: letters, digits and hyphens between dots."""


def _is_ip(value: str) -> bool:
    import ipaddress  # only where an address is read

    try:
        ipaddress.ip_address(value)
    except ValueError:
        return False
    return True


def _is_host(value: str) -> bool:
    return re.fullmatch(_HOST, value, re.IGNORECASE) is not None


def _check_host(value: str) -> str:
    if not (_is_ip(value) or (_is_host(value) and not value.replace(".", "").isdigit())):
        raise Mistake(
            message("{key} = {value} is no address to listen on"),
            message("write 127.0.0.1 for this machine alone, 0.0.0.0 for the whole home network"),
        )
    return value


def _check_address(value: str) -> str:
    if value and home_address(value) is None:
        raise Mistake(
            message("{key} = {value} is no address of a home"),
            message("write http or https, the name and the port, as https://home.arpa:8427"),
        )
    return home_address(value) or ""


def _check_proxy(value: str) -> str:
    if value and not _is_ip(value):
        raise Mistake(
            message("{key} = {value} is no address of a machine"),
            message("write the proxy's IP address as weeksync sees it, as 127.0.0.1"),
        )
    return value


def home_address(value: str) -> str | None:
    """The address as a browser writes an origin (RFC 6454 section 6.2); None where it is none.

    A path other than `/`, a name to sign in with, a query and another scheme are none.
    """
    try:
        parts = urlsplit(value.strip())
        host, port = parts.hostname, parts.port
    except ValueError:
        return None
    if parts.scheme not in {"http", "https"} or not host or "@" in parts.netloc:
        return None
    if parts.path not in {"", "/"} or parts.query or parts.fragment:
        return None
    if not (_is_ip(host) or _is_host(host)):
        return None
    shown = f"[{host}]" if ":" in host else host
    usual = {"http": 80, "https": 443}[parts.scheme]
    return f"{parts.scheme}://{shown}" + (f":{port}" if port not in {None, usual} else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Serve(Record):
    """How `weeksync serve` offers the pages to the tablets of the home, and takes their marks."""

    host: Annotated[str, Checked(_check_host)] = "127.0.0.1"
    """Where to listen: 127.0.0.1 is this machine alone, 0.0.0.0 the whole home network."""
    port: Annotated[int, Within(least=1, most=65_535)] = 8427
    """The port to listen on."""
    address: Annotated[str, Checked(_check_address)] = ""
    """How tablets write the address of the home, as https://home.arpa:8427."""
    certificate: str = ""
    """A certificate file (PEM) for https, from the household folder on."""
    certificate_key: str = ""
    """The file of its key (PEM), from the household folder on; only its owner should read it."""
    trusted_proxy: Annotated[str, Checked(_check_proxy)] = ""
    """The IP address of a reverse proxy before weeksync: what it says of callers is believed."""
    lock_minutes: Annotated[int, Within(least=1, most=24 * 60)] = 5
    """After how many minutes without a touch the pages behind a PIN are locked again."""

    def check(self) -> None:
        """Raise Mistake for a certificate without its key."""
        if bool(self.certificate) != bool(self.certificate_key):
            given = "certificate" if self.certificate else "certificate_key"
            missing = "certificate_key" if self.certificate else "certificate"
            raise Mistake(
                message("{given} stands without {missing}", given=given, missing=missing),
                message("give both files, or none"),
                given,
            )
