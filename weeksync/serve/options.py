"""How `weeksync serve` is to be run, and the names it answers to."""

from __future__ import annotations

import ipaddress
import socket
from pathlib import Path
from urllib.parse import urlsplit

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.serve.access import Access

DEFAULT_PORTS = {"http": 80, "https": 443}
_ALL_ADDRESSES = frozenset({"0.0.0.0", "::"})  # noqa: S104 - to be compared with
_LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})


@dataclass(frozen=True, slots=True)
class Options:
    """`[serve]` of `config.toml`, paths made whole."""

    host: str = "127.0.0.1"
    """The address to listen at; `0.0.0.0` or `::` for all of the machine's."""
    port: int = 8427
    """0 takes any free one."""
    address: str = ""
    """How tablets write the way here, as `https://home.arpa:8427`; "" for host and port."""
    certificate: Path | None = None
    """PEM with the certificate and those it hangs on; with it everything goes over TLS."""
    certificate_key: Path | None = None
    """PEM with its key; None where it stands in the same file."""
    trusted_proxy: str = ""
    """The IP address of a reverse proxy: only its X-Forwarded-… headers are believed."""
    tls_folder: Path | None = None
    """Where `weeksync certificate` keeps the household's authority: its public half is offered."""
    lock_minutes: int = 5
    """Pages of one's own are locked again after so long without use."""

    @property
    def own_address(self) -> str:
        """The address for people and scannable codes, without a slash at its end."""
        if self.address:
            return self.address.rstrip("/")
        scheme = "https" if self.certificate else "http"
        host = _in_the_home() if self.host in _ALL_ADDRESSES else self.host
        host = f"[{host}]" if ":" in host else host
        tail = "" if self.port == DEFAULT_PORTS[scheme] else f":{self.port}"
        return f"{scheme}://{host}{tail}"

    @property
    def on_loopback(self) -> bool:
        """Whether only this machine can reach it, with no proxy in front.

        An address of another name says that there is one, also where nobody said to trust it.
        """
        named = urlsplit(self.address).hostname if self.address else "localhost"
        return is_loopback(self.host) and is_loopback(named or "") and not self.trusted_proxy


def _in_the_home() -> str:
    """The address that other machines of the home see, as far as this one knows.

    The system is asked which address it would send from; nothing is sent (192.0.2.1 is nobody's,
    RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))
            return str(asking.getsockname()[0])
        except OSError:  # no network
            return "127.0.0.1"


def is_loopback(host: str) -> bool:
    """Whether an address or name to listen at is this machine's own (RFC 1122 3.2.1.3, RFC 4291
    2.5.3)."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def plain_address(address: str) -> str:
    """An IPv4 address that came over an IPv6 socket (RFC 4291 section 2.5.5.2) as itself."""
    if not address.startswith("::ffff:"):
        return address
    try:
        mapped = ipaddress.IPv6Address(address).ipv4_mapped
    except ValueError:
        return address
    return str(mapped) if mapped is not None else address


def check(options: Options, access: Access) -> None:
    """UsageError, with the remedy, where it may not or cannot start like this."""
    for name, path in (
        ("certificate", options.certificate),
        ("certificate_key", options.certificate_key),
    ):
        if path is not None and not path.is_file():
            raise UsageError(
                message(
                    "[serve] {key}: there is no file {file}; weeksync certificate makes one",
                    key=name,
                    file=str(path),
                )
            )
    if options.trusted_proxy:
        _check_proxy(options.trusted_proxy)
    if options.address:
        _check_address(options.address)
    if not options.on_loopback and not access.any_way_in():
        raise UsageError(
            message(
                "{host} can be reached from other machines, and no device may come in yet; add "
                "one first with weeksync devices --add NAME, and start within ten minutes, or "
                "leave host in [serve] at 127.0.0.1",
                host=options.own_address if is_loopback(options.host) else options.host,
            )
        )


def _check_proxy(text: str) -> None:
    try:
        ipaddress.ip_address(text)
    except ValueError as error:
        raise UsageError(
            message(
                "[serve] trusted_proxy = {value} is no IP address; write the one the proxy comes "
                "from, as 127.0.0.1",
                value=repr(text),
            )
        ) from error


def _check_address(text: str) -> None:
    wrong = UsageError(
        message(
            "[serve] address = {value} is no address; write http:// or https://, a name, and the "
            "port where it is not the usual one, as https://home.arpa:8427",
            value=repr(text),
        )
    )
    try:
        parts = urlsplit(text)
        _ = parts.port  # raises where it is no number
    except ValueError as error:
        raise wrong from error
    extra = parts.path.strip("/") or parts.query or parts.fragment or parts.username
    if parts.scheme not in DEFAULT_PORTS or not parts.hostname or extra:
        raise wrong


@dataclass(frozen=True, slots=True)
class Names:
    """The names and addresses that a request may give as its host.

    A page on the web can have its own name point to this machine, and would then be of one
    origin with us (DNS rebinding). It cannot make a browser send another Host than that name.
    """

    known: frozenset[str]

    @classmethod
    def of(cls, options: Options) -> Names:
        """Loopback, what is listened at, and the configured address."""
        known = set(_LOOPBACK_NAMES) | {options.host.lower()}
        if options.address:
            known.add(urlsplit(options.address).hostname or "")
        return cls(frozenset(known - _ALL_ADDRESSES - {""}))

    def knows(self, host: str, arrived_at: str) -> bool:
        """Whether `host` (a Host header) is known, or the IP address the request arrived at."""
        name = host_name(host)
        if name is None:
            return False
        return name in self.known or name == arrived_at.lower()


def host_name(host: str) -> str | None:
    """The name in a Host header (RFC 9110 section 7.2), in small letters; None for nonsense."""
    if not host or any(one in host for one in "/\\?#@ ,") or not host.isascii():
        return None
    try:
        parts = urlsplit(f"//{host}")
        _ = parts.port
    except ValueError:
        return None
    return (parts.hostname or "").removesuffix(".") or None


def sign_in_address(address: str, code: str) -> str:
    """What a scannable code holds: the code stands in the fragment, which is sent to nobody."""
    return f"{address.rstrip('/')}/sign-in#{code}"
