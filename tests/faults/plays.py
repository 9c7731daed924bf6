"""How a fault is played to a source: by another answer, a changed one, another address or file.

A fault that does no harm is marked `taken`: then the calendar must be fresh in spite of it.
"""

from __future__ import annotations

import os
import re
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from email.utils import formatdate
from unittest.mock import patch

from tests.faults.home import SECRET_PATH, Home, Kind, event, text
from tests.support.feeds import (
    Answer,
    Behaviour,
    Exchange,
    answer,
    redirect,
    relay,
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


WEB = (Kind.FEED, Kind.ACCOUNT, Kind.CALENDAR)
SERVER = (Kind.ACCOUNT, Kind.CALENDAR)
DISK = "a file is read from the disk: there is no name, connection, header or status"
SAME_WAY = "it fares as its account does"
FORMAT = "its text is iCalendar, never XML: see HTML"
HTML = b"<!DOCTYPE html>\n<html><body>Please sign in: secret-of-a-file-7</body></html>"
SMALL = 1
"""Seconds of time-out where an answer never ends."""
A_RUN = 2
"""Seconds of a night whose time runs out; enough for the calendars that answer."""


# How a fault is played ----------------------------------------------------------------------


def behaves(
    behaviour: Behaviour,
    *,
    taken: bool = False,
    seconds: int = 0,
    run_seconds: int = 0,
    how: str = "",
) -> Play:
    """Each answer is this one; one has so many `seconds`, all of a night `run_seconds`."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        if seconds or run_seconds:
            home.seconds = seconds or home.seconds
            home.run_seconds = run_seconds or home.run_seconds
            home.configure()
        home.answers(kind, behaviour)
        yield

    return Play(begin, taken, how)


def at_first(behaviour: Behaviour) -> Play:
    """The first answer is this one, all others are good: it is asked once more."""

    @contextmanager
    def begin(home: Home, kind: Kind) -> Iterator[None]:
        good = home.feed_answer() if kind is Kind.FEED else relay(home.server.url)
        met: list[str] = []

        def behave(exchange: Exchange) -> None:
            met.append(exchange.path)
            (behaviour if len(met) == 1 else good)(exchange)

        home.answers(kind, behave)
        yield
        assert len(met) > 1, "it was not asked again"

    return Play(begin, taken=True)


def in_a_moment(seconds: int) -> Behaviour:
    """429 with a Retry-After that is a date, so many seconds from now (RFC 9110, 10.2.3)."""
    return lambda exchange: exchange.answer(
        429, b"", {"Retry-After": formatdate(time.time() + seconds, usegmt=True)}
    )


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
def nobody(home: Home, kind: Kind) -> Iterator[None]:
    """Nobody listens at the port."""
    _elsewhere(home, kind, f"http://127.0.0.1:{free_port()}/")
    yield


@contextmanager
def untrusted(home: Home, kind: Kind) -> Iterator[None]:
    """A server whose certificate nobody has signed; nothing may be sent to it."""
    with web_server(tls=True) as other:
        _elsewhere(home, kind, f"{other.url}/")
        yield
        assert other.seen == [], "something was sent to a server that is not trusted"


@contextmanager
def no_tls(home: Home, kind: Kind) -> Iterator[None]:
    """The address says https, and the server knows only http."""
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
def to_another_server(home: Home, kind: Kind) -> Iterator[None]:
    """A redirect to a server that asks for the password, which is not for it."""
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


def latin(content: bytes) -> bytes:
    """The same text in ISO 8859-1."""
    return content.decode().encode("latin-1", "replace")


def half(content: bytes) -> bytes:
    """The first half."""
    return content[: len(content) // 2]


@contextmanager
def missing(home: Home, _: Kind) -> Iterator[None]:
    """The file is not there."""
    (home.folder / "kitchen.ics").unlink()
    yield


@contextmanager
def pipe(home: Home, _: Kind) -> Iterator[None]:
    """A pipe in place of the file: who opened it would wait for ever."""
    file = home.folder / "kitchen.ics"
    file.unlink()
    os.mkfifo(file)
    yield
    file.unlink()


@contextmanager
def empty_calendar(home: Home, kind: Kind) -> Iterator[None]:
    """A calendar that is whole and has no events."""
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
def entities(home: Home, kind: Kind) -> Iterator[None]:
    """Entities that are none of ours to resolve."""
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
