"""HTTP/1.1 on one connection, with an end to everything that could last for ever.

uvicorn 0.54 by itself has none (measured over 75 seconds): a connection that sends nothing, a
head or a body that comes a byte a second, and an answer that nobody fetches all stayed open; its
`timeout_keep_alive` begins after an answer, and a single byte more stops it for good; with
`limit_concurrency=10` 306 connections stood open. So each has a time here, and the number of
connections has a limit.
"""

from __future__ import annotations

import asyncio
from typing import ClassVar

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from weeksync.lazy import dataclass
from weeksync.serve.options import plain_address

_FULL = b"HTTP/1.1 503 Service Unavailable\r\nRetry-After: 5\r\n"
_LATE = b"HTTP/1.1 408 Request Timeout\r\n"
_END = b"Content-Length: 0\r\nConnection: close\r\n\r\n"


@dataclass(frozen=True, slots=True)
class Limits:
    """What one connection, and all of them, may take."""

    connections: int = 256
    """At the same time, open pages that wait for changes included."""
    of_one_address: int = 64
    """Of them from one address other than loopback and the proxy."""
    head_seconds: float = 10.0
    """From the first byte (or the connection) to the end of a request's head."""
    body_seconds: float = 30.0
    """For the whole body of a request: 256 KiB at 9 kB a second."""
    answer_seconds: float = 60.0
    """For an answer to be fetched: 120 KB at 2 kB a second."""
    idle_seconds: int = 15
    """Between two requests on one connection."""
    head_bytes: int = 16 * 1024
    """Request line and header fields."""
    received_bytes: int = 1024 * 1024
    """Of one request, also where it is refused by its size and only read to the end."""
    listeners: int = 64
    """Open pages that wait for changes."""
    certificate_seconds: float = 60.0
    """Between two looks whether the certificate was renewed."""
    stop_seconds: int = 5
    """For requests under way when serve is stopped."""


class GuardedProtocol(H11Protocol):
    """uvicorn's protocol with a deadline for heads, bodies and answers."""

    limits: ClassVar[Limits] = Limits()
    many_from: ClassVar[frozenset[str]] = frozenset()
    """Addresses that may take all connections: the proxy, loopback."""

    _reading: asyncio.TimerHandle | None = None
    _phase = ""
    _writing: asyncio.TimerHandle | None = None
    _received = 0

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Refuse the connection where there are too many; else begin to wait for a head."""
        super().connection_made(transport)
        transport.set_write_buffer_limits(high=1, low=0)  # so that any backlog is told
        if self._too_many():
            transport.write(_FULL + _END)
            transport.close()
            return
        self._await("head", self.limits.head_seconds)

    def _too_many(self) -> bool:
        if len(self.connections) > self.limits.connections:
            return True
        mine = plain_address(self.client[0]) if self.client else ""
        if not mine or mine in self.many_from:
            return False
        ours = [one.client for one in self.connections if isinstance(one, GuardedProtocol)]
        same = sum(one is not None and plain_address(one[0]) == mine for one in ours)
        return same > self.limits.of_one_address

    def data_received(self, data: bytes) -> None:
        """Take what came, and look how far the request is."""
        self._received += len(data)
        if self._received > self.limits.received_bytes:
            self.transport.abort()
            return
        super().data_received(data)
        state = self.conn.their_state
        if state is h11.IDLE:
            if self.conn.trailing_data[0]:
                self._await("head", self.limits.head_seconds)
            else:
                self._no_longer_await()
        elif state is h11.SEND_BODY:
            self._await("body", self.limits.body_seconds)
        else:
            self._no_longer_await()

    def _await(self, phase: str, seconds: float) -> None:
        if self._phase == phase:
            return
        self._no_longer_await()
        self._phase = phase
        self._reading = self.loop.call_later(seconds, self._late)

    def _no_longer_await(self) -> None:
        self._phase = ""
        self._received = 0
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None

    def _late(self) -> None:
        if self._phase == "head" and self.conn.trailing_data[0]:
            self.transport.write(_LATE + _END)
            self.transport.close()
        else:
            self.transport.abort()

    # What is sent

    def pause_writing(self) -> None:
        """Something waits to be fetched: it may not wait for ever."""
        super().pause_writing()
        if self._writing is None:
            self._writing = self.loop.call_later(self.limits.answer_seconds, self.transport.abort)

    def resume_writing(self) -> None:
        """All was fetched."""
        super().resume_writing()
        self._all_fetched()

    def _all_fetched(self) -> None:
        if self._writing is not None:
            self._writing.cancel()
            self._writing = None

    def connection_lost(self, exc: Exception | None) -> None:
        """No timer outlives the connection."""
        self._no_longer_await()
        super().connection_lost(exc)
        self._all_fetched()


def guarded(limits: Limits, many_from: frozenset[str]) -> type[GuardedProtocol]:
    """The protocol with these limits, as uvicorn takes it: a class."""
    return type("Guarded", (GuardedProtocol,), {"limits": limits, "many_from": many_from})
