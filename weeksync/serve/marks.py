"""Marks and check-ins on their way into the household, and devices that are paired for it.

Pages that were opened from a folder have the origin `null` and belong to nobody; they, and pages
from elsewhere, may hand over marks with a token that was paired, never with a cookie.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.requests import Request
from starlette.responses import Response

from weeksync.errors import UsageError, WeeksyncError
from weeksync.message import Message, counted, message
from weeksync.serve.access_file import Scope
from weeksync.serve.answers import Wrong, as_json, as_text, body, content_type, json_object
from weeksync.serve.came import KEY, Came
from weeksync.serve.desk import Desk, Saved, Taken
from weeksync.serve.guard import foreign
from weeksync.serve.house import House, blocking

MOST_BYTES, MOST_LINES = 256 * 1024, 2000
MOST_OF_CHECK_IN = 32 * 1024
LINE_TYPES = frozenset({"application/x-ndjson", "application/jsonl", "application/json"})
"""None of them can be sent by a form, or by another site's script without asking first."""
FIELDS = ("day", "feeling", "energy", "why", "help", "gratitude")

Handler = Callable[[Request], Awaitable[Response]]


class Marks:
    """`/marks`, `/pairings` and `/check-ins`."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._desk = house.desk

    def shared(self, handler: Handler) -> Handler:
        """That handler for pages of any origin (Fetch, section 3.3), without their cookies."""

        async def handle(request: Request) -> Response:
            if request.method == "OPTIONS":
                response = Response(status_code=204)
            else:
                try:
                    response = await handler(request)
                except Wrong as wrong:
                    response = as_text(self._desk, wrong)
            origin = request.headers.get("origin", "")
            response.headers["Vary"] = "Origin"
            if origin:
                # h11 lets no line break through in a header, so nothing can be smuggled in.
                response.headers["Access-Control-Allow-Origin"] = origin
                response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
                # By Date a page finds out how wrong its clock is.
                response.headers["Access-Control-Expose-Headers"] = "Date, Retry-After"
            if request.method == "OPTIONS":
                response.headers["Access-Control-Allow-Methods"] = "POST"
                response.headers["Access-Control-Allow-Headers"] = "content-type, authorization"
                response.headers["Access-Control-Max-Age"] = "600"
                if request.headers.get("access-control-request-private-network") == "true":
                    response.headers["Access-Control-Allow-Private-Network"] = "true"
            return response

        return handle

    async def marks(self, request: Request) -> Response:
        """Take marks: JSON lines, one mark a line."""
        device, persons = self._sender(request)
        if content_type(request) not in LINE_TYPES:
            raise Wrong(415, message("Marks are sent as application/x-ndjson, one a line."))
        lines = await body(request, MOST_BYTES)
        if len(lines.splitlines()) > MOST_LINES:
            raise Wrong(
                413, message("That is more than {most} marks; send less at once.", most=MOST_LINES)
            )
        async with self._house.writing:
            try:
                taken = await blocking(lambda: self._desk.take(lines, persons, device))
            except WeeksyncError as error:
                raise _told(error) from error
        return as_json(_as_answer(self._desk, taken))

    def _sender(self, request: Request) -> tuple[str, frozenset[str]]:
        """(device, the persons whose own things it may mark); Wrong 401 or 403."""
        token = _bearer(request)
        if token is not None:
            visitor = self._house.access.visitor(token, "marks")
            if visitor is None:
                raise Wrong(
                    401,
                    message("This device is not paired any more; pair it again."),
                    {"WWW-Authenticate": 'Bearer error="invalid_token"'},
                )
            return visitor.device, frozenset([visitor.person] if visitor.person else [])
        how: Came = request.scope[KEY]
        if not how.from_own_page:
            if how.origin == "null":
                raise Wrong(
                    401,
                    message("Pair this page first: it was opened from a folder."),
                    {"WWW-Authenticate": "Bearer"},
                )
            raise foreign()
        wanted = request.query_params.get("as")
        caller = self._house.doors.signed_in(request, use=bool(wanted))
        if wanted and wanted != caller.person:
            # Made on a page of one's own that is locked by now: refused one by one, as unknown,
            # the browser would send them no more.
            raise _locked()
        return caller.device, frozenset([caller.person] if caller.person else [])

    async def pairings(self, request: Request) -> Response:
        """A token that allows marks and nothing else, for a one-time code."""
        given = await json_object(request, 4096)
        token = await redeem(self._house, request, given.get("code"), "marks")
        return as_json({"token": token, "address": self._house.options.own_address})

    async def check_ins(self, request: Request) -> Response:
        """The morning check-in of the person who has unlocked."""
        caller = self._house.doors.signed_in(request, use=True)
        person = caller.person
        if person is None:
            raise _locked()
        given = await json_object(request, MOST_OF_CHECK_IN)
        unknown = set(given) - {*FIELDS, "seen"}
        plain = all(one is None or isinstance(one, str | int | float) for one in given.values())
        seen = given.get("seen", "")
        if unknown or not plain or not isinstance(seen, str):
            raise Wrong(400, message("The body is no check-in."))
        fields = {name: given[name] for name in FIELDS if name in given}
        async with self._house.writing:
            try:
                answer = await blocking(lambda: self._desk.check_in(person, fields, seen))
            except WeeksyncError as error:
                raise _told(error) from error
        if isinstance(answer, Saved):
            return as_json({"saved": True, "seen": answer.seen})
        return as_json({"text": self._desk.text(answer.text), "held": dict(answer.held)}, 409)


async def redeem(house: House, request: Request, code: object, scope: Scope) -> str:
    """The token for a one-time code; Wrong 403 for none, 429 after too many of them."""
    who = request.scope[KEY].client
    wait = house.tries.wait(who)
    if wait:
        raise Wrong(
            429,
            counted(
                "Too many wrong codes; wait {count} minute.",
                "Too many wrong codes; wait {count} minutes.",
                -(-wait // 60),
            ),
            {"Retry-After": str(wait)},
        )
    token = None
    if isinstance(code, str) and len(code) <= 100:
        typed = code
        token = await blocking(lambda: house.access.redeem(typed, scope))
    if token is None:
        house.tries.wrong(who)
        raise Wrong(
            403,
            message(
                "This code is not known, or ten minutes are over, or it was used; make a new one "
                "with weeksync devices --add."
            ),
        )
    return token


def _locked() -> Wrong:
    return Wrong(403, message("Your pages are locked; unlock them with your PIN."))


def _bearer(request: Request) -> str | None:
    """The token of an Authorization header (RFC 6750 section 2.1); None where there is none."""
    header = request.headers.get("authorization")
    if header is None:
        return None
    kind, _, token = header.partition(" ")
    return token.strip() if kind.lower() == "bearer" else ""


def _told(error: WeeksyncError) -> Wrong:
    """What the desk says: its sentences are for the household, and the sender is one of it."""
    if isinstance(error, UsageError):
        return Wrong(400, error.message)
    return Wrong(503, error.message, {"Retry-After": "30"})


def _as_answer(desk: Desk, taken: Taken) -> dict[str, object]:
    def text(sentence: Message | None) -> str:
        return desk.text(sentence) if sentence is not None else ""

    return {
        "new": taken.new,
        "known": taken.known,
        "refused": [
            {"place": one.place, "text": text(one.text), "remedy": text(one.remedy)}
            for one in taken.refused
        ],
        "pages": list(taken.pages),
        "notices": [text(one) for one in taken.notices],
    }
