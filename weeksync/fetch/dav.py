"""A CalDAV server seen through the `caldav` library, at the level of single requests.

The library writes requests and reads their XML. What is above that level in it takes a wrong
address, an anonymous answer or an empty one for "no calendars", so it is not used; what is
below it (connections, login, redirects) is our `Channel`, put in the place of its session.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any, cast

from caldav.davclient import DAVClient
from caldav.elements.base import BaseElement
from caldav.lib.error import DAVError, parse_preconditions
from niquests import Response

from weeksync.errors import SourceError, SourceMissing, SourceUnusable
from weeksync.fetch.address import place
from weeksync.fetch.channel import Channel
from weeksync.fetch.dav_xml import (
    Multistatus,
    multiget_body,
    multistatus,
    plain_xml,
    propfind_body,
    sync_body,
)
from weeksync.fetch.fault import Fault, FaultKind
from weeksync.fetch.status import status_error
from weeksync.fetch.wire import USER_AGENT, silence
from weeksync.message import message

DECLINED = frozenset({400, 403, 404, 405, 409, 410, 412, 413, 415, 422, 501, 505, 507})
"""Statuses that can mean something other than that the whole source cannot be had."""


class Declined(Exception):
    """The server answered one request with an error; the caller knows whether that matters.

    `preconditions` are the names in a DAV:error body (RFC 4918, section 16), `error` is what to
    raise where it does matter.
    """

    def __init__(self, status: int, preconditions: Collection[str], error: SourceError) -> None:
        super().__init__(status)
        self.status = status
        self.preconditions = frozenset(preconditions)
        self.error = error


class _NoXml(Exception):
    """An answer is no XML, or none that is read."""


class _Session:
    """What the library takes for its HTTP session; every answer it gives is whole and good XML."""

    def __init__(self, channel: Channel) -> None:
        self._channel = channel
        self.expect: frozenset[int] = DECLINED
        self.final_url = channel.address

    def request(
        self,
        method: str,
        url: str,
        data: bytes | None = None,
        headers: Mapping[str, str] | None = None,
        **_: object,
    ) -> Response:
        response = self._channel.request(
            method, url, headers=headers, body=data or b"", expect=self.expect
        )
        self.final_url = str(response.url or url)
        status = response.status_code or 0
        if not 200 <= status < 300:
            error = status_error(self._channel.source, place(self.final_url), response)
            raise Declined(status, parse_preconditions(response.content), error)
        if not plain_xml(response.content or b""):  # the library would put it into the root log
            raise _NoXml
        response.headers["Content-Type"] = "text/xml"  # often wrong, then it guesses the charset
        return response

    def close(self) -> None:
        """Nothing to do: the channel closes itself."""


class Dav:
    """PROPFIND, REPORT and GET over one `Channel`; raises SourceError and Declined.

    An answer over the cap is Declined with 507, as if the server had said so: less may be
    asked for.
    """

    def __init__(self, channel: Channel) -> None:
        self.channel = channel
        silence("caldav", "caldav.response")  # the second looks at its own level alone
        self._session = _Session(channel)
        self._client = DAVClient(
            channel.address,
            headers={"User-Agent": USER_AGENT},
            huge_tree=True,  # objects over 10 MB; harmless without a document type, under a cap
            enable_rfc6764=False,
            rate_limit_handle=False,
        )
        self._client.session.close()
        self._client.session = cast(Any, self._session)

    def propfind(self, url: str, depth: int, props: Iterable[type[BaseElement]]) -> Multistatus:
        """The properties of a resource, with `depth` 1 also of what is in it.

        An answer that names no resource is refused: it would read as "there is nothing".
        """
        answer = self._ask("PROPFIND", url, propfind_body(props), {"Depth": str(depth)})
        if not answer.resources:
            raise self.unusable()
        return answer

    def raise_if_absent(self, answer: Multistatus) -> None:
        """Declined, where the answer is a success that says the resource asked about is none.

        One server says 404 inside of a 207 (RFC 4918, section 14.24), and a list that was cut
        short says 507 there: it shows nothing to be gone.
        """
        status = answer.own.status if answer.own is not None else None
        if status in {404, 410}:
            raise Declined(status, (), self._missing())
        if status is not None and status >= 400:
            raise self.unusable()

    def sync(self, url: str, token: str) -> Multistatus:
        """The ETags of what changed in a calendar since `token` (RFC 6578).

        Declined also for a 500: some servers answer so to a token that they do not know.
        """
        return self._ask("REPORT", url, sync_body(token), {"Depth": "0"}, DECLINED | {500})

    def multiget(self, url: str, hrefs: Iterable[str]) -> Multistatus:
        """Objects of a calendar with their ETags (RFC 4791, section 7.9)."""
        return self._ask("REPORT", url, multiget_body(hrefs), {}, DECLINED | {500})

    def get(self, url: str) -> Response:
        """One object as it is; raises Declined also for a 500, which may be this object's."""
        too_large: Declined | None = None
        try:
            response = self.channel.request("GET", url, expect=DECLINED | {500})
        except SourceUnusable as error:
            too_large = _too_large(error)
            if too_large is None:
                raise
        if too_large is not None:
            raise too_large
        status = response.status_code or 0
        if status != 200:
            raise Declined(status, (), status_error(self.channel.source, place(url), response))
        return response

    def unusable(self) -> SourceUnusable:
        """The error for an answer that is no CalDAV, or an empty one."""
        return SourceUnusable(
            self.channel.source,
            message(
                "{place} answers, but not as a calendar server does: its answer is empty or is no"
                " multistatus; look at the address in config.toml",
                place=place(self._session.final_url),
            ),
        )

    def _missing(self) -> SourceMissing:
        return SourceMissing(
            self.channel.source,
            message(
                "{place} has nothing at this address ({status}); look at it in config.toml",
                place=place(self._session.final_url),
                status=404,
            ),
        )

    def _ask(
        self,
        method: str,
        url: str,
        body: str,
        headers: Mapping[str, str],
        expect: frozenset[int] = DECLINED,
    ) -> Multistatus:
        self._session.expect = expect
        tree: Any = None
        too_large: Declined | None = None
        try:
            tree = self._client.request(url, method, body, headers).tree
        except SourceUnusable as error:
            too_large = _too_large(error)
            if too_large is None:
                raise
        except (_NoXml, DAVError, SyntaxError, AttributeError):
            pass  # lxml's errors are SyntaxErrors; the last is what a body that is none gives
        if too_large is not None:
            raise too_large
        found = multistatus(tree, self._session.final_url)
        if found is None:
            raise self.unusable()
        return found


def _too_large(error: SourceUnusable) -> Declined | None:
    cause = error.__cause__
    large = isinstance(cause, Fault) and cause.kind is FaultKind.LARGE
    return Declined(507, (), error) if large else None
