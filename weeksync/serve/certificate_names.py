"""The names and addresses a household's certificate is for, and those of this machine."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from contextlib import suppress
from urllib.parse import urlsplit

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network

_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
"""RFC 1123 section 2.1: letters, digits and hyphens, at most 63 of them."""

LOCAL_HOST = "localhost"
"""RFC 6761 section 6.3: always this machine."""

HOME_NETWORKS: tuple[Network, ...] = tuple(
    ipaddress.ip_network(text)
    for text in (
        "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16",  # RFC 1918 section 3
        "169.254.0.0/16", "fe80::/10",  # link-local: RFC 3927, RFC 4291 section 2.5.6
        "fc00::/7",  # RFC 4193 section 3
        "127.0.0.0/8", "::1/128",  # this machine: RFC 1122 section 3.2.1.3, RFC 4291 section 2.5.3
    )
)  # fmt: skip
"""Addresses that mean nothing outside of the network they are in."""

_FAR = {socket.AF_INET: "192.0.2.1", socket.AF_INET6: "2001:db8::1"}
"""Addresses for documentation (RFC 5737, RFC 3849): nobody's, so a way to them is the usual way."""


@dataclass(frozen=True, slots=True)
class Names:
    """Host names (lower case, ASCII) and addresses, each once; the order is the one of use."""

    hosts: tuple[str, ...] = ()
    addresses: tuple[Address, ...] = ()

    @classmethod
    def of(cls, texts: Iterable[str]) -> Names:
        """The names as typed, also as web addresses; UsageError at the first that is none."""
        hosts: list[str] = []
        addresses: list[Address] = []
        for text in texts:
            one = _name(text)
            if isinstance(one, str):
                hosts.append(one)
            else:
                addresses.append(one)
        return cls(tuple(dict.fromkeys(hosts)), tuple(dict.fromkeys(addresses)))

    def __or__(self, other: Names) -> Names:
        """These and then the other's."""
        return Names(
            tuple(dict.fromkeys(self.hosts + other.hosts)),
            tuple(dict.fromkeys(self.addresses + other.addresses)),
        )

    def texts(self) -> tuple[str, ...]:
        """All of them as a person writes them, host names first."""
        return (*self.hosts, *map(str, self.addresses))


THIS_MACHINE = Names((LOCAL_HOST,), tuple(map(ipaddress.ip_address, ("127.0.0.1", "::1"))))
"""How programs on the machine itself call it."""


def is_home(address: Address) -> bool:
    """Whether the address belongs to a home network or to the machine itself."""
    return any(
        network.version == address.version and address in network for network in HOME_NETWORKS
    )


def names_of_machine() -> Names:
    """The machine's host name, that name under `.local` (RFC 6762), and its home addresses."""
    host = socket.gethostname().lower().rstrip(".")
    label = host.partition(".")[0]
    wanted = [] if label == LOCAL_HOST else [f"{label}.local", host, label]
    hosts: list[str] = []
    for one in wanted:
        with suppress(UsageError):  # a name with a sign that no host name may have helps nobody
            hosts += Names.of([one]).hosts
    found = [one for one in _own_addresses(host) if is_home(one) and not one.is_loopback]
    return Names(tuple(dict.fromkeys(hosts)), tuple(dict.fromkeys(found)))


def _own_addresses(host: str) -> list[Address]:
    """The addresses by which this machine would go out, and those of its name; nothing is sent."""
    found: list[Address] = []
    for family, far in _FAR.items():
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((far, 9))  # a datagram socket only looks up the way
            found.append(_plain(str(probe.getsockname()[0])))
    with suppress(OSError):
        for *_, place in socket.getaddrinfo(host, None):
            found.append(_plain(str(place[0])))
    return found


def _plain(text: str) -> Address:
    """The address without the name of an interface, which a certificate cannot hold."""
    return ipaddress.ip_address(text.partition("%")[0])


def _name(text: str) -> str | Address:
    """A host name or an address, from itself or from a web address that holds it."""
    given = text.strip()
    with suppress(ValueError):
        if "://" in given:
            given = urlsplit(given).hostname or ""
    with suppress(ValueError):
        return ipaddress.ip_address(given.strip("[]"))
    host = given.lower().removesuffix(".")
    labels = host.split(".")
    plain = all(map(_LABEL.fullmatch, labels)) and not labels[-1].isdigit()
    if not plain or len(host) > 253:
        raise UsageError(
            message(
                '"{name}" is no name of a machine; write letters, digits and hyphens between '
                "dots, as kitchen.local, or an address, as 192.168.1.20",
                name=text,
            )
        )
    return host
