"""Answers: JSON, words on a page of their own, and what is read of a request's body."""

from __future__ import annotations

import asyncio
import html
import json
from collections.abc import Mapping
from urllib.parse import parse_qsl

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from weeksync.message import Message, message
from weeksync.serve.desk import Desk

BODY_SECONDS = 20.0
MOST_OF_FORM = 4 * 1024


class Wrong(Exception):
    """A request that is answered with a status and a word, and why."""

    def __init__(
        self, status: int, text: Message, headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(status)
        self.status = status
        self.text = text
        self.headers = dict(headers or {})


def too_large(most: int) -> Wrong:
    """413: more bytes than are taken."""
    return Wrong(413, message("That is more than {most} bytes; send less at once.", most=most))


async def body(request: Request, most: int) -> bytes:
    """The whole body; Wrong 413 as soon as it is too large, 408 where it takes too long."""
    said = request.headers.get("content-length", "")
    if said.isdecimal() and int(said[:20]) > most:
        raise too_large(most)
    found = bytearray()
    try:
        async with asyncio.timeout(BODY_SECONDS):
            async for piece in request.stream():
                found += piece
                if len(found) > most:
                    raise too_large(most)
    except TimeoutError as error:
        raise Wrong(408, message("The request took too long; send it again.")) from error
    except ClientDisconnect as error:
        raise Wrong(400, message("The request was cut off; send it again.")) from error
    return bytes(found)


def content_type(request: Request) -> str:
    """The media type of the body, without parameters, in small letters."""
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


async def form(request: Request, *names: str) -> dict[str, str]:
    """The fields of a form (URL Standard, section 5), "" where one is missing."""
    if content_type(request) != "application/x-www-form-urlencoded":
        raise Wrong(415, message("This is no form; use the page's own button."))
    content = (await body(request, MOST_OF_FORM)).decode("ascii", "replace")
    try:
        found = dict(parse_qsl(content, keep_blank_values=True, max_num_fields=20))
    except ValueError as error:
        raise Wrong(400, message("This is no form; use the page's own button.")) from error
    return {name: found.get(name, "") for name in names}


async def json_object(request: Request, most: int) -> dict[str, object]:
    """The JSON object of the body (RFC 8259)."""
    if content_type(request) != "application/json":
        raise Wrong(415, message("The body is not sent as application/json."))
    content = await body(request, most)
    try:
        found = json.loads(content.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise Wrong(400, message("The body is no JSON.")) from error
    if not isinstance(found, dict):
        raise Wrong(400, message("The body is no JSON object."))
    return found


def as_json(
    content: Mapping[str, object], status: int = 200, headers: Mapping[str, str] | None = None
) -> Response:
    """JSON in UTF-8, never cached."""
    text = json.dumps(content, ensure_ascii=False)
    kept = {"Cache-Control": "no-store", **(headers or {})}
    # A lone surrogate of a household file would be no UTF-8.
    return Response(text.encode("utf-8", "replace"), status, kept, "application/json")


def as_text(desk: Desk, wrong: Wrong) -> Response:
    """The JSON that a script shows: `{"text": …}`."""
    return as_json({"text": desk.text(wrong.text)}, wrong.status, wrong.headers)


def as_page(desk: Desk, wrong: Wrong) -> Response:
    """A small page with the word; `style.css` is ours and has no data in it."""
    lang, direction = desk.language
    word, home = desk.text(wrong.text), desk.text(message("To the pages"))
    return _page(lang, direction, word, f'<p><a href="/">{html.escape(home)}</a></p>', wrong)


def plain(wrong: Wrong) -> Response:
    """The same in English where the desk may be what is broken."""
    return _page("en", "ltr", str(wrong.text), "", wrong)


def _page(lang: str, direction: str, word: str, more: str, wrong: Wrong) -> Response:
    text = (
        f'<!doctype html>\n<html lang="{html.escape(lang)}" dir="{html.escape(direction)}">\n'
        '<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{wrong.status} · weeksync</title>\n"
        '<link rel="stylesheet" href="/style.css">\n</head>\n'
        f"<body>\n<main>\n<h1>{html.escape(word)}</h1>\n{more}</main>\n</body>\n</html>\n"
    )
    policy = (
        "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )
    headers = {"Content-Security-Policy": policy, "Cache-Control": "no-store", **wrong.headers}
    return Response(text.encode("utf-8", "replace"), wrong.status, headers, "text/html")
