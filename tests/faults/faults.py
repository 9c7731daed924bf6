"""The list of faults, and how each is played to each kind of source; where it cannot be, why.

`FAULTS` is what the tests go through and the table is made from. A fault that does no harm is
marked `taken`: then the calendar must be fresh in spite of it.
"""

from __future__ import annotations

import gzip
import os
import re
import socket
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from unittest.mock import patch

from tests.faults import many
from tests.faults.home import SECRET_PATH, Home, Kind, event, text
from tests.support.feeds import (
    Answer,
    Behaviour,
    Exchange,
    answer,
    bomb,
    broken_gzip,
    drip,
    drip_head,
    endless,
    hang,
    redirect,
    relay,
    reset,
    status,
    web_server,
)
from tests.support.servers import free_port

Playing = Callable[[Home, Kind], AbstractContextManager[None]]


@dataclass(frozen=True)
class Play:
    """How a fault is played; `taken`: the calendar is fresh all the same."""

    begin: Playing
    taken: bool = False
    how: str = ""
    """What is special about it, for the table."""


@dataclass(frozen=True)
class Fault:
    """A fault by name: a play for each kind it can happen to, and for the others why it cannot."""

    name: str
    plays: Mapping[Kind, Play]
    never: Mapping[Kind, str] = field(default_factory=dict)
    large: bool = False
    """It leaves so much behind that it gets a household of its own."""


WEB = (Kind.FEED, Kind.ACCOUNT, Kind.CALENDAR)
SERVER = (Kind.ACCOUNT, Kind.CALENDAR)
DISK = "a file is read from the disk: there is no name, connection, header or status"
SAME_WAY = "it fares as its account does"
FORMAT = "its text is iCalendar, never XML: see HTML"
HTML = b"<!DOCTYPE html>\n<html><body>Please sign in: secret-of-a-file-7</body></html>"
SMALL = 1
"""Seconds of time-out where an answer never ends."""


# How a fault is played ----------------------------------------------------------------------


def behaves(behaviour: Behaviour, *, taken: bool = False, seconds: int = 0, how: str = "") -> Play:
    """Each answer is this one."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        if seconds:
            home.seconds = seconds
            home.configure()
        home.answers(kind, behaviour)
        yield

    return Play(begin, taken, how)


def edits(edit: Callable[[Exchange, Answer], Answer], *, taken: bool = False) -> Play:
    """Each good answer is changed on its way."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        home.changes(kind, edit)
        yield

    return Play(begin, taken)


def body(change: Callable[[bytes], bytes], *, taken: bool = False, **headers: str) -> Play:
    """The body of each good answer is changed, and perhaps headers."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return edits(lambda _, real: (real[0], {**real[1], **named}, change(real[2])), taken=taken)


def writes(content: Callable[[Home], bytes], *, taken: bool = False) -> Play:
    """The file holds this."""

    @contextmanager
    def begin(home: Home, _: Kind) -> Iterator[None]:
        (home.folder / "kitchen.ics").write_bytes(content(home))
        yield

    return Play(begin, taken)


def looks_up(number: int) -> Play:
    """The name of the server is not resolved (RFC 3493, section 6.1)."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        real = socket.getaddrinfo
        _elsewhere(home, kind, "http://calendars.example.org/")

        def look_up(host: object, *more: object, **named: object) -> object:
            if host in {"calendars.example.org", b"calendars.example.org"}:
                raise socket.gaierror(number, "not found")
            return real(host, *more, **named)  # type: ignore[arg-type]

        with patch("socket.getaddrinfo", look_up):
            yield

    return Play(begin)


def _elsewhere(home: Home, kind: Kind, url: str) -> None:
    home.addresses["feed" if kind is Kind.FEED else "account"] = url
    home.configure()


@contextmanager
def _nobody(home: Home, kind: Kind) -> Iterator[None]:
    _elsewhere(home, kind, f"http://127.0.0.1:{free_port()}/")
    yield


@contextmanager
def _untrusted(home: Home, kind: Kind) -> Iterator[None]:
    with web_server(tls=True) as other:
        _elsewhere(home, kind, f"{other.url}/")
        yield
        assert other.seen == [], "something was sent to a server that is not trusted"


@contextmanager
def _no_tls(home: Home, kind: Kind) -> Iterator[None]:
    _elsewhere(home, kind, f"https://127.0.0.1:{home.web.server_address[1]}/")
    yield


