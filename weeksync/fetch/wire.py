"""One HTTP exchange that always ends: a deadline over all of it and a cap on its bytes.

The time-out of an HTTP library counts from byte to byte, so an answer that drips never ends,
and it knows nothing of the name look-up. Here each exchange runs in a thread of its own; at the
deadline its connections are cut from outside. Answers are unpacked in here, too: a few bytes
can unpack to gigabytes before a library hands out the first of them.
"""

from __future__ import annotations

import contextvars
import logging
import socket
import threading
import time
import zlib
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import Any

import niquests
from niquests import PreparedRequest, Response
from niquests.adapters import HTTPAdapter

# The library has two names for its lower half, depending on what else is installed; only the
# alias holds in both cases, and the alias is made at run time where mypy cannot see it.
from niquests.packages.urllib3.contrib.resolver.system import (  # type: ignore[import-not-found]
    SystemResolver,
)

from weeksync import __version__
from weeksync.fetch.fault import Fault, FaultKind, classify

USER_AGENT = f"weeksync/{__version__}"

_KEPT = 16
"""Connections that can be cut; one thread asks one server, so few are ever in use."""
_ADDRESSES = 3
"""So many addresses of a host can be tried in turn: the first may be IPv6 that leads nowhere."""


def silence(*names: str) -> None:
    """Let these libraries log nothing: they log addresses with all secrets, and calendar text.

    To be called where all their modules are imported. Whoever turns a library's log on again
    still gets nothing of it: every logger refuses each record.
    """
    for name in names:
        top = logging.getLogger(name)
        top.setLevel(logging.CRITICAL + 1)  # saves them the work
        top.propagate = False  # for loggers of modules that are imported later
        for one in [top, *_below(name)]:
            one.addFilter(_refuse)


def _below(name: str) -> list[logging.Logger]:
    made = list(logging.root.manager.loggerDict.items())
    return [
        logger
        for below, logger in made
        if below.startswith(f"{name}.") and isinstance(logger, logging.Logger)
    ]


def _refuse(_: logging.LogRecord) -> bool:
    return False


class Connections(SystemResolver):  # type: ignore[misc]
    """Looks names up as the system does and remembers each connection, to cut it from outside.

    What is remembered is a duplicate: TLS takes the first socket object over, and a shutdown of
    the duplicate ends both.
    """

    def __init__(self) -> None:
        super().__init__()
        self._open: deque[socket.socket] = deque()
        self._closed = False

    def create_connection(self, *args: Any, **kwargs: Any) -> socket.socket:
        """Connect as the base class does; raises OSError once everything was closed."""
        made: socket.socket = super().create_connection(*args, **kwargs)
        if self._closed:  # a look-up that outlived its deadline
            made.close()
            raise ConnectionAbortedError
        self._open.append(made.dup())
        if len(self._open) > _KEPT:  # a server may close each connection after one answer
            self._open.popleft().close()
        return made

    def cut(self) -> None:
        """End every connection at once; whoever waits for bytes of one gets none."""
        while self._open:
            connection = self._open.pop()
            with suppress(OSError):
                connection.shutdown(socket.SHUT_RDWR)
            connection.close()

    def shut(self) -> None:
        """Cut, and let no connection be made any more."""
        self._closed = True
        self.cut()


