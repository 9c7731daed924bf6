"""Addresses: what may be shown of one, what two have in common, and where a redirect leads."""

from __future__ import annotations

from urllib.parse import SplitResult, urljoin, urlsplit

from weeksync.errors import SourceMissing, SourceRefused
from weeksync.fetch.fault import Fault, FaultKind
from weeksync.message import message

PORTS = {"http": 80, "https": 443}


def origin(url: str) -> tuple[str, str, int | None]:
    """Scheme, host and port of a URL (RFC 6454, section 4); ValueError for a port that is none."""
    parts = urlsplit(url)
    return parts.scheme, (parts.hostname or "").lower(), parts.port or PORTS.get(parts.scheme)


def place(url: str) -> str:
    """The URL as it may be shown: scheme, host and port, no path and no query.

    The path of a feed is often its secret.
    """
    parts = _split(url)
    return f"{parts.scheme}://{_netloc(parts)}/" if parts else "://"


def checked(source: str, address: str) -> str:
    """The address, if it can be used; raises SourceMissing or SourceRefused.

    A name and a password in the address are refused: they would be in every log on the way.
    """
    parts = _split(address)
    if parts is None or parts.scheme not in PORTS or not parts.hostname:
        raise SourceMissing(
            source, message("the address of this calendar is none; write one as https://host/path")
        )
    if parts.username is not None or parts.password is not None:
        raise SourceRefused(
            source,
            message(
                "the address at {place} has a name or a password in it; write them as user and"
                " password_file in config.toml",
                place=place(address),
            ),
        )
    return parts._replace(fragment="").geturl()


def redirected(url: str, location: str) -> str:
    """Where a Location header leads from `url`; a name and a password in it are not used.

    Raises Fault for a place that is not http or https.
    """
    try:
        target = _split(urljoin(url, location))
    except ValueError:
        target = None
    if target is None or target.scheme not in PORTS or not target.hostname:
        raise Fault(FaultKind.ELSEWHERE)
    return target._replace(netloc=_netloc(target), fragment="").geturl()


def _netloc(parts: SplitResult) -> str:
    host = parts.hostname or ""
    host = f"[{host}]" if ":" in host else host
    return f"{host}:{parts.port}" if parts.port else host


def _split(address: str) -> SplitResult | None:
    try:
        parts = urlsplit(address.strip())
        _ = parts.port  # ValueError where it is no number
    except ValueError:
        return None
    return parts
