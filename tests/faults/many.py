"""Calendars of 10,000 objects, by feed and by CalDAV."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from tests.faults.home import SECRET_PATH, Home, Kind, event, text
from tests.support.feeds import Behaviour, Exchange, relay

MANY = 10_000
CALDAV = "urn:ietf:params:xml:ns:caldav"


@contextmanager
def objects(home: Home, kind: Kind) -> Iterator[None]:
    """Beside the event that is there, 10,000 more; the server says 10,000 objects of one each."""
    old = [event(f"Old {number}", f"old-{number}", "20200102") for number in range(MANY)]
    if kind is Kind.FEED:
        home.web[SECRET_PATH] = home.feed_answer(text(event(home.title("School")), *old))
    else:
        words = home.calendars if kind is Kind.ACCOUNT else {"Club": home.calendars["Club"]}
        whole = {path: _calendar(path, home.title(word), old) for word, path in words.items()}
        home.web.other = relay(
            home.server.url, instead=lambda one: _answer(whole, one) if one.path in whole else None
        )
    yield


def _calendar(path: str, title: str, old: list[str]) -> dict[str, bytes]:
    """Path → text of every object."""
    word = title.split()[0]
    its = {f"{path}old-{number}.ics": text(one) for number, one in enumerate(old)}
    return {f"{path}{word}.ics": text(event(title)), **its}


def _answer(whole: dict[str, dict[str, bytes]], exchange: Exchange) -> Behaviour | None:
    """A list of ETags, or the objects that are asked for (RFC 4791, section 7.9)."""
    its = whole[exchange.path]
    if b"sync-collection" in exchange.body:
        return lambda one: one.answer(403)
    if b"calendar-multiget" in exchange.body:
        asked = re.findall(r":href>(/[^<]+)<", exchange.body.decode())
        parts = [_response(path, its[path]) for path in asked]
    elif exchange.headers["Depth"] == "1":
        parts = [_response(path, None) for path in its]
    else:
        return None
    body = f'<multistatus xmlns="DAV:" xmlns:c="{CALDAV}">{"".join(parts)}</multistatus>'.encode()
    return lambda one: one.answer(207, body, {"Content-Type": "text/xml"})


def _response(path: str, content: bytes | None) -> str:
    data = ""
    if content is not None:
        data = f"<c:calendar-data>{content.decode()}</c:calendar-data>"
    return (
        f"<response><href>{path}</href><propstat><prop><getetag>&quot;many&quot;</getetag>{data}"
        "<resourcetype/></prop><status>HTTP/1.1 200 OK</status></propstat></response>"
    )
