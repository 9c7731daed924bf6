"""Every way a CalDAV server can fail, in each of its answers: what is known stays good."""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.fetch.kit import Copy, changed, gone
from tests.fetch.relayed import Relayed, kind, only
from tests.fetch.test_feed_faults import everything
from tests.support.feeds import (
    Answer,
    Behaviour,
    Exchange,
    answer,
    bomb,
    broken_gzip,
    cut,
    endless,
    hang,
    reset,
    status,
)
from tests.support.servers import PASSWORD
from weeksync.errors import (
    SourceBusy,
    SourceError,
    SourceMissing,
    SourceRefused,
    SourceUnreachable,
    SourceUnusable,
)
from weeksync.model.limits import PullLimits
from weeksync.model.problem import ProblemKind

pytestmark = pytest.mark.server

CAPPED = PullLimits(timeout_seconds=20.0, budget_seconds=60.0, max_bytes=300_000)
SHORT = PullLimits(timeout_seconds=1.5, budget_seconds=60.0, max_bytes=300_000)
HTML = b"<!DOCTYPE html><html><body>Please sign in<br></body></html>"
XML = (
    b'<?xml version="1.0"?><D:multistatus xmlns:D="DAV:"><D:response><D:href>/x/</D:href>'
    b"<D:propstat><D:prop/><D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response>"
    b"</D:multistatus>"
)
LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE m [<!ENTITY a "'
    + b"ha" * 1000
    + b'"><!ENTITY b "'
    + b"&a;" * 1000
    + b'"><!ENTITY c "'
    + b"&b;" * 1000
    + b'">]><D:multistatus xmlns:D="DAV:" x="&c;"><D:response><D:href>&c;</D:href>'
    b"</D:response></D:multistatus>"
)

FAULTS = [
    pytest.param(answer(HTML, 200, Content_Type="text/html"), SourceUnusable, id="HTML by 200"),
    pytest.param(answer(HTML, 207, Content_Type="text/xml"), SourceUnusable, id="HTML by 207"),
    pytest.param(answer(b"", 207), SourceUnusable, id="empty 207"),
    pytest.param(answer(b"", 200), SourceUnusable, id="empty 200"),
    pytest.param(answer(XML[:-30], 207), SourceUnusable, id="cut XML"),
    pytest.param(cut(XML, 60), SourceUnusable, id="cut body"),
    pytest.param(broken_gzip(XML), SourceUnusable, id="no gzip"),
    pytest.param(broken_gzip(XML * 50, 0.5), SourceUnusable, id="half a gzip"),
    pytest.param(answer(LAUGHS, 207), SourceUnusable, id="entities"),
    pytest.param(status(401), SourceRefused, id="401"),
    pytest.param(status(503, Retry_After="86400"), SourceBusy, id="503"),
    pytest.param(status(429, Retry_After="86400"), SourceBusy, id="429"),
    pytest.param(hang, SourceUnreachable, id="hang"),
    pytest.param(reset, SourceUnreachable, id="reset"),
]


LARGE = [
    pytest.param(bomb(20), SourceUnusable, id="bomb"),
    pytest.param(endless, SourceUnusable, id="endless"),
]
CASES = [
    pytest.param(stage, *fault.values, id=f"{stage}: {fault.id}")
    for stage, faults in (
        ("account", FAULTS + LARGE),
        ("list", FAULTS + LARGE),
        ("multiget", FAULTS),  # one that is too large is made smaller, see below
    )
    for fault in faults
]