def moved(code: int) -> Play:
    """Everything is at another address of the same server now, and that is said."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        if kind is Kind.FEED:
            home.web[SECRET_PATH] = redirect("/moved.ics", code)
            home.web["/moved.ics"] = home.feed_answer()
        else:
            onward = relay(home.server.url)

            def behave(exchange: Exchange) -> None:
                path = exchange.path
                if path.startswith("/moved/"):
                    exchange.path = path.removeprefix("/moved")
                    onward(exchange)
                elif path.startswith("/" if kind is Kind.ACCOUNT else home.calendars["Club"]):
                    exchange.answer(code, b"", {"Location": f"/moved{path}"})
                else:
                    onward(exchange)

            home.web.other = behave
        yield

    return Play(begin, taken=True)


@contextmanager
def _to_another_server(home: Home, kind: Kind) -> Iterator[None]:
    with web_server() as other:
        other.other = status(401, WWW_Authenticate='Basic realm="elsewhere"')
        home.answers(kind, redirect(f"{other.url}/calendar"))
        yield
        assert other.seen, "the redirect was not followed at all"
        assert not any(one.headers["Authorization"] for one in other.seen)


def of_length(change: int) -> Play:
    """The header says so many bytes more than come; less than 0: fewer."""

    def edit(exchange: Exchange, real: Answer) -> Answer:
        exchange.keep_open = False
        return real[0], {**real[1], "Content-Length": str(len(real[2]) + change)}, real[2]

    return edits(edit)


def _latin(content: bytes) -> bytes:
    return content.decode().encode("latin-1", "replace")


def _half(content: bytes) -> bytes:
    return content[: len(content) // 2]


@contextmanager
def _missing(home: Home, _: Kind) -> Iterator[None]:
    (home.folder / "kitchen.ics").unlink()
    yield


@contextmanager
def _pipe(home: Home, _: Kind) -> Iterator[None]:
    file = home.folder / "kitchen.ics"
    file.unlink()
    os.mkfifo(file)
    yield
    file.unlink()


@contextmanager
def _empty_calendar(home: Home, kind: Kind) -> Iterator[None]:
    if kind is Kind.FILE:
        (home.folder / "kitchen.ics").write_bytes(text())
    elif kind is Kind.FEED:
        home.web[SECRET_PATH] = home.feed_answer(text())
    else:
        chosen = ["Home", "Club"] if kind is Kind.ACCOUNT else ["Club"]
        for word in chosen:
            home.server.delete(f"{home.calendars[word]}{word}.ics")
    yield


def _external(home: Home) -> bytes:
    """Entities that would fetch an address and a file (XML 1.0, section 4.2.2)."""
    return (
        b'<?xml version="1.0"?><!DOCTYPE m [<!ENTITY f SYSTEM "'
        + f"{home.web.url}/fetched".encode()
        + b'"><!ENTITY p SYSTEM "file:///etc/hostname">]><D:multistatus xmlns:D="DAV:">'
        b"<D:response><D:href>&f;&p;</D:href></D:response></D:multistatus>"
    )


@contextmanager
def _entities(home: Home, kind: Kind) -> Iterator[None]:
    home.answers(kind, answer(_external(home), 207))
    yield
    assert home.web.at("/fetched") == [], "an entity was resolved"


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
"""Entities of entities of entities: two gigabytes, were they written out."""


def on_report(word: bytes, behaviour: Behaviour, *, taken: bool, least: int = 0) -> Play:
    """The answer to each REPORT of that name, where it asks for more than `least` objects."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        for number in range(3):
            for calendar in home.calendars:
                path = f"{home.calendars[calendar]}more-{number}.ics"
                home.server.put(path, text(event(f"More {number}", f"{calendar}-{number}")))
        begins = "/" if kind is Kind.ACCOUNT else home.calendars["Club"]

        def instead(exchange: Exchange) -> Behaviour | None:
            asked = len(re.findall(rb":href>", exchange.body)) // 2
            mine = exchange.path.startswith(begins) and word in exchange.body
            return behaviour if mine and (not least or asked > least) else None

        home.web.other = relay(home.server.url, instead=instead)
        yield
        for number in range(3):
            for calendar in home.calendars:
                home.server.delete(f"{home.calendars[calendar]}more-{number}.ics")

    return Play(begin, taken)


# The list -----------------------------------------------------------------------------------


def _on_web(
    name: str, play: Play, *, kinds: tuple[Kind, ...] = WEB, file: Play | None = None
) -> Fault:
    plays = dict.fromkeys(kinds, play)
    never = {kind: SAME_WAY for kind in WEB if kind not in kinds}
    if file is None:
        never[Kind.FILE] = DISK
    else:
        plays[Kind.FILE] = file
    return Fault(name, plays, never)


_LINE = (Kind.FEED, Kind.ACCOUNT)
"""Where the calendar of an account fares as the account does."""
_REFUSED_TOKEN = b'<D:error xmlns:D="DAV:"><D:valid-sync-token/></D:error>'

