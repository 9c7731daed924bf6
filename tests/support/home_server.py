"""A home computer that serves a built site, over https or http, and does what a test says.

It stands in for `weeksync serve` where a test needs an answer that is late, a device that is
signed out, or a computer that is switched off; `status.js` gets the line by which pages know that
they are served. It keeps nothing and checks nothing.
"""

from __future__ import annotations

import ssl
import threading
import time
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

SERVED = b'const served = {"home":"","signedIn":true,"person":"","address":""};\n'


@dataclass
class HomeServer:
    """Serves `site` on a port of its own, which stays the same through `off` and `on`."""

    site: Path
    tls: Path | None = None
    """The folder with `server.crt` and `server.key`; None for http."""
    served: bool = True
    """Whether pages are told that weeksync serves them; a plain web server does not."""
    delay: float = 0.0
    """Seconds before each answer."""
    signed_in: bool = True
    asked: list[str] = field(default_factory=list)
    """`GET /path` of each request, in order."""
    _server: ThreadingHTTPServer | None = None
    _port: int = 0

    def on(self) -> HomeServer:
        """Switch the computer on."""
        home = self

        class Handler(_Handler):
            of = home

        self._server = _Server(("127.0.0.1", self._port), Handler)
        self._port = self._server.server_address[1]
        if self.tls is not None:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(self.tls / "server.crt", self.tls / "server.key")
            self._server.socket = context.wrap_socket(
                self._server.socket, server_side=True, do_handshake_on_connect=False
            )
        threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True).start()
        return self

    def off(self) -> None:
        """Switch it off: its address refuses connections."""
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()
            self._server = None

    def url(self, page: str = "", host: str = "localhost") -> str:
        """The address of a page."""
        scheme = "https" if self.tls is not None else "http"
        return f"{scheme}://{host}:{self._port}/{page}"


class _Server(ThreadingHTTPServer):
    allow_reuse_address = True
    block_on_close = False

    def handle_error(self, request: object, client_address: object) -> None:
        """A browser that hangs up, or does not trust the certificate, is no error here."""


class _Handler(SimpleHTTPRequestHandler):
    of: HomeServer

    def __init__(self, *args: object, **named: object) -> None:
        super().__init__(*args, directory=str(self.of.site), **named)  # type: ignore[arg-type]

    def log_message(self, format: str, *args: object) -> None:
        """Nothing on the terminal."""

    def do_GET(self) -> None:
        path = self.path.partition("?")[0]
        self.of.asked.append(f"GET {path}")
        time.sleep(self.of.delay)
        if path == "/sign-in":
            self._answer(b"<!doctype html><title>Sign in</title><p>Sign in", "text/html")
        elif not self.of.signed_in:
            self.send_response(HTTPStatus.SEE_OTHER)
            self.send_header("Location", "/sign-in")
            self.send_header("Content-Length", "0")
            self.end_headers()
        elif path == "/status.js" and self.of.served:
            self._answer((self.of.site / "status.js").read_bytes() + SERVED, "text/javascript")
        elif path == "/own/2027-W12.html":
            self._answer(b"<!doctype html><title>Own</title><p>steady", "text/html")
        else:
            super().do_GET()

    def do_POST(self) -> None:
        self.of.asked.append(f"POST {self.path}")
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.of.signed_in = self.of.signed_in and self.path != "/sign-out"
        self.send_response(HTTPStatus.SEE_OTHER)
        self.send_header("Location", "/sign-in")
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _answer(self, content: bytes, kind: str) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)