@pytest.mark.parametrize(("stage", "behaviour", "error"), CASES)
def test_a_fault_refuses_the_whole_pull_and_gives_nothing_away(
    relayed: Relayed,
    stage: str,
    behaviour: Behaviour,
    error: type[SourceError],
    caplog: pytest.LogCaptureFixture,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """In whichever answer it is: an error soon, no secret, no calendar text, and a good copy."""
    relayed.put("event-1", "Lesson 1 moved to the Zinnia room")
    before = dict(relayed.copy.known)
    refused_token = status(403)
    faulty = only(stage, behaviour)
    no_token = only("sync", refused_token)
    relayed.meddle(lambda exchange: faulty(exchange) or no_token(exchange))
    caplog.set_level(logging.DEBUG)
    for name in ("caldav", "caldav.response", "urllib3", "urllib3.connectionpool"):
        caplog.set_level(logging.DEBUG, logger=name)
    begun = time.monotonic()
    with pytest.raises(SourceError) as caught:
        relayed.pull(SHORT if behaviour is hang else CAPPED)
    assert type(caught.value) is error
    assert time.monotonic() - begun < 20
    output = capfd.readouterr()
    shown = everything(caught.value) + caplog.text + output.out + output.err
    for secret in (PASSWORD, "aW5lczpm", "Zinnia", "Please sign in"):
        assert secret not in shown
    relayed.meddle()
    assert relayed.copy.known == before
    relayed.pull()
    assert relayed.copy.contents() == relayed.contents()


def test_a_good_pull_logs_neither_secrets_nor_calendar_text(
    relayed: Relayed, caplog: pytest.LogCaptureFixture
) -> None:
    """The libraries would log all of it."""
    relayed.copy = Copy()
    caplog.set_level(logging.DEBUG)
    for name in ("caldav", "caldav.response", "urllib3", "urllib3.connectionpool"):
        caplog.set_level(logging.DEBUG, logger=name)
    relayed.pull()
    assert "Lesson" not in caplog.text
    assert PASSWORD not in caplog.text


def _asked(exchange: Exchange) -> int:
    return exchange.body.count(b":href>") // 2


@pytest.mark.parametrize("code", [413, 507, 501, 500])
def test_a_multiget_that_is_too_much_is_made_smaller(relayed: Relayed, code: int) -> None:
    """Six at once are refused, three are not: all of them come, in two requests more."""

    def at_most_three(exchange: Exchange) -> Behaviour | None:
        many = kind(exchange.method, exchange.body) == "multiget" and _asked(exchange) > 3
        return status(code) if many else None

    relayed.copy = Copy()
    relayed.meddle(at_most_three)
    pulled = relayed.pull()
    assert relayed.kinds() == ["account", "list", "multiget", "multiget", "multiget"]
    assert pulled.problems == ()
    assert relayed.copy.contents() == relayed.contents()


@pytest.mark.parametrize("code", [403, 405, 501])
def test_without_multiget_objects_are_got_one_by_one(relayed: Relayed, code: int) -> None:
    """A server that has no calendar-multiget hands everything out by GET."""
    relayed.copy = Copy()
    relayed.meddle(only("multiget", status(code)))
    relayed.pull()
    assert relayed.kinds().count("get") == 6
    assert relayed.copy.contents() == relayed.contents()


def test_connections_that_the_server_closes_do_not_pile_up(relayed: Relayed) -> None:
    """One connection per answer, as some servers do: no more stay open than a few."""
    for number in range(40):
        relayed.put(f"more-{number}", f"Market day {number}")
    open_ones: list[int] = []

    def one_by_one(exchange: Exchange) -> Behaviour | None:
        open_ones.append(len(list(Path("/proc/self/fd").iterdir())))
        exchange.keep_open = False
        return status(501) if kind(exchange.method, exchange.body) == "multiget" else None

    relayed.copy = Copy()
    relayed.meddle(one_by_one)
    relayed.pull()
    assert relayed.kinds().count("get") == 46
    assert max(open_ones) - open_ones[0] < 40
    assert relayed.copy.contents() == relayed.contents()


def test_what_a_multiget_leaves_out_is_got_by_itself(relayed: Relayed) -> None:
    """Missing is asked for minus returned: left out in silence is not gone."""

    def leave_out(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == "multiget":
            parts = re.findall(rb"<response>.*?</response>", body, re.DOTALL)
            body = body.replace(parts[0], b"").replace(parts[4], b"")
        return code, headers, body

    relayed.copy = Copy()
    relayed.meddle(edit=leave_out)
    pulled = relayed.pull()
    assert relayed.kinds().count("get") == 2
    assert len(changed(pulled)) == 6
    assert relayed.copy.contents() == relayed.contents()


def test_what_vanishes_between_list_and_multiget_is_gone(relayed: Relayed) -> None:
    """Deleted while we pull: the server says 404 for it, and the others come."""

    def delete_first(exchange: Exchange) -> None:
        if kind(exchange.method, exchange.body) == "multiget":
            relayed.server.delete(f"{relayed.path}event-1.ics")

    relayed.put("event-1", "Lesson 1 moved")
    relayed.put("event-2", "Lesson 2 moved")
    relayed.meddle(lambda exchange: delete_first(exchange))
    pulled = relayed.pull()
    assert gone(pulled) == [f"{relayed.path}event-1.ics"]
    assert len(changed(pulled)) == 1
    assert pulled.problems == ()


def _without(name: bytes, edit: Callable[[bytes], bytes]) -> Callable[[Exchange, Answer], Answer]:
    """An edit of the one response that is about `name`, in a multiget, and of its GET."""

    def meddle(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        what = kind(exchange.method, exchange.body)
        if what == "get" and name in exchange.path.encode():
            return code, headers, edit(body)
        if what == "multiget":
            for part in re.findall(rb"<response>.*?</response>", body, re.DOTALL):
                if name in part:
                    body = body.replace(part, edit(part))
        return code, headers, body

    return meddle


def test_a_broken_object_is_that_object_only(relayed: Relayed) -> None:
    """Its last good copy stays, it is named, and it comes when it is whole again."""
    relayed.put("event-1", "Lesson 1 moved")
    relayed.put("event-2", "Lesson 2 moved")
    before = relayed.copy.objects[relayed.path][f"{relayed.path}event-1.ics"]
    relayed.meddle(edit=_without(b"event-1.ics", lambda one: one.replace(b"END:VCALENDAR", b"")))
    pulled = relayed.pull()
    (problem,) = pulled.problems
    assert problem.kind is ProblemKind.OBJECT
    assert problem.place.source == "family"
    assert "event-1.ics" in str(problem)
    assert len(changed(pulled)) == 1
    assert gone(pulled) == []
    assert relayed.copy.objects[relayed.path][f"{relayed.path}event-1.ics"] == before


def test_an_object_that_the_server_cannot_hand_out_is_that_object_only(relayed: Relayed) -> None:
    """500 for every multiget with it and for its GET: the others still come."""

    def chokes(exchange: Exchange) -> Behaviour | None:
        asked = exchange.body + exchange.path.encode()
        what = kind(exchange.method, exchange.body)
        return status(500) if what in {"multiget", "get"} and b"event-4.ics" in asked else None

    relayed.copy = Copy()
    relayed.meddle(chokes)
    pulled = relayed.pull()
    assert len(changed(pulled)) == 5
    (problem,) = pulled.problems
    assert "event-4.ics" in str(problem)


def test_a_server_that_fails_for_every_object_is_left_alone(relayed: Relayed) -> None:
    """Not the objects but the server: after three in a row it is given time."""
    relayed.copy = Copy()
    relayed.meddle(
        lambda exchange: (
            status(500) if kind(exchange.method, exchange.body) in {"multiget", "get"} else None
        )
    )
    with pytest.raises(SourceBusy):
        relayed.pull()
    assert relayed.kinds().count("get") == 3


@pytest.mark.parametrize("stage", ["list", "multiget"])
def test_a_property_that_failed_does_not_take_the_others_along(
    relayed: Relayed, stage: str
) -> None:
    """A propstat with 500 beside good ones: that object keeps its copy, the others count."""
    first = f"{relayed.path}event-0.ics".encode()

    def fail_one(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == stage:
            for part in re.findall(rb"<response>.*?</response>", body, re.DOTALL):
                if first in part:
                    body = body.replace(part, part.replace(b" 200 OK", b" 500 Broken"))
        return code, headers, body

    for number in range(3):
        relayed.put(f"event-{number}", f"Lesson {number} moved")
    no_token = only("sync", status(403))
    relayed.meddle(
        lambda exchange: status(403) if exchange.method == "GET" else no_token(exchange),
        fail_one,
    )
    pulled = relayed.pull()
    assert len(changed(pulled)) == 2
    assert gone(pulled) == []
    assert len(pulled.problems) == 1
    assert len(relayed.copy.objects[relayed.path]) == 6


def test_a_list_that_was_cut_short_shows_nothing_to_be_gone(relayed: Relayed) -> None:
    """507 for the calendar itself inside of the 207: not a complete list."""

    def short(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == "list":
            parts = re.findall(rb"<response>.*?</response>", body, re.DOTALL)
            for part in parts[3:]:
                body = body.replace(part, b"")
            own = next(one for one in parts if f">{relayed.path}<".encode() in one)
            full = (
                f"<response><href>{relayed.path}</href><status>HTTP/1.1 507 X</status></response>"
            )
            body = body.replace(own, b"").replace(b"</multistatus>", b"") + full.encode()
            body += b"</multistatus>"
        return code, headers, body

    relayed.meddle(only("sync", status(403)), short)
    with pytest.raises(SourceUnusable):
        relayed.pull()
    assert len(relayed.copy.objects[relayed.path]) == 6


def test_an_object_of_over_ten_megabytes_is_taken(relayed: Relayed) -> None:
    """XML readers refuse such a text unless they are told otherwise."""
    large = b"X" * 11_000_000

    def swell(one: bytes) -> bytes:
        return one.replace(b"SUMMARY:", b"X-LONG:" + large + b"\r\nSUMMARY:")

    relayed.put("event-1", "Lesson 1 with a long note")
    relayed.put("event-2", "Lesson 2 moved")
    relayed.meddle(edit=_without(b"event-1.ics", swell))
    pulled = relayed.pull()
    assert sorted(len(one) > 10_000_000 for one in changed(pulled)) == [False, True]
    assert pulled.problems == ()


def test_an_entity_of_a_document_type_is_not_resolved(relayed: Relayed) -> None:
    """Neither a local file nor another address is read because an answer says so."""
    evil = (
        b'<?xml version="1.0"?><!DOCTYPE m [<!ENTITY f SYSTEM "'
        + f"{relayed.web.url}/fetched".encode()
        + b'"><!ENTITY p SYSTEM "file:///etc/hostname">]>'
        b'<D:multistatus xmlns:D="DAV:"><D:response><D:href>&f;&p;</D:href></D:response>'
        b"</D:multistatus>"
    )
    relayed.meddle(lambda _: answer(evil, 207))
    with pytest.raises(SourceError):
        relayed.pull()
    assert relayed.web.at("/fetched") == []


@pytest.mark.parametrize("too_large", [bomb(20), endless], ids=["bomb", "endless"])
def test_a_multiget_over_the_cap_is_made_smaller(relayed: Relayed, too_large: Behaviour) -> None:
    """As if the server had said 507: in the end each object by itself, within its own cap."""
    relayed.copy = Copy()
    relayed.meddle(only("multiget", too_large))
    relayed.pull(CAPPED)
    assert relayed.copy.contents() == relayed.contents()


def test_an_account_that_hands_out_nothing_at_all_is_an_error(relayed: Relayed) -> None:
    """With every calendar refused and none known there is nothing to show."""
    relayed.copy = Copy()
    relayed.meddle(only("list", status(403)))
    with pytest.raises(SourceRefused):
        relayed.pull()


def test_the_calendar_itself_deleted_while_we_pull_is_missing(relayed: Relayed) -> None:
    """For an address of one calendar there is no list to be left out of."""
    gone_already = False

    def delete_it(exchange: Exchange) -> None:
        nonlocal gone_already
        if kind(exchange.method, exchange.body) == "sync" and not gone_already:
            gone_already = True
            relayed.server.delete(relayed.path)

    relayed.meddle(lambda exchange: delete_it(exchange))
    with pytest.raises(SourceMissing):
        relayed.pull()
    relayed.server.make_calendar(relayed.path.strip("/").rpartition("/")[2], title="Family")
