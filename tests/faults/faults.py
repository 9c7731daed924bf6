"""The list of faults, and to which kinds of source each is played; where it cannot be, why.

`FAULTS` is what the tests go through and the table is made from.
"""

from __future__ import annotations

import gzip
import socket
from collections.abc import Mapping
from dataclasses import dataclass, field

from tests.faults import many
from tests.faults.home import SECRET_PATH, Kind, event, text
from tests.faults.plays import (
    A_RUN,
    DISK,
    FORMAT,
    HTML,
    LAUGHS,
    SAME_WAY,
    SERVER,
    SMALL,
    WEB,
    Play,
    at_first,
    behaves,
    body,
    empty_calendar,
    entities,
    half,
    in_a_moment,
    latin,
    looks_up,
    missing,
    moved,
    no_tls,
    nobody,
    of_length,
    on_report,
    pipe,
    to_another_server,
    untrusted,
    writes,
)
from tests.support.feeds import (
    answer,
    bomb,
    broken_gzip,
    drip,
    drip_head,
    endless,
    hang,
    redirect,
    reset,
    status,
)


@dataclass(frozen=True)
class Fault:
    """A fault by name: a play for each kind it can happen to, and for the others why it cannot."""

    name: str
    plays: Mapping[Kind, Play]
    never: Mapping[Kind, str] = field(default_factory=dict)
    large: bool = False
    """It leaves so much behind that it gets a household of its own."""


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
    _on_web("connection refused", Play(nobody), kinds=_LINE),
    _on_web("connection reset", behaves(reset)),
    _on_web("TLS: a certificate that is not trusted", Play(untrusted), kinds=_LINE),
    _on_web("TLS: none where https is meant", Play(no_tls), kinds=_LINE),
    _on_web("time-out: no byte comes", behaves(hang, seconds=SMALL), file=Play(pipe)),
    Fault(
        "the time of a whole night runs out",
        dict.fromkeys(WEB, behaves(hang, run_seconds=A_RUN)),
        {Kind.FILE: "it is read whatever the time is: it waits for nobody"},
    ),
    _on_web("slow drip", behaves(drip(b" " * 4096, 0.05), seconds=SMALL), kinds=_LINE),
    _on_web("slow drip of headers", behaves(drip_head(0.05), seconds=SMALL), kinds=_LINE),
    _on_web("301", moved(301)),
    _on_web("302", moved(302), kinds=_LINE),
    _on_web("307", moved(307), kinds=_LINE),
    _on_web("308", moved(308), kinds=_LINE),
    _on_web(
        "302 to another server that asks for the password", Play(to_another_server), kinds=_LINE
    ),
    _on_web("302 without end", behaves(redirect(SECRET_PATH)), kinds=_LINE),
    _on_web("401", behaves(status(401, WWW_Authenticate='Basic realm="x"'))),
    _on_web("403", behaves(status(403))),
    _on_web("404", behaves(status(404)), file=Play(missing, how="the file is not there")),
    _on_web("410", behaves(status(410))),
    _on_web("412", behaves(status(412))),
    _on_web("429", behaves(status(429)), kinds=_LINE),
    _on_web(
        "429 with a Retry-After of two days",
        behaves(status(429, Retry_After="172800")),
        kinds=_LINE,
    ),
    _on_web(
        "429 with a Retry-After of a second", at_first(status(429, Retry_After="1")), kinds=_LINE
    ),
    _on_web("429 with a Retry-After that is a date", at_first(in_a_moment(1)), kinds=_LINE),
    _on_web("500", behaves(status(500))),
    _on_web("502", behaves(status(502)), kinds=_LINE),
    _on_web("503", behaves(status(503))),
    _on_web("507", behaves(status(507))),
    _on_web("HTML", behaves(answer(HTML, Content_Type="text/html")), file=writes(lambda _: HTML)),
    _on_web("empty", behaves(answer(b"")), file=writes(lambda _: b"")),
    _on_web("truncated", body(half), file=writes(lambda home: half(text(event("Half"))))),
    Fault(
        "wrong charset: Latin-1 that is called UTF-8",
        {
            Kind.FEED: body(latin, taken=True, Content_Type="text/calendar; charset=utf-8"),
            Kind.ACCOUNT: body(latin, Content_Type="text/xml; charset=utf-8"),
            Kind.FILE: writes(lambda home: latin(text(event(home.title("Kitchen")))), taken=True),
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
        {kind: Play(entities) for kind in _LINE},
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
        dict.fromkeys((Kind.FEED, Kind.CALENDAR), Play(many.objects, taken=True)),
        {
            Kind.FILE: "it is read as a feed of as many, see there",
            Kind.ACCOUNT: "its calendars are pulled one by one",
        },
        large=True,
    ),
    Fault("a calendar that is suddenly empty", dict.fromkeys(Kind, Play(empty_calendar))),
)
"""Every fault between us and a source."""


def by_name(name: str) -> Fault:
    """The fault of that name."""
    return next(one for one in FAULTS if one.name == name)
