"""Asking a server whether anything has changed at all, in few requests and with few words.

A CalDAV account is asked for its list of calendars, and each calendar for what changed since the
sync-token of the last pull (RFC 6578), or, where the server has no tokens, for its list of ETags.
A feed is asked by a conditional request (RFC 9110, section 13). What to ask stands in the tokens
that a pull leaves in the store (`fetch.dav_look`, `fetch.feed`), and is there only where nothing
was wrong. "Nothing" is said only of a complete answer that leaves no doubt.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from weeksync.lean.answers import CALENDAR, DAV, Answered, listing_print, multistatus
from weeksync.lean.asking import MOST_BYTES, Asking, has_proxy
from weeksync.lean.doubt import Doubt

SECONDS = 20.0
"""How long one source is asked, all its answers together."""
FULL_EVERY = 14
"""As `fetch.dav_pull` has it: so many times a token is believed, then everything is compared."""
MOST_LISTED = 1024 * 1024
"""Bytes of a list of ETags: some thousands of objects; a longer one is cheaper by the whole run."""

_XML = {"Content-Type": 'application/xml; charset="utf-8"'}
_LISTING = (
    '<?xml version="1.0" encoding="utf-8"?><D:propfind xmlns:D="DAV:"'
    ' xmlns:C="urn:ietf:params:xml:ns:caldav" xmlns:A="http://apple.com/ns/ical/"><D:prop>'
    "<D:resourcetype/><D:displayname/><C:supported-calendar-component-set/><A:calendar-color/>"
    "</D:prop></D:propfind>"
)
_TAGS = (
    '<?xml version="1.0" encoding="utf-8"?><D:propfind xmlns:D="DAV:"><D:prop>'
    "<D:getetag/><D:resourcetype/></D:prop></D:propfind>"
)
_SYNC = (
    '<?xml version="1.0" encoding="utf-8"?><D:sync-collection xmlns:D="DAV:">'
    "<D:sync-token>{token}</D:sync-token><D:sync-level>1</D:sync-level>"
    "<D:prop><D:getetag/></D:prop></D:sync-collection>"
)


@dataclass(frozen=True, slots=True)
class Kept:
    """What the store has of a collection: its token, and its objects' tags by name."""

    token: str
    tags: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Online:
    """A source on a server, as `config.toml` names it; exactly one of `url` and `caldav`."""

    url: str = ""
    caldav: str = ""
    choose: tuple[str, ...] = ()
    user: str = ""
    password: Callable[[], str | None] = field(default=lambda: None, repr=False)
    """Asked where the server wanted a password the last time, at most once."""
    asked: Callable[[], object] = field(default=lambda: None, repr=False)
    """Called for each request that was sent."""


def tokens_if_unchanged(
    source: Online, kept: Mapping[str, Kept], seconds: float = SECONDS
) -> dict[str, str] | None:
    """The tokens to keep from now on, by collection, where the source has nothing new.

    None where it has, or where that cannot be said for certain: then it is to be pulled. Nothing
    else is told, whatever went wrong: the pull finds it out and has the words for it.
    """
    try:
        if has_proxy() or not kept:
            return None
        return _Look(source, kept).within(min(seconds, SECONDS))
    except Exception:  # of whatever kind: the pull meets it again
        return None


def is_askable(source: Online, kept: Mapping[str, Kept]) -> bool:
    """Whether the tokens say what to ask; nobody is asked anything."""
    try:
        _Look(source, kept)
    except (Doubt, ValueError, LookupError, TypeError):
        return False
    return bool(kept)


