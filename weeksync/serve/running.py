"""Running it: the socket, TLS, uvicorn, and an orderly end."""

from __future__ import annotations

import asyncio
import logging
import os
import signal
import socket
import ssl
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from types import FrameType
from typing import Any

import uvicorn

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.serve.access import Access
from weeksync.serve.app import Made, make_app
from weeksync.serve.desk import Desk
from weeksync.serve.options import Options, check
from weeksync.serve.protocol import Limits, guarded

HANDSHAKE_SECONDS = 10.0
"""For TLS to begin; asyncio would wait a minute."""
SWITCH_SECONDS = 0.0005
"""How long one thread may keep the others waiting."""
TICK_SECONDS = 0.1
"""How often uvicorn calls `on_tick`."""
BACKLOG = 128
"""Connections that the system holds while ours are all taken."""


def run(
    desk: Desk,
    access: Access,
    options: Options,
    *,
    limits: Limits | None = None,
    ready: Callable[[str], None] | None = None,
) -> None:
    """Serve until SIGTERM or SIGINT; then let what is under way end, and return.

    `ready` is called with the address of this machine once requests are taken. UsageError where
    it may not start, as on an address that others reach while no device may come in.
    """
    limits = limits or Limits()
    check(options, access)
    _check_certificate(options)
    listening = _listen(options)
    options = replace(options, port=listening.getsockname()[1])
    made = make_app(desk, access, options, limits)
    server = _Server(_config(made, options, limits), made, _ready(options, ready))
    with _quiet(), _prompt(), _until_told(server), asyncio.Runner(loop_factory=_Loop) as runner:
        try:
            runner.run(server.serve(sockets=[listening]))
        finally:
            listening.close()


class _Server(uvicorn.Server):
    """uvicorn, that says when it is ready and sends open pages away before it waits for them."""

    def __init__(self, config: uvicorn.Config, made: Made, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._made = made
        self._ready = ready
        self._certificate_of = 0

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._ready()

    async def on_tick(self, counter: int) -> bool:
        ticks = max(1, round(self._made.limits.certificate_seconds / TICK_SECONDS))
        if counter % ticks == 0:
            self._take_renewed_certificate()
        return await super().on_tick(counter)

    def _take_renewed_certificate(self) -> None:
        """New connections get the certificate that lies there now; half of one waits."""
        context, file = self.config.ssl, self.config.ssl_certfile
        if context is None or file is None:
            return
        with suppress(OSError):  # an SSLError is one
            stamp = os.stat(file).st_mtime_ns
            if self._certificate_of not in {0, stamp}:
                # Tried apart first: what does not belong together would spoil the one in use.
                for one in (ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER), context):
                    one.load_cert_chain(file, self.config.ssl_keyfile, password="")
            self._certificate_of = stamp

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._made.changes.close()
        await super().shutdown(sockets)


class _Loop(asyncio.SelectorEventLoop):
    """The loop with a deadline for TLS handshakes, which uvicorn does not pass on."""

    async def create_server(self, *args: Any, **kwargs: Any) -> asyncio.Server:
        if kwargs.get("ssl") is not None:
            kwargs.setdefault("ssl_handshake_timeout", HANDSHAKE_SECONDS)
        made: asyncio.Server = await super().create_server(*args, **kwargs)
        return made


def _config(made: Made, options: Options, limits: Limits) -> uvicorn.Config:
    many_from = frozenset({"127.0.0.1", "::1", options.trusted_proxy} - {""})
    return uvicorn.Config(
        made.app,
        http=guarded(limits, many_from),
        ws="none",
        lifespan="on",
        log_config=None,
        access_log=False,  # who looks at the week when is nobody's business
        server_header=False,
        proxy_headers=False,  # `came` reads them, of the trusted proxy alone
        backlog=BACKLOG,
        h11_max_incomplete_event_size=limits.head_bytes,
        timeout_keep_alive=limits.idle_seconds,
        timeout_graceful_shutdown=limits.stop_seconds,
        ssl_certfile=options.certificate,
        ssl_keyfile=options.certificate_key,
    )


def _check_certificate(options: Options) -> None:
    if options.certificate is None:
        return
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        context.load_cert_chain(options.certificate, options.certificate_key, password="")
    except (ssl.SSLError, OSError) as error:
        raise UsageError(
            message(
                "the certificate {file} and its key cannot be used ({reason}); both are PEM, the "
                "key without a password, and they belong together",
                file=str(options.certificate),
                reason=error.strerror or str(error),
            )
        ) from error


def _listen(options: Options) -> socket.socket:
    try:
        found = socket.getaddrinfo(
            options.host, options.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )
        family, kind, protocol, _, where = found[0]
        listening = socket.socket(family, kind, protocol)
        try:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if options.host == "::":
                listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0)
            listening.bind(where)
            listening.listen(BACKLOG)  # uvicorn does so later; a second serve must fail now
        except OSError:
            listening.close()
            raise
    except OSError as error:
        raise UsageError(
            message(
                "{host}, port {port} cannot be listened at ({reason}); end what is there, or "
                "write another host or port into [serve] of config.toml",
                host=options.host,
                port=str(options.port),
                reason=_reason(error),
            )
        ) from error
    return listening


def _reason(error: OSError) -> str:
    """In words; a name that is not found has a number of its own kind, below 0."""
    number = error.errno or 0
    return os.strerror(number) if number > 0 else error.strerror or str(error)


def _ready(options: Options, ready: Callable[[str], None] | None) -> Callable[[], None]:
    def tell() -> None:
        if ready is not None:
            here = "localhost" if options.host in {"0.0.0.0", "::"} else options.host  # noqa: S104
            ready(replace(options, host=here, address="").own_address)

    return tell


@contextmanager
def _until_told(server: uvicorn.Server) -> Iterator[None]:
    """uvicorn gives the signal that ended it back to the handlers of before: they do nothing.

    So `run` returns, and who called it says goodbye. Signals are of the main thread alone.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        server.should_exit = True

    before = {one: signal.signal(one, stop) for one in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)


@contextmanager
def _prompt() -> Iterator[None]:
    """Pages are built in another thread: at Python's 5 ms a turn each request would wait for it
    again and again (measured while building: a quarter more requests with half a millisecond)."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_SECONDS)
    try:
        yield
    finally:
        sys.setswitchinterval(before)


@contextmanager
def _quiet() -> Iterator[None]:
    """uvicorn's own log would quote malformed requests and faults with their texts."""
    logger = logging.getLogger("uvicorn.error")
    before = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        logger.setLevel(before)
