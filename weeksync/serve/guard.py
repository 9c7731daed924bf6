"""What every request passes before anything is done with it, and every answer on its way out."""

from __future__ import annotations

import logging
import traceback

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from weeksync.errors import WeeksyncError
from weeksync.message import message
from weeksync.serve.answers import Wrong, as_page, as_text, plain
from weeksync.serve.came import KEY, Came, came
from weeksync.serve.desk import Desk
from weeksync.serve.options import Names, Options
from weeksync.serve.protocol import Limits

log = logging.getLogger("weeksync.serve")

CROSS_ORIGIN = frozenset({"/marks", "/pairings"})
"""Where pages from elsewhere may send something, with a token or a code."""
PUBLIC_FILES = frozenset({"/household-ca.crt", "/household-ca.cer"})
JSON_PATHS = CROSS_ORIGIN | {"/check-ins", "/changes"}
MOST_OF_TARGET = 2048

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
}
"""On every answer that says nothing else. No Strict-Transport-Security: it holds for a whole name,
and a home's name may serve other things without TLS. With `no-referrer` a form would be posted
with `Origin: null` (Fetch, section 3.1)."""


class Guard:
    """Wraps the app: refuses what is none of ours, and turns faults into words."""

    def __init__(self, app: ASGIApp, desk: Desk, options: Options, limits: Limits) -> None:
        self._app = app
        self._desk = desk
        self._options = options
        self._names = Names.of(options)
        self._limits = limits

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = False

        async def finished(event: Message) -> None:
            nonlocal started
            if event["type"] == "http.response.start":
                started = True
                headers = MutableHeaders(scope=event)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(event)

        scope[KEY] = how = came(scope, self._options)
        scope["app"] = self  # with it, Starlette's routes raise and write nothing themselves
        try:
            self._check(scope, how)
            await self._app(scope, receive, finished)
        except Exception as error:
            wrong = _wrong(error)
            if started:
                raise _Cut from None  # the connection ends, and the log has no text of the fault
            await self._say(scope, wrong)(scope, receive, finished)

    def _say(self, scope: Scope, wrong: Wrong) -> ASGIApp:
        try:
            if scope["path"] in JSON_PATHS:
                return as_text(self._desk, wrong)
            return as_page(self._desk, wrong)
        except Exception:
            return plain(wrong)

    def _check(self, scope: Scope, how: Came) -> None:
        headers, path = Headers(scope=scope), scope["path"]
        size = sum(len(name) + len(value) + 4 for name, value in scope["headers"])
        if len(scope["raw_path"]) + len(scope["query_string"]) > MOST_OF_TARGET:
            raise Wrong(414, message("The address is too long."))
        if size > self._limits.head_bytes:
            raise Wrong(431, message("The head of the request is too large."))
        if not path.startswith("/") or (
            "transfer-encoding" in headers and "content-length" in headers
        ):
            raise Wrong(400, message("The request is malformed."))
        if scope["http_version"] not in {"1.0", "1.1"}:
            raise Wrong(505, message("The request is malformed."))
        if not self._names.knows(how.host, how.arrived_at):
            raise Wrong(
                421,
                message(
                    "weeksync is not known here under this name; write it as address in [serve] "
                    "of config.toml, or use the address that is written there."
                ),
            )
        if scope["method"] not in {"GET", "HEAD", "POST", "OPTIONS"}:
            raise Wrong(405, message("This cannot be done here."), {"Allow": "GET, HEAD, POST"})
        if path in CROSS_ORIGIN:
            return  # their own rules, in `marks`
        if scope["method"] == "POST":
            if not how.from_own_page:
                raise foreign()
        elif how.is_taken_by_another_site and path not in PUBLIC_FILES:
            raise foreign()


class _Cut(Exception):
    """An answer that could not be finished."""


def foreign() -> Wrong:
    """403: sent by a page that is none of ours."""
    return Wrong(403, message("This was sent by a page of another site, and nothing was done."))


def _wrong(error: Exception) -> Wrong:
    """The word for what went wrong; what a fault says itself may be private."""
    if isinstance(error, Wrong):
        return error
    if isinstance(error, HTTPException):  # Starlette's own, of the routes
        return Wrong(error.status_code, message("This cannot be done here."), error.headers)
    place = traceback.extract_tb(error.__traceback__)[-1]
    log.error("%s at %s:%s", type(error).__name__, place.name, place.lineno)
    if isinstance(error, WeeksyncError | OSError):
        text = message(
            "The household's files cannot be used now; weeksync check on the machine says why."
        )
        return Wrong(503, text, {"Retry-After": "30"})
    return Wrong(500, message("Something went wrong in weeksync; nothing was lost. Try again."))
