"""How changes of a calendar are found, on a real server seen through a relay that can meddle."""

from __future__ import annotations

import json
import re
from urllib.parse import quote

import pytest

from tests.fetch.kit import Copy, changed, component, gone, source, text
from tests.fetch.relayed import Relayed, kind, only
from tests.support.feeds import Answer, Behaviour, Exchange, answer, drip, reset, status
from tests.support.servers import PASSWORD, USER, CalDavServer
from weeksync.fetch.dav_pull import FULL_EVERY
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import KnownCollection

pytestmark = pytest.mark.server

REFUSED_TOKEN = b'<error xmlns="DAV:"><valid-sync-token/></error>'


def test_first_a_list_then_tokens(relayed: Relayed) -> None:
    """First pull: list and multiget. Later: sync for ETags alone; one change is one multiget."""
    relayed.copy = Copy()
    relayed.pull()
    assert relayed.kinds() == ["account", "list", "multiget"]
    relayed.pull()
    assert relayed.kinds() == ["account", "sync"]
    relayed.put("event-3", "Lesson 3 with a cello")
    pulled = relayed.pull()
    assert relayed.kinds() == ["account", "sync", "multiget"]
    assert len(changed(pulled)) == 1
    relayed.pull()
    assert relayed.kinds() == ["account", "sync"]


def test_no_sync_token_is_asked_for_in_listings(relayed: Relayed) -> None:
    """On one server it takes more than a minute to work it out."""
    relayed.copy = Copy()
    relayed.pull()
    assert all(b"sync-token" not in one.body for one in relayed.web.seen)


