"""A person's plan for the calendar on their phone, at an address that is a secret.

Calendar programs can fetch an address and do nothing else: they have no cookie and send no header
of ours. So the address itself lets in, to that one feed, until it is taken back.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from weeksync.message import message
from weeksync.serve import site_files
from weeksync.serve.answers import Wrong
from weeksync.serve.house import House, blocking


class Feeds:
    """`/feeds/<token>/plan.ics`."""

    def __init__(self, house: House) -> None:
        self._house = house

    async def plan(self, request: Request) -> Response:
        """The feed of the person that the token was given for; 404 for any other token."""
        token = request.path_params["token"]
        visitor = await blocking(lambda: self._house.access.visitor(token, "feed"))
        if visitor is None or not visitor.person:
            raise Wrong(404, message("There is no such page."))
        content = await blocking(lambda: self._house.desk.feed(visitor.person))
        if content is None:
            raise Wrong(404, message("There is no such page."))
        tag = site_files.etag(content)
        headers = {
            "ETag": tag,
            "Cache-Control": "private, no-cache",
            "Content-Disposition": 'inline; filename="plan.ics"',
            # Whoever has the address in a browser sends it nowhere.
            "Referrer-Policy": "no-referrer",
        }
        if site_files.is_known(request.headers.get("if-none-match", ""), tag):
            return Response(status_code=304, headers=headers)
        return Response(content, 200, headers, site_files.TYPES["ics"])
