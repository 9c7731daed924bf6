"""What every page has: language, titles, the way home, and how the sources stand."""

from __future__ import annotations

import re
from datetime import datetime
from hashlib import sha256
from typing import TypedDict
from urllib.parse import urlsplit

from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import SourceState
from weeksync.site.caution import CAUTIONS
from weeksync.site.inputs import SiteInput
from weeksync.site.record import VERSION, Link, SourceLine
from weeksync.site.words import Words

_WEB = frozenset({"http", "https"})
_HOST = r"(?:[A-Za-z0-9.-]+|\[[0-9A-Fa-f:.]+\])(?::[0-9]{1,5})?"


class Frame(TypedDict):
    """The fields of `record.Page`, ready to be handed to any page."""

    record: int
    kind: str
    language: str
    direction: str
    locale: str
    numbers: str
    zone: str
    key: str
    tree: str
    connect: str
    household: str
    title: str
    heading: str
    home: Link
    problems: Link | None
    cautions: Link | None
    stale: tuple[SourceLine, ...]
    sources: tuple[SourceLine, ...]
    tzdata: str
    version: str
    closed: str


def frame(inputs: SiteInput, words: Words, kind: str, heading: str, title: str = "") -> Frame:
    """The common fields of a page with that heading; `title` where the window says more."""
    household = inputs.config.household
    lines, still_lines = words.once("sources", inputs.states, lambda: _sources(inputs, words))
    own = kind.startswith("own")
    moving = kind in {"index", "problems"}
    return Frame(
        record=VERSION,
        kind=kind,
        language=words.language.tag,
        direction=words.language.direction,
        locale=words.language.script_tag,
        numbers=words.language.numbers,
        zone=household.time_zone,
        key=household_key(inputs.config),
        tree="own" if own else "site",
        connect=connect(inputs.config),
        household=household.name,
        title=title or heading,
        heading=heading,
        home=Link("index.html", words.text(message("All weeks"))),
        problems=None if own else Link("problems.html", words.text(message("Problems"))),
        cautions=None
        if kind.endswith("cautions")
        else Link(CAUTIONS, words.text(message("Whom to turn to"))),
        stale=tuple(line for line in lines if line.stale),
        sources=lines if moving else still_lines,
        tzdata=inputs.tzdata,
        version=inputs.version,
        closed=_closed(words, inputs.closed_at) if inputs.closed_at is not None else "",
    )


def _closed(words: Words, at: datetime) -> str:
    return words.text(
        message(
            "This week was closed on {when}. A mark for it is kept, and counts when the week is "
            "reopened.",
            when=words.instant(at).text,
        )
    )


def household_key(config: Config) -> str:
    """Twelve hexadecimal digits for the household: of its name, zone and persons' ids."""
    people = sorted(person.id for person in config.people)
    said = "\n".join((config.household.name, config.household.time_zone, *people))
    return sha256(said.encode("utf-8")).hexdigest()[:12]


def connect(config: Config) -> str:
    """Sources for `connect-src` (Content Security Policy Level 3, section 6.1.2)."""
    port = config.serve.port
    found = ["'self'", f"http://127.0.0.1:{port}", f"http://localhost:{port}"]
    address = _origin(config.serve.address)
    return " ".join(dict.fromkeys([*found, *([address] if address else [])]))


def _origin(address: str) -> str:
    """Scheme, host and port of an address; "" where it is none a policy may name."""
    parts = urlsplit(address)
    plain = re.fullmatch(_HOST, parts.netloc)
    return f"{parts.scheme}://{parts.netloc}" if parts.scheme in _WEB and plain else ""


def _sources(
    inputs: SiteInput, words: Words
) -> tuple[tuple[SourceLine, ...], tuple[SourceLine, ...]]:
    """How the sources stand, with the times of all of them and without those of the well ones."""
    lines = tuple(source_line(words, state) for state in inputs.states)
    return lines, tuple(map(still, lines))


def source_line(words: Words, state: SourceState) -> SourceLine:
    """How a source stands, in words."""
    source = next((one for one in words.config.calendars if one.id == state.source), None)
    name = source.label if source is not None else state.source
    stale = state.failed or state.last_good is None
    known = state.last_good is not None
    asked = any(problem.kind is ProblemKind.QUESTION for problem in state.problems)
    return SourceLine(
        id=state.source,
        name=name,
        stale=stale,
        last_good=words.instant(state.last_good) if state.last_good is not None else None,
        text=words.text(_standing(name, stale=stale, known=known, asked=asked)),
        reasons=tuple(words.text(problem.what) for problem in state.problems) if stale else (),
    )


def _standing(name: str, *, stale: bool, known: bool, asked: bool) -> Message:
    if not stale:
        return message("{source} is up to date.", source=name)
    if asked:
        return message("{source} waits for your answer; its last good copy is shown.", source=name)
    if known:
        return message("{source} could not be pulled; its last good copy is shown.", source=name)
    return message("{source} could not be pulled yet; nothing of it is shown.", source=name)


def still(line: SourceLine) -> SourceLine:
    """The line without the time of a source that is well.

    That time moves with every pull; on every page it would make every page a new one each
    night. The script fills it in from `status.js`.
    """
    if line.stale:
        return line
    return SourceLine(line.id, line.name, line.stale, None, line.text, line.reasons)
