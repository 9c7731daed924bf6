"""A few requests to one server, with its certificate looked at, and an end to all of it.

What `fetch` does with patience (redirects, other ways to sign in, tries, packed answers) is a
Doubt here: the whole run has the patience. Name and password go to the scheme, host and port that
`config.toml` names and to no other.
"""

from __future__ import annotations

import base64
import os
import socket
from collections.abc import Callable, Mapping
from contextlib import suppress
from threading import Thread
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import SplitResult, urlsplit

from weeksync import __version__
from weeksync.lean.doubt import Doubt

if TYPE_CHECKING:
    from http.client import HTTPConnection, HTTPResponse

_T = TypeVar("_T")

PORTS = {"http": 80, "https": 443}
MOST_BYTES = 256 * 1024
"""Of one answer; one that says that nothing has changed is small."""


class Asking:
    """A way to one server. Used by one thread; another may `cut` it at any time."""

    def __init__(self, address: str, login: tuple[str, str] | None, seconds: float) -> None:
        # Here, before any patience is counted: with ssl and email, which files do not need.
        from http.client import HTTPConnection

        self._made = HTTPConnection
        self._parts = _split(address)
        self._login = login
        self._seconds = seconds
        self._connection: HTTPConnection | None = None
        self._socket: socket.socket | None = None
        self._cut = False
        self.sent = 0
        """Requests that were sent."""

    def ask(
        self,
        method: str,
        url: str,
        headers: Mapping[str, str],
        body: bytes = b"",
        most: int = MOST_BYTES,
    ) -> tuple[HTTPResponse, bytes]:
        """The whole answer with its body; Doubt or OSError where there is none to be had."""
        parts = _split(url)
        if _origin(parts) != _origin(self._parts):
            raise Doubt
        given = {"User-Agent": f"weeksync/{__version__}", "Accept": "*/*", **headers}
        if self._login is not None:
            given["Authorization"] = _basic(*self._login)
        connection = self._connected()
        self.sent += 1
        target = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection.request(method, target, body or None, given)
        answer = connection.getresponse()
        content = answer.read(most + 1)
        if len(content) > most or answer.headers.get("Content-Encoding", "identity") != "identity":
            raise Doubt
        if not answer.isclosed() and (answer.length or answer.read(1)):  # cut off, or too much
            raise Doubt
        return answer, content

    def in_time(self, work: Callable[[], _T], seconds: float) -> _T | None:
        """What the work gives, which asks; None where it failed, or took longer than that."""
        found: list[_T] = []

        def run() -> None:
            try:
                found.append(work())
            except Exception:  # of whatever kind: the whole run meets it again
                return
            finally:
                self.close()

        thread = Thread(target=run, name="weeksync look", daemon=True)
        thread.start()
        try:
            thread.join(seconds)
        finally:
            late = thread.is_alive()
            if late:
                self.cut()
        return found[0] if found and not late else None

    def cut(self) -> None:
        """End it, also where another thread waits for an answer."""
        self._cut = True
        connected = self._socket
        if connected is not None:
            with suppress(OSError):
                connected.shutdown(socket.SHUT_RDWR)

    def _connected(self) -> HTTPConnection:
        if self._connection is None or self._connection.sock is None:
            self.close()
            scheme, host, port = _origin(self._parts)
            made = socket.create_connection((host, port), self._seconds)
            self._socket = made.dup()  # TLS takes the first one over; a shutdown here ends both
            if self._cut:  # the look-up of the name outlived the patience
                made.close()
                raise Doubt
            self._connection = self._made(host, port)
            self._connection.default_port = PORTS[scheme]  # which is not said in the Host header
            self._connection.auto_open = 0
            self._connection.sock = _with_tls(made, host) if scheme == "https" else made
        return self._connection

    def close(self) -> None:
        """Close the connection."""
        if self._connection is not None:
            self._connection.close()
        if self._socket is not None:
            self._socket.close()
            self._socket = None


def has_proxy() -> bool:
    """Whether the environment names a proxy, which the whole run goes through."""
    names = {name.lower() for name, value in os.environ.items() if value}
    return bool(names & {"http_proxy", "https_proxy", "all_proxy"})


def _split(address: str) -> SplitResult:
    parts = urlsplit(address)
    wrong = parts.scheme not in PORTS or not parts.hostname or "@" in parts.netloc
    if wrong or not address.isascii() or not address.isprintable() or " " in address:
        raise Doubt
    return parts


def _origin(parts: SplitResult) -> tuple[str, str, int]:
    """Scheme, host and port (RFC 6454, section 4)."""
    return parts.scheme, (parts.hostname or "").lower(), parts.port or PORTS[parts.scheme]


def _basic(user: str, secret: str) -> str:
    """The login of RFC 7617; which letters beyond ASCII mean what was never settled."""
    if not (user + secret).isascii():
        raise Doubt
    return "Basic " + base64.b64encode(f"{user}:{secret}".encode()).decode()


def _with_tls(plain: socket.socket, host: str) -> socket.socket:
    """Certificate and name are looked at; REQUESTS_CA_BUNDLE counts as it does in the whole run."""
    import ssl

    own = os.environ.get("REQUESTS_CA_BUNDLE") or os.environ.get("CURL_CA_BUNDLE")
    if own and os.path.isdir(own):
        context = ssl.create_default_context(capath=own)
    else:
        context = ssl.create_default_context(cafile=own or None)
    try:
        return context.wrap_socket(plain, server_hostname=host)
    except BaseException:
        plain.close()
        raise
