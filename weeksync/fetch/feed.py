"""An `.ics` text on the web: one collection with one object."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

from niquests import Response

from weeksync.errors import SourceUnreachable, SourceUnusable
from weeksync.fetch.address import place
from weeksync.fetch.channel import Channel, PasswordSource
from weeksync.fetch.text import flaw, sentence
from weeksync.message import message
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import KnownCollection, Pulled, PulledCollection, RawObject

COLLECTION = "feed"
OBJECT = "feed.ics"
"""Names that stay when the address changes; the address itself is often a secret."""


class FeedSource:
    """A feed by http, https, webcal or webcals.

    webcal says no more than "a calendar on the web": https is tried first, and http where
    nothing answers by https and no password is at stake. webcals is https.
    """

    def __init__(self, source: str, address: str, user: str, password: PasswordSource) -> None:
        self.id = source
        self._addresses = _addresses(address.strip(), may_fall_back=not user)
        self._user = user
        self._password = password

    def __repr__(self) -> str:
        return f"FeedSource({self.id!r})"

    def pull(self, known: Mapping[str, KnownCollection], limits: PullLimits) -> Pulled:
        """The feed where its bytes changed; see `Source.pull`.

        The object's tag is the SHA-256 of the bytes, since many servers give a new ETag to the
        same bytes; the collection's token holds ETag and Last-Modified, and which address they
        are from.
        """
        have = known.get(COLLECTION, KnownCollection())
        *firsts, last = self._addresses
        for address in firsts:
            try:
                return self._pull_from(address, have, limits)
            except SourceUnreachable:
                continue
        return self._pull_from(last, have, limits)

    def _pull_from(self, address: str, have: KnownCollection, limits: PullLimits) -> Pulled:
        with Channel(self.id, address, limits, self._user, self._password) as channel:
            asked = _conditions(have, channel.address)
            answer = channel.request(
                "GET",
                channel.address,
                headers={"Accept": "text/calendar, */*;q=0.5", **asked},
                expect={304} if asked else (),
            )
            if answer.status_code == 304:
                return self._pulled(_with_login(json.loads(have.token), channel))
            content = answer.content or b""
            self._check(answer, content)
            digest = hashlib.sha256(content).hexdigest()
            token = _with_login(_token(answer, channel.address), channel)
        if have.tags.get(OBJECT) == digest:
            return self._pulled(token)
        return self._pulled(token, RawObject(OBJECT, digest, content))

    def _check(self, answer: Response, content: bytes) -> None:
        where = place(str(answer.url or ""))
        found = flaw(content)
        if found is not None:
            raise SourceUnusable(self.id, sentence(found, where))
        if answer.status_code != 200:
            raise SourceUnusable(
                self.id,
                message(
                    "{place} answers with status {status} and no calendar; look at the address",
                    place=where,
                    status=answer.status_code or 0,
                ),
            )

    def _pulled(self, token: str, *changed: RawObject) -> Pulled:
        return Pulled(self.id, (PulledCollection(COLLECTION, token=token, changed=changed),))


def _addresses(address: str, *, may_fall_back: bool) -> tuple[str, ...]:
    scheme = urlsplit(address).scheme.lower()
    rest = address[len(scheme) :]
    if scheme == "webcals":
        return (f"https{rest}",)
    if scheme == "webcal":
        return (f"https{rest}", f"http{rest}") if may_fall_back else (f"https{rest}",)
    return (address,)


def _conditions(have: KnownCollection, address: str) -> dict[str, str]:
    """The headers of a conditional request (RFC 9110, section 13.1), both of them where known.

    Without the object in hand, or from another address, an answer "not modified" would be
    taken for the wrong bytes.
    """
    try:
        token = json.loads(have.token) if have.token else {}
    except ValueError:
        return {}
    if not isinstance(token, dict) or OBJECT not in have.tags:
        return {}
    if token.get("address") != _fingerprint(address):
        return {}
    named = {"If-None-Match": token.get("etag"), "If-Modified-Since": token.get("modified")}
    return {name: value for name, value in named.items() if isinstance(value, str) and value}


def _token(answer: Response, address: str) -> dict[str, Any]:
    return {
        "address": _fingerprint(address),
        "etag": str(answer.headers.get("ETag", "")),
        "modified": str(answer.headers.get("Last-Modified", "")),
    }


def _with_login(token: dict[str, Any], channel: Channel) -> str:
    """With how the server let us in: `weeksync.lean.look` asks so the next time."""
    return json.dumps({**token, "look": {"login": channel.login}})


def _fingerprint(address: str) -> str:
    """Tells one address from another without giving it away."""
    return hashlib.sha256(address.encode()).hexdigest()[:16]