FAULTS: tuple[Fault, ...] = (
    _on_web("DNS: no host of that name", looks_up(socket.EAI_NONAME), kinds=_LINE),
    _on_web("DNS: the name cannot be looked up", looks_up(socket.EAI_AGAIN), kinds=_LINE),
    _on_web("connection refused", Play(_nobody), kinds=_LINE),
    _on_web("connection reset", behaves(reset)),
    _on_web("TLS: a certificate that is not trusted", Play(_untrusted), kinds=_LINE),
    _on_web("TLS: none where https is meant", Play(_no_tls), kinds=_LINE),
    _on_web("time-out: no byte comes", behaves(hang, seconds=SMALL), file=Play(_pipe)),
    _on_web("slow drip", behaves(drip(b" " * 4096, 0.05), seconds=SMALL), kinds=_LINE),
    _on_web("slow drip of headers", behaves(drip_head(0.05), seconds=SMALL), kinds=_LINE),
    _on_web("301", moved(301)),
    _on_web("302", moved(302), kinds=_LINE),
    _on_web("307", moved(307), kinds=_LINE),
    _on_web("308", moved(308), kinds=_LINE),
    _on_web(
        "302 to another server that asks for the password", Play(_to_another_server), kinds=_LINE
    ),
    _on_web("302 without end", behaves(redirect(SECRET_PATH)), kinds=_LINE),
    _on_web("401", behaves(status(401, WWW_Authenticate='Basic realm="x"'))),
    _on_web("403", behaves(status(403))),
    _on_web("404", behaves(status(404)), file=Play(_missing, how="the file is not there")),
    _on_web("410", behaves(status(410))),
    _on_web("412", behaves(status(412))),
    _on_web("429", behaves(status(429)), kinds=_LINE),
    _on_web(
        "429 with a Retry-After of two days",
        behaves(status(429, Retry_After="172800")),
        kinds=_LINE,
    ),
    _on_web("500", behaves(status(500))),
    _on_web("502", behaves(status(502)), kinds=_LINE),
    _on_web("503", behaves(status(503))),
    _on_web("507", behaves(status(507))),
    _on_web("HTML", behaves(answer(HTML, Content_Type="text/html")), file=writes(lambda _: HTML)),
    _on_web("empty", behaves(answer(b"")), file=writes(lambda _: b"")),
    _on_web("truncated", body(_half), file=writes(lambda home: _half(text(event("Half"))))),
    Fault(
        "wrong charset: Latin-1 that is called UTF-8",
        {
            Kind.FEED: body(_latin, taken=True, Content_Type="text/calendar; charset=utf-8"),
            Kind.ACCOUNT: body(_latin, Content_Type="text/xml; charset=utf-8"),
            Kind.FILE: writes(lambda home: _latin(text(event(home.title("Kitchen")))), taken=True),
        },
        {Kind.CALENDAR: SAME_WAY},
    ),
    _on_web(
        "wrong charset: UTF-8 that is called Latin-1",
        body(lambda real: real, taken=True, Content_Type="text/calendar; charset=iso-8859-1"),
        kinds=_LINE,
    ),
    _on_web("wrong length: more is said than comes", of_length(100), kinds=_LINE),
    _on_web("wrong length: less is said than comes", of_length(-100), kinds=_LINE),
    _on_web(
        "gzip bomb",
        behaves(bomb(40)),
        kinds=_LINE,
        file=writes(lambda _: gzip.compress(bytes(40 << 20))),
    ),
    _on_web("gzip that is none", behaves(broken_gzip(text(event("Piano")))), kinds=_LINE),
    _on_web(
        "an answer without end",
        behaves(endless),
        kinds=_LINE,
        file=writes(lambda _: text(event("x" * (5 << 20)))),
    ),
    Fault(
        "XML bomb",
        {kind: behaves(answer(LAUGHS, 207)) for kind in _LINE},
        {Kind.FILE: FORMAT, Kind.CALENDAR: SAME_WAY},
    ),
    Fault(
        "XML with external entities",
        {kind: Play(_entities) for kind in _LINE},
        {Kind.FILE: FORMAT, Kind.CALENDAR: SAME_WAY},
    ),
    Fault(
        "a sync-token that is refused",
        {
            kind: on_report(b"sync-collection", answer(_REFUSED_TOKEN, 403), taken=True)
            for kind in SERVER
        },
        {Kind.FILE: "it has no token", Kind.FEED: "its ETag is compared by the server: 200 or 304"},
    ),
    Fault(
        "507 for many objects at once",
        {
            kind: on_report(b"calendar-multiget", status(507), taken=True, least=2)
            for kind in SERVER
        },
        {Kind.FILE: "it is read whole", Kind.FEED: "it comes whole: see 507"},
    ),
    Fault(
        "10,000 objects",
        dict.fromkeys((Kind.FILE, Kind.FEED, Kind.CALENDAR), Play(many.objects, taken=True)),
        {Kind.ACCOUNT: "its calendars are pulled one by one"},
        large=True,
    ),
    Fault("a calendar that is suddenly empty", dict.fromkeys(Kind, Play(_empty_calendar))),
)
"""Every fault between us and a source."""


def by_name(name: str) -> Fault:
    """The fault of that name."""
    return next(one for one in FAULTS if one.name == name)
