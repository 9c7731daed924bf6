"""A web server on loopback that answers each path as a test tells it to, also very badly.

    with web_server() as server:
        server["/home.ics"] = feed(content, etag='"1"')
        server["/slow.ics"] = drip(content, every=0.2)
        server.other = relay(radicale.url)      # every other path

A behaviour is a function that is given the `Exchange` and writes the answer. `server.seen` has
every request that came in, with its headers, so that a test sees what was really sent.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import http.client
import re
import socket
import ssl
import struct
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email.message import Message as Headers
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

CERTIFICATE = Path(__file__).with_name("loopback.pem")
"""A self-signed certificate for 127.0.0.1 with its key, made for these tests; nobody trusts it."""


@dataclass(frozen=True)
class Seen:
    """One request as it came in."""

    method: str
    path: str
    headers: Headers
    body: bytes


class Exchange:
    """A request with the means to answer it."""

    def __init__(self, handler: BaseHTTPRequestHandler, body: bytes, stopping: threading.Event):
        self._handler = handler
        self.method, self.path, self.headers = handler.command, handler.path, handler.headers
        self.body = body
        self.stopping = stopping
        self.keep_open = True
        """Whether the connection may serve another request after `answer`."""

    def answer(
        self, status: int, body: bytes = b"", headers: Mapping[str, str] | None = None
    ) -> None:
        """A whole answer with its length."""
        if not self.keep_open:
            headers = {**(headers or {}), "Connection": "close"}
        self.head(status, {"Content-Length": str(len(body)), **(headers or {})})
        if self.method != "HEAD":
            self.write(body)

    def head(self, status: int, headers: Mapping[str, str] | None = None) -> None:
        """Status line and headers; what follows is up to the behaviour."""
        self._handler.send_response(status)
        for name, value in (headers or {}).items():
            self._handler.send_header(name, value)
        self._handler.end_headers()

    def write(self, body: bytes) -> None:
        """Bytes as they are."""
        self._handler.wfile.write(body)

    def close(self, *, reset: bool = False) -> None:
        """Close the connection; with `reset` by RST, as a server that crashed does."""
        self._handler.close_connection = True
        connection = self._handler.connection
        if reset:
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            connection.close()


Behaviour = Callable[[Exchange], None]


class WebServer(ThreadingHTTPServer):
    """The server of `web_server`; behaviours are set by path, the query left out."""

    daemon_threads = True
    block_on_close = False
    request_queue_size = 64

    def __init__(self, tls: bool) -> None:
        super().__init__(("127.0.0.1", 0), _Handler)
        self.seen: list[Seen] = []
        self.stopping = threading.Event()
        self.other: Behaviour = status(404)
        self._behaviours: dict[str, Behaviour] = {}
        self.scheme = "https" if tls else "http"
        if tls:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(CERTIFICATE)
            self.socket = context.wrap_socket(self.socket, server_side=True)

    def __setitem__(self, path: str, behaviour: Behaviour) -> None:
        self._behaviours[path] = behaviour

    @property
    def url(self) -> str:
        """The address without a `/` at the end."""
        return f"{self.scheme}://127.0.0.1:{self.server_address[1]}"

    def at(self, path: str) -> list[Seen]:
        """The requests to one path, in order."""
        return [one for one in self.seen if urlsplit(one.path).path == path]

    def respond(self, exchange: Exchange) -> None:
        """Answer one request by the behaviour of its path."""
        self._behaviours.get(urlsplit(exchange.path).path, self.other)(exchange)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A client that went away in the middle is what many of these tests are about."""


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True
    server: WebServer

    def _any(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        self.server.seen.append(Seen(self.command, self.path, self.headers, body))
        self.server.respond(Exchange(self, body, self.server.stopping))

    do_GET = do_HEAD = do_PROPFIND = do_REPORT = do_PUT = do_DELETE = do_MKCALENDAR = _any

    def log_message(self, *_: Any) -> None:
        """Silence."""

    def finish(self) -> None:
        """Close, whatever a behaviour did to the connection before."""
        with suppress(OSError, ValueError):
            super().finish()


@contextmanager
def web_server(*, tls: bool = False) -> Iterator[WebServer]:
    """A running server; with `tls` by https, with a certificate that nobody trusts."""
    server = WebServer(tls)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.stopping.set()
        server.shutdown()
        server.server_close()
        thread.join()


# Behaviours ---------------------------------------------------------------------------------


def feed(content: bytes, *, etag: str = "", modified: str = "", packed: bool = False) -> Behaviour:
    """A feed with conditional requests (RFC 9110, section 13): If-None-Match counts first."""
    given = {
        "Content-Type": "text/calendar; charset=utf-8",
        "ETag": etag,
        "Last-Modified": modified,
    }
    headers = {name: value for name, value in given.items() if value}

    def behave(exchange: Exchange) -> None:
        match, since = exchange.headers["If-None-Match"], exchange.headers["If-Modified-Since"]
        if (match is not None and match == etag) or (match is None and since and since == modified):
            exchange.answer(304, b"", headers)
        elif packed and "gzip" in (exchange.headers["Accept-Encoding"] or ""):
            exchange.answer(200, gzip.compress(content), {**headers, "Content-Encoding": "gzip"})
        else:
            exchange.answer(200, content, headers)

    return behave


def answer(content: bytes, code: int = 200, **headers: str) -> Behaviour:
    """Always this answer; `Content_Type` stands for the header Content-Type."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return lambda exchange: exchange.answer(code, content, named)


def status(code: int, **headers: str) -> Behaviour:
    """A status without a body."""
    return answer(b"", code, **headers)


def redirect(target: str, code: int = 302) -> Behaviour:
    """A redirect to `target`, which may be a path or a whole address elsewhere."""
    return status(code, Location=target)


def one_after_the_other(*behaviours: Behaviour) -> Behaviour:
    """The first one first; the last one stays."""
    waiting = list(behaviours)

    def behave(exchange: Exchange) -> None:
        (waiting.pop(0) if len(waiting) > 1 else waiting[0])(exchange)

    return behave


def hang(exchange: Exchange) -> None:
    """No byte at all until the server stops."""
    exchange.stopping.wait()
    exchange.close()


def drip(content: bytes, every: float) -> Behaviour:
    """A good answer, byte by byte, with `every` seconds between two."""

    def behave(exchange: Exchange) -> None:
        exchange.head(200, {"Content-Length": str(len(content))})
        for index in range(len(content)):
            exchange.write(content[index : index + 1])
            if exchange.stopping.wait(every):
                break

    return behave


def drip_head(every: float) -> Behaviour:
    """Headers that never end: one more every so many seconds."""

    def behave(exchange: Exchange) -> None:
        exchange.write(b"HTTP/1.1 200 OK\r\n")
        while not exchange.stopping.wait(every):
            exchange.write(b"X-More: yes\r\n")

    return behave


def endless(exchange: Exchange) -> None:
    """A calendar that never ends, as fast as it is taken."""
    exchange.head(200, {"Content-Type": "text/calendar", "Transfer-Encoding": "chunked"})
    block = b"X-LINE:" + b"x" * 65_521 + b"\r\n"
    exchange.write(b"11\r\nBEGIN:VCALENDAR\r\n\r\n")
    while not exchange.stopping.is_set():
        exchange.write(b"%x\r\n%s\r\n" % (len(block), block))


def cut(content: bytes, after: int) -> Behaviour:
    """The length of the whole, and the connection closed after so many bytes."""

    def behave(exchange: Exchange) -> None:
        exchange.head(200, {"Content-Length": str(len(content))})
        exchange.write(content[:after])
        exchange.close()

    return behave


def cut_silently(content: bytes, after: int) -> Behaviour:
    """No length, and closed after so many bytes: nothing in HTTP shows that more was meant."""

    def behave(exchange: Exchange) -> None:
        exchange.head(200, {"Connection": "close"})
        exchange.write(content[:after])
        exchange.close()

    return behave


def reset(exchange: Exchange) -> None:
    """The connection is reset without an answer."""
    exchange.close(reset=True)


def bomb(megabytes: int, layers: int = 1) -> Behaviour:
    """Zeros packed with gzip: a few thousandths of that on the wire, less with more layers."""
    packed = gzip.compress(bytes(megabytes * 1024 * 1024), 1)
    for _ in range(layers - 1):
        packed = gzip.compress(packed, 1)
    return answer(packed, Content_Encoding=", ".join(["gzip"] * layers))


def broken_gzip(content: bytes, keep: float = 1.0) -> Behaviour:
    """Says gzip and is not, or with `keep` below 1 ends before its end."""
    body = (
        gzip.compress(content)[: int(len(gzip.compress(content)) * keep)] if keep < 1 else content
    )
    return answer(body, Content_Encoding="gzip")


def basic(user: str, password: str, inner: Behaviour) -> Behaviour:
    """Asks for a name and a password (RFC 7617)."""
    right = "Basic " + base64.b64encode(f"{user}:{password}".encode()).decode()

    def behave(exchange: Exchange) -> None:
        if exchange.headers["Authorization"] == right:
            inner(exchange)
        else:
            exchange.answer(401, b"", {"WWW-Authenticate": 'Basic realm="loopback"'})

    return behave


@dataclass
class Digest:
    """Asks for a digest login (RFC 7616, MD5 with qop=auth) and checks it by its own sums.

    With `or_basic` it offers basic too; with `broken` no digest is ever right.
    """

    user: str
    password: str
    inner: Behaviour
    or_basic: bool = False
    broken: bool = False
    nonce: str = field(default="dcd98b7102dd2f0e8b11d0f600bfb0c093")

    def __call__(self, exchange: Exchange) -> None:
        """Answer the request if its login is right, else ask for one."""
        login = exchange.headers["Authorization"] or ""
        if login.startswith("Digest ") and not self.broken and self._right(exchange, login):
            self.inner(exchange)
        elif login.startswith("Basic ") and self.or_basic:
            basic(self.user, self.password, self.inner)(exchange)
        else:
            asked = f'Digest realm="loopback", nonce="{self.nonce}", qop="auth", algorithm=MD5'
            asked += ', Basic realm="loopback"' if self.or_basic else ""
            exchange.answer(401, b"", {"WWW-Authenticate": asked})

    def _right(self, exchange: Exchange, login: str) -> bool:
        given = {name: a or b for name, a, b in re.findall(r'(\w+)=(?:"([^"]*)"|([^\s,]+))', login)}
        first = _md5(f"{self.user}:loopback:{self.password}")
        second = _md5(f"{exchange.method}:{exchange.path}")
        middle = f"{self.nonce}:{given.get('nc')}:{given.get('cnonce')}:auth"
        return given.get("response") == _md5(f"{first}:{middle}:{second}")


def _md5(text: str) -> str:
    return hashlib.md5(text.encode(), usedforsecurity=False).hexdigest()


Answer = tuple[int, dict[str, str], bytes]


def relay(
    url: str,
    *,
    instead: Callable[[Exchange], Behaviour | None] = lambda _: None,
    edit: Callable[[Exchange, Answer], Answer] = lambda _, real: real,
) -> Behaviour:
    """Hand requests on to a real server, but for those that `instead` has a behaviour for.

    `edit` may change the real server's answer: status, headers, body.
    """
    target = urlsplit(url)

    def behave(exchange: Exchange) -> None:
        replaced = instead(exchange)
        if replaced is not None:
            replaced(exchange)
            return
        connection = http.client.HTTPConnection(target.hostname or "", target.port, timeout=30)
        try:
            dropped = {"host", "connection", "accept-encoding", "content-length"}
            headers = {n: v for n, v in exchange.headers.items() if n.lower() not in dropped}
            connection.request(exchange.method, exchange.path, exchange.body, headers)
            real = connection.getresponse()
            kept = {"etag", "content-type", "www-authenticate", "location", "dav"}
            given = {n: v for n, v in real.getheaders() if n.lower() in kept}
            code, given, body = edit(exchange, (real.status, given, real.read()))
        finally:
            connection.close()
        exchange.answer(code, body, given)

    return behave