class WholeAnswers(HTTPAdapter):
    """An adapter whose answers are complete, unpacked, in memory and within their limits.

    The seconds given as `timeout` count for the whole exchange: look-up, connection, request,
    and the answer from its first to its last byte. Raises Fault and nothing else.
    """

    def __init__(self, connections: Connections, max_bytes: int) -> None:
        super().__init__(
            resolver=connections,
            disable_http3=True,  # its connections are not in our hand
            revocation_configuration=None,  # it would ask third hosts about every server
            allow_incoming_cookies=False,
        )
        self._connections = connections
        self._max_bytes = max_bytes
        # The digest login keeps its state in context variables: one context for all threads.
        self._context = contextvars.copy_context()

    def send(self, request: PreparedRequest, *args: Any, **kwargs: Any) -> Response:
        """Send `request` and return its whole answer; raises Fault."""
        seconds = float(kwargs.get("timeout") or 30.0)
        box: SimpleQueue[Response | Fault] = SimpleQueue()
        work = threading.Thread(
            target=lambda: box.put(self._whole(request, args, kwargs, time.monotonic() + seconds)),
            name="weeksync exchange",
            daemon=True,
        )
        work.start()
        try:
            outcome = box.get(timeout=seconds)
        except Empty:
            outcome = Fault(FaultKind.TIMEOUT)
        except BaseException:  # the user gave up: no connection may stay behind
            self._connections.cut()
            raise
        if isinstance(outcome, Fault):
            if outcome.kind is FaultKind.TIMEOUT:
                self._connections.cut()
                work.join(timeout=1.0)
            raise outcome
        return outcome

    def _whole(
        self, request: PreparedRequest, args: Any, kwargs: Any, end: float
    ) -> Response | Fault:
        seconds = end - time.monotonic()
        patience = (seconds / _ADDRESSES, seconds)  # to connect, and between two bytes
        reading = False
        try:
            response = super().send(
                request, *args, **{**kwargs, "stream": True, "timeout": patience}
            )
            reading = True
            try:
                packing = str(response.headers.get("Content-Encoding", ""))
                chunks = _until(end, response.iter_raw(-1))
                response._content = unpacked(chunks, packing, self._max_bytes)
                response._content_consumed = True
            except BaseException:
                response.close()
                raise
        except Exception as error:
            return classify(error, FaultKind.CUT if reading else FaultKind.RESET)
        return response


def _until(end: float, chunks: Iterable[bytes]) -> Iterator[bytes]:
    for chunk in chunks:
        if time.monotonic() > end:
            raise Fault(FaultKind.TIMEOUT)
        yield chunk


def unpacked(chunks: Iterable[bytes], packing: str, max_bytes: int) -> bytes:
    """The body made of `chunks`, with the Content-Encoding `packing` undone.

    Raises Fault: LARGE once more than `max_bytes` came out, CUT where a packed body lacks its
    end, PACKING for what is not packed as it says or in more than one layer.
    """
    layers = [name for part in packing.lower().split(",") if (name := part.strip())]
    layers = [name for name in layers if name != "identity"]
    if any(name not in {"gzip", "x-gzip", "deflate"} for name in layers) or len(layers) > 1:
        raise Fault(FaultKind.PACKING)
    body = bytearray()
    for piece in _unzipped(chunks, max_bytes) if layers else chunks:
        body += piece
        if len(body) > max_bytes:
            raise Fault(FaultKind.LARGE)
    return bytes(body)


_ZLIB_OR_GZIP = zlib.MAX_WBITS | 32
_PIECE = 1 << 20


def _unzipped(chunks: Iterable[bytes], max_bytes: int) -> Iterator[bytes]:
    unpacker, begun = zlib.decompressobj(_ZLIB_OR_GZIP), False
    for chunk in chunks:
        rest = chunk
        while rest:
            if unpacker.eof:
                if not rest.startswith(b"\x1f\x8b"):
                    break  # padding after the end, as some servers send it
                unpacker = zlib.decompressobj(_ZLIB_OR_GZIP)
            begun = True
            try:
                yield unpacker.decompress(rest, min(_PIECE, max_bytes + 1))
            except zlib.error:
                raise Fault(FaultKind.PACKING) from None
            rest = unpacker.unused_data if unpacker.eof else unpacker.unconsumed_tail
    if begun and not unpacker.eof:
        raise Fault(FaultKind.CUT)


class _OneAnswer(niquests.Session):
    """A session that leaves redirects to its caller altogether.

    Even where it is told not to follow them the library works out the next request, and fails
    where the address is broken.
    """

    def get_redirect_target(self, resp: Response) -> str | None:
        return None


def open_session(connections: Connections, max_bytes: int) -> niquests.Session:
    """A session whose answers are whole and within limits; it keeps no cookie, retries nothing."""
    silence("niquests", "urllib3", "urllib3_future")
    session = _OneAnswer(
        resolver=connections,
        disable_http3=True,
        revocation_configuration=None,
        allow_incoming_cookies=False,
    )
    for adapter in session.adapters.values():
        adapter.close()
    session.adapters.clear()
    for scheme in ("http://", "https://"):
        session.mount(scheme, WholeAnswers(connections, max_bytes))
    session.headers.clear()
    session.headers.update({"User-Agent": USER_AGENT, "Accept-Encoding": "gzip", "Accept": "*/*"})
    return session
