"""Open pages that wait to be told of a rebuild: Server-Sent Events (HTML, section 9.2)."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Iterable

from starlette.responses import Response
from starlette.types import Receive, Scope, Send

HEARTBEAT_SECONDS = 20.0
RETRY_MILLISECONDS = 5000


class _Listener:
    def __init__(self) -> None:
        self.pages: set[str] = set()
        self.woken = asyncio.Event()


class Changes:
    """All that listen; a slow one misses nothing and keeps no more than the pages' names."""

    def __init__(self, most: int, heartbeat: float = HEARTBEAT_SECONDS) -> None:
        self._most = most
        self._heartbeat = heartbeat
        self._listeners: set[_Listener] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._closed = False

    def start(self) -> None:
        """Remember the running loop: `tell` comes from other threads."""
        self._loop = asyncio.get_running_loop()

    def close(self) -> None:
        """End every stream; within the loop."""
        self._closed = True
        for one in self._listeners:
            one.woken.set()

    @property
    def is_full(self) -> bool:
        """Whether no further page can listen."""
        return len(self._listeners) >= self._most

    def tell(self, pages: Iterable[str]) -> None:
        """These pages were built anew; from any thread, raises nothing."""
        loop, names = self._loop, frozenset(pages)
        if loop is None or not names:
            return
        try:
            loop.call_soon_threadsafe(self._spread, names)
        except RuntimeError:
            return  # the loop has ended, and with it every listener

    def _spread(self, names: frozenset[str]) -> None:
        for one in self._listeners:
            one.pages |= names
            one.woken.set()

    def listen(self, allowed: Callable[[], bool]) -> Stream:
        """The stream for one page, to be returned as its answer; it ends when `allowed` says no.

        That is asked before anything is sent, and with each heartbeat.
        """
        return Stream(self, allowed)

    async def send(self, allowed: Callable[[], bool], receive: Receive, send: Send) -> None:
        """Send what happens until the page, or serve, goes away."""
        listener = _Listener()
        self._listeners.add(listener)
        gone = asyncio.ensure_future(_until_gone(receive))
        try:
            await _send(send, f"retry: {RETRY_MILLISECONDS}\n\n")
            while not self._closed:
                woken = asyncio.ensure_future(listener.woken.wait())
                await asyncio.wait(
                    {gone, woken}, timeout=self._heartbeat, return_when=asyncio.FIRST_COMPLETED
                )
                woken.cancel()
                if gone.done() or self._closed or not allowed():
                    break
                listener.woken.clear()
                pages, listener.pages = sorted(listener.pages), set()
                built = f"event: built\ndata: {json.dumps({'pages': pages})}\n\n"
                await _send(send, built if pages else ": \n\n")
            await _send(send, "", more=False)
        finally:
            self._listeners.discard(listener)
            gone.cancel()


class Stream(Response):
    """The answer that goes on."""

    media_type = "text/event-stream"

    def __init__(self, changes: Changes, allowed: Callable[[], bool]) -> None:
        super().__init__(headers={"Cache-Control": "no-store"})
        del self.headers["content-length"]
        self._changes = changes
        self._allowed = allowed

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Head first, then events."""
        start = {"type": "http.response.start", "status": 200, "headers": self.raw_headers}
        await send(start)
        if scope["method"] == "HEAD":
            await _send(send, "", more=False)
            return
        await self._changes.send(self._allowed, receive, send)


async def _send(send: Send, text: str, *, more: bool = True) -> None:
    await send({"type": "http.response.body", "body": text.encode(), "more_body": more})


async def _until_gone(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass
