"""Forms: pages that plan, edit and set up, and what is sent back from them.

They are plain HTML forms (HTML Standard, section 4.10.21) that work without any script; what they
say and what they change is the desk's, and `serve` only lets in, bounds and hands on.
"""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from weeksync.errors import UsageError, WeeksyncError
from weeksync.message import message
from weeksync.serve import site_files
from weeksync.serve.addresses import is_own_address
from weeksync.serve.answers import Wrong, body, content_type
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender
from weeksync.serve.house import House, blocking
from weeksync.serve.pages import Pages

MOST_BYTES, MOST_FIELDS = 128 * 1024, 1000
"""A whole week typed in by hand is a tenth of it."""

Fields = Mapping[str, tuple[str, ...]]


class Forms:
    """Every address under one of `addresses.PARTS`."""

    def __init__(self, house: House, pages: Pages) -> None:
        self._house = house
        self._desk = house.desk
        self._pages = pages

    async def whole(self, request: Request) -> Response:
        """The address without its slash leads to the one with it."""
        query = f"?{request.url.query}" if request.url.query else ""
        return RedirectResponse(f"{request.scope['path']}/{query}", 303)

    async def show(self, request: Request) -> Response:
        """The page with the form."""
        sender = self._sender(request)
        if sender is None:
            return RedirectResponse("/sign-in", 303)
        path, query = _path(request), dict(request.query_params)
        try:
            answer = await blocking(lambda: self._desk.form(path, query, sender))
        except UsageError as error:
            raise Wrong(400, error.message) from error
        return self._response(request, answer)

    async def take(self, request: Request) -> Response:
        """What was filled in; one at a time, whoever sends it."""
        sender = self._sender(request)
        if sender is None:
            raise Wrong(401, message("Sign this device in first."))
        fields = await _fields(request)
        path = _path(request)
        async with self._house.writing:
            try:
                answer = await blocking(lambda: self._desk.submit(path, fields, sender))
            except WeeksyncError as error:
                if isinstance(error, UsageError):
                    raise Wrong(400, error.message) from error
                raise Wrong(503, error.message, {"Retry-After": "30"}) from error
        return self._response(request, answer)

    def _sender(self, request: Request) -> Sender | None:
        """Who sends it; None for somebody who is not signed in."""
        caller = self._house.doors.caller(request, use=True)
        return Sender(caller.device, caller.person) if caller.signed_in else None

    def _response(self, request: Request, answer: FormAnswer | None) -> Response:
        if answer is None:
            raise Wrong(404, message("There is no such page."))
        if isinstance(answer, GoTo):
            if not is_own_address(answer.address):
                raise AssertionError(answer.address)
            return RedirectResponse(answer.address, 303)
        if isinstance(answer, FormPage):
            policy = site_files.policy("form.html", answer.content)
            headers = {"Content-Security-Policy": policy, "Cache-Control": "no-store"}
            kind = site_files.TYPES["html"]
            return Response(answer.content, answer.status, headers, kind)
        path, query = request.scope["path"], request.url.query
        return self._pages.pin_page(f"{path}?{query}" if query else path)


def _path(request: Request) -> str:
    path: str = request.scope["path"]
    return path.removeprefix("/")


async def _fields(request: Request) -> Fields:
    """The fields as sent, in their order (URL Standard, section 5.1); Wrong for no form."""
    if content_type(request) != "application/x-www-form-urlencoded":
        raise Wrong(415, message("This is no form; use the page's own button."))
    content = (await body(request, MOST_BYTES)).decode("ascii", "replace")
    try:
        pairs = parse_qsl(content, keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError as error:
        raise Wrong(400, message("This is no form; use the page's own button.")) from error
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        # The HTML Standard (4.10.22.6) sends line breaks as CR LF; in files they are LF.
        found.setdefault(name, []).append(value.replace("\r\n", "\n"))
    return {name: tuple(values) for name, values in found.items()}