def test_objects_come_in_batches_of_200(relayed: Relayed) -> None:
    """More than that are asked for in several requests, and all arrive."""
    for number in range(210):
        relayed.put(f"more-{number}", f"Market day {number}")
    relayed.copy = Copy()
    relayed.pull()
    asked = [one.body.count(b":href>") // 2 for one in relayed.web.seen if b"multiget" in one.body]
    assert asked == [200, 16]
    assert len(relayed.copy.contents()) == 216


def test_neither_filter_nor_expansion_is_asked_of_the_server(relayed: Relayed) -> None:
    """Both were wrong on three of five servers; whole objects come and we expand them."""
    relayed.copy = Copy()
    relayed.pull()
    everything = b"".join(one.body for one in relayed.web.seen)
    assert not any(word in everything for word in (b"filter", b"expand", b"time-range", b"limit"))


@pytest.mark.parametrize(
    "refusal",
    [
        answer(REFUSED_TOKEN, 403, Content_Type="application/xml"),
        answer(REFUSED_TOKEN, 409, Content_Type="application/xml"),
        status(412),
        status(410),
        status(403),
        status(400),
        answer(REFUSED_TOKEN, 400, Content_Type="application/xml"),
        status(500),
        status(501),
        answer(b'<D:multistatus xmlns:D="DAV:"/>', 207),
        answer(b"<html><body>Bad request<br></body></html>", 200, Content_Type="text/html"),
    ],
    ids=[
        *("403", "409", "412", "410", "403 bare", "400", "400 with the word", "500", "501"),
        *("207 without a token", "200 that is a web page"),
    ],
)
def test_a_refused_token_leads_back_to_the_list(relayed: Relayed, refusal: Behaviour) -> None:
    """However a server refuses: deletions and changes since are found by the list of ETags."""
    relayed.put("event-1", "Lesson 1 moved")
    relayed.server.delete(f"{relayed.path}event-2.ics")
    relayed.meddle(only("sync", refusal))
    pulled = relayed.pull()
    assert relayed.kinds() == ["account", "sync", "list", "multiget"]
    assert gone(pulled) == [f"{relayed.path}event-2.ics"]
    assert len(changed(pulled)) == 1
    assert relayed.copy.contents() == relayed.contents()


def test_a_token_the_real_server_does_not_know(relayed: Relayed) -> None:
    """Radicale itself refuses it; the list takes over and what was deleted is found."""
    relayed.server.delete(f"{relayed.path}event-2.ics")
    have = relayed.copy.known[relayed.path]
    token = {**json.loads(have.token), "sync": "http://radicale.org/ns/sync/" + "0" * 64}
    relayed.copy.known[relayed.path] = KnownCollection(json.dumps(token), have.tags)
    pulled = relayed.pull()
    assert gone(pulled) == [f"{relayed.path}event-2.ics"]
    assert relayed.copy.contents() == relayed.contents()


def test_a_full_answer_without_a_word_is_noticed(relayed: Relayed) -> None:
    """A server that lost the token and lists everything says nothing of what is gone."""

    def forget(exchange: Exchange) -> None:
        exchange.body = re.sub(rb"(sync-token)>[^<]+<", rb"\1><", exchange.body)

    relayed.server.delete(f"{relayed.path}event-2.ics")
    relayed.meddle(lambda exchange: forget(exchange))
    pulled = relayed.pull()
    assert relayed.kinds() == ["account", "sync", "list"]
    assert gone(pulled) == [f"{relayed.path}event-2.ics"]


def test_an_answer_in_parts_is_read_to_its_end(relayed: Relayed) -> None:
    """RFC 6578, section 3.6: a 507 for the calendar itself says that there is more."""
    relayed.copy.known[relayed.path] = KnownCollection(
        json.dumps({**json.loads(relayed.copy.known[relayed.path].token), "sync": ""}),
        relayed.copy.known[relayed.path].tags,
    )
    relayed.server.delete(f"{relayed.path}event-0.ics")
    more = (
        f"<response><href>{relayed.path}</href>"
        "<status>HTTP/1.1 507 Insufficient Storage</status></response>"
    ).encode()

    def remember(exchange: Exchange) -> None:
        exchange.body = exchange.body.replace(b">page-2<", b"><")

    def halve(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) != "sync":
            return real
        parts = re.findall(rb"<response>.*?</response>", body, re.DOTALL)
        first = sum(b"sync-collection" in one.body for one in relayed.web.seen) == 1
        kept = [*parts[:3], more] if first else parts[3:]
        head, tail = body[: body.index(parts[0])], body[body.index(parts[-1]) + len(parts[-1]) :]
        if first:
            tail = re.sub(rb"(<sync-token>)[^<]*", rb"\1page-2", tail)
            head = re.sub(rb"(<sync-token>)[^<]*", rb"\1page-2", head)
        return code, headers, head + b"".join(kept) + tail

    relayed.meddle(lambda exchange: remember(exchange), halve)
    pulled = relayed.pull()
    assert relayed.kinds() == ["account", "sync", "sync"]
    assert gone(pulled) == [f"{relayed.path}event-0.ics"]
    assert changed(pulled) == []


def test_an_answer_in_parts_that_never_end_is_given_up(relayed: Relayed) -> None:
    """The same token again and again: the list takes over."""
    token = json.loads(relayed.copy.known[relayed.path].token)["sync"]
    endless = (
        f'<multistatus xmlns="DAV:"><response><href>{relayed.path}</href>'
        f"<status>HTTP/1.1 507 X</status></response><sync-token>{token}</sync-token></multistatus>"
    ).encode()
    relayed.meddle(only("sync", answer(endless, 207)))
    assert not relayed.pull().moved
    assert relayed.kinds() == ["account", "sync", "list"]


def test_a_slow_token_leads_back_to_the_list(relayed: Relayed) -> None:
    """A server that works on tokens for too long is given a second try, and then left with it.

    It is tried again when the whole list would be due.
    """
    slow = PullLimits(timeout_seconds=0.8, budget_seconds=20)
    relayed.put("event-1", "Lesson 1 moved")
    relayed.meddle(only("sync", drip(b"x" * 1000, 0.1)))
    assert len(changed(relayed.pull(slow))) == 1
    assert relayed.kinds() == ["account", "sync", "list", "multiget"]
    relayed.pull(slow)
    assert relayed.kinds() == ["account", "sync", "list"]
    relayed.meddle()
    kinds = []
    for _ in range(FULL_EVERY + 2):
        relayed.pull()
        kinds.append(relayed.kinds()[1])
    assert kinds == ["list"] * (FULL_EVERY + 1) + ["sync"]


def test_the_whole_list_is_compared_now_and_then(relayed: Relayed) -> None:
    """Whatever the token says: after that many pulls by token the list is asked for."""
    kinds = []
    for _ in range(FULL_EVERY + 1):
        relayed.pull()
        kinds.append(relayed.kinds()[1])
    assert kinds.count("list") == 1
    assert kinds.count("sync") == FULL_EVERY
    relayed.pull()
    assert relayed.kinds() == ["account", "sync"], "the token is still good after it"


def test_a_change_that_the_token_hides_is_found_by_the_list(relayed: Relayed) -> None:
    """A server that loses changes between two tokens: they arrive all the same, later."""
    token = json.loads(relayed.copy.known[relayed.path].token)["sync"]
    nothing = f'<multistatus xmlns="DAV:"><sync-token>{token}</sync-token></multistatus>'.encode()
    relayed.put("event-1", "Lesson 1 moved")
    relayed.meddle(only("sync", answer(nothing, 207)))
    for _ in range(FULL_EVERY):
        relayed.pull()
    assert relayed.copy.contents() == relayed.contents()


def test_without_a_token_what_is_known_is_compared_with_the_list(relayed: Relayed) -> None:
    """As after the state was made anew: what the server has no more is gone, at once."""
    relayed.server.delete(f"{relayed.path}event-2.ics")
    relayed.copy.known = {
        name: KnownCollection("", one.tags) for name, one in relayed.copy.known.items()
    }
    pulled = relayed.pull()
    assert gone(pulled) == [f"{relayed.path}event-2.ics"]
    assert relayed.copy.contents() == relayed.contents()


def test_after_another_address_everything_is_new(
    relayed: Relayed, radicale_server: CalDavServer
) -> None:
    """Tokens and tags of one server are never shown to another, even for the same path."""
    direct = source(
        caldav=radicale_server.url.rstrip("/") + relayed.path, user=USER, password=PASSWORD
    )
    pulled = relayed.copy.pull(direct)
    assert len(changed(pulled)) == 6


@pytest.mark.parametrize(
    "name", ["with space", "ümlaut", "ines@example.org", "100%", "a+b", ";x=1 & co"]
)
def test_names_are_the_same_however_they_are_written(relayed: Relayed, name: str) -> None:
    """A server writes `@` and `%40` from answer to answer: it stays one object."""
    content = text(component("event", "odd", "An odd name"))
    relayed.server.put(f"{relayed.path}{quote(name)}.ics", content)

    def respell(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == "multiget":
            body = body.replace(b"%40", b"@").replace(b"%2B", b"+")
        else:
            body = body.replace(b"@", b"%40").replace(b"+", b"%2B")
        return code, headers, body

    relayed.meddle(edit=respell)
    assert len(changed(relayed.pull())) == 1
    assert not relayed.pull().moved
    assert len(relayed.copy.objects[relayed.path]) == 7


def test_a_connection_that_was_dropped_is_made_anew(relayed: Relayed) -> None:
    """Some servers close kept-alive connections without a word."""
    dropped: list[str] = []

    def once(exchange: Exchange) -> Behaviour | None:
        what = kind(exchange.method, exchange.body)
        if what in dropped:
            return None
        dropped.append(what)
        return reset

    relayed.copy = Copy()
    relayed.meddle(once)
    relayed.pull()
    assert {"account", "list", "multiget"} <= set(dropped)
    assert relayed.copy.contents() == relayed.contents()