class _Look:
    """One look at one source."""

    def __init__(self, source: Online, kept: Mapping[str, Kept]) -> None:
        self._source = source
        self._kept = kept
        self._tokens: dict[str, Any] = {name: json.loads(one.token) for name, one in kept.items()}
        ways = [one["look"] for one in self._tokens.values()]
        self._way = ways[0]
        self._address = _address(source)
        login = self._way["login"]
        if any(way != self._way for way in ways) or login not in {"none", "basic"}:
            raise Doubt
        self._has_login = login == "basic"
        if source.caldav:
            self._ask = self._caldav
            asked = len(self._way["listings"]) + len(kept)
            account = hashlib.sha256(f"{source.user}\n{self._address}".encode()).hexdigest()[:16]
            known = all(one["account"] == account for one in self._tokens.values())
            if asked > 2 * len(kept) or not known or self._way["choose"] != list(source.choose):
                raise Doubt
        else:
            self._ask = self._feed
            if len(kept) != 1:
                raise Doubt

    def within(self, seconds: float) -> dict[str, str] | None:
        """The look itself; None also where the time was up."""
        login = None
        if self._has_login:
            secret = self._source.password()
            if secret is None or not self._source.user:
                return None
            login = (self._source.user, secret)
        asking = Asking(self._address, login, seconds)
        try:
            return asking.in_time(lambda: self._ask(asking), seconds)
        finally:
            for _ in range(asking.sent):
                self._source.asked()

    def _caldav(self, asking: Asking) -> dict[str, str]:
        if any(one["pulls"] >= FULL_EVERY for one in self._tokens.values()):
            raise Doubt  # everything is to be compared again
        listed: list[Answered] = []
        for url, depth in self._way["listings"]:
            answers, _ = _multistatus(asking, "PROPFIND", url, str(int(depth)), _LISTING)
            listed += answers
        if listing_print(listed) != self._way["print"]:
            raise Doubt
        return {name: self._unmoved(asking, name, one) for name, one in self._tokens.items()}

    def _unmoved(self, asking: Asking, name: str, token: dict[str, Any]) -> str:
        """The next token of a calendar in which nothing has changed."""
        after = dict(token, pulls=token["pulls"] + 1)
        if token["works"] is True:
            answers, after["sync"] = _multistatus(
                asking, "REPORT", token["at"], "0", _SYNC.format(token=_text(token["sync"]))
            )
            if not after["sync"]:
                raise Doubt
        else:
            answers, _ = _multistatus(asking, "PROPFIND", token["at"], "1", _TAGS, most=MOST_LISTED)
        expected = {} if token["works"] is True and token["sync"] else self._kept[name].tags
        if _tags(answers, name) != expected or "" in expected.values():
            raise Doubt
        return json.dumps(after)

    def _feed(self, asking: Asking) -> dict[str, str]:
        ((name, token),) = self._tokens.items()
        if token["address"] != hashlib.sha256(self._address.encode()).hexdigest()[:16]:
            raise Doubt
        named = {"If-None-Match": token["etag"], "If-Modified-Since": token["modified"]}
        asked = {key: value for key, value in named.items() if value}
        tags = self._kept[name].tags
        headers = {"Accept": "text/calendar, */*;q=0.5", **asked}
        answer, content = asking.ask("GET", self._address, headers)
        if asked:
            same = answer.status == 304 and len(tags) == 1
        else:  # a server without dates and tags: its bytes themselves, if they are few
            new = answer.headers.get("ETag") or answer.headers.get("Last-Modified")
            digest = hashlib.sha256(content).hexdigest()
            same = answer.status == 200 and not new and list(tags.values()) == [digest]
        if not same:
            raise Doubt
        return {name: self._kept[name].token}


def _multistatus(
    asking: Asking, method: str, url: str, depth: str, body: str, most: int = MOST_BYTES
) -> tuple[list[Answered], str]:
    answer, content = asking.ask(method, url, {**_XML, "Depth": depth}, body.encode(), most)
    if answer.status != 207:
        raise Doubt
    return multistatus(content, url)


def _tags(answers: list[Answered], calendar: str) -> dict[str, str]:
    """The ETags of the objects; the calendar itself and collections in it are none."""
    return {
        one.name: one.props[f"{DAV}getetag"].text
        for one in answers
        if not (one.name.endswith("/") or one.is_a(f"{DAV}collection", CALENDAR))
        and one.name.rstrip("/") != calendar.rstrip("/")
    }


def _address(source: Online) -> str:
    """The address as `fetch` asks it: without a fragment, webcal by https first."""
    address = (source.caldav or source.url).strip()
    if source.caldav and "://" not in address:
        address = f"https://{address}"
    parts = urlsplit(address)
    if source.url and parts.scheme in {"webcal", "webcals"}:
        address = "https" + address[len(parts.scheme) :]
    return urlsplit(address)._replace(fragment="").geturl()


def _text(token: str) -> str:
    """Text in XML."""
    return token.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
