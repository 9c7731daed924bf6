"""What every page has: language, titles, the way home, and how the sources stand."""

from __future__ import annotations

from typing import TypedDict

from weeksync.message import Message, message
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import SourceState
from weeksync.site.inputs import SiteInput
from weeksync.site.record import VERSION, Link, SourceLine
from weeksync.site.words import Words


class Frame(TypedDict):
    """The fields of `record.Page`, ready to be handed to any page."""

    record: int
    kind: str
    language: str
    direction: str
    zone: str
    household: str
    title: str
    heading: str
    home: Link
    problems: Link | None
    stale: tuple[SourceLine, ...]
    sources: tuple[SourceLine, ...]
    tzdata: str
    version: str


def frame(inputs: SiteInput, words: Words, kind: str, heading: str, title: str = "") -> Frame:
    """The common fields of a page with that heading; `title` where the window says more."""
    household = inputs.config.household
    lines = tuple(source_line(words, state) for state in inputs.states)
    own = kind.startswith("own")
    moving = kind in {"index", "problems"}
    return Frame(
        record=VERSION,
        kind=kind,
        language=words.language.tag,
        direction=words.language.direction,
        zone=household.time_zone,
        household=household.name,
        title=title or heading,
        heading=heading,
        home=Link("index.html", words.text(message("All weeks"))),
        problems=None if own else Link("problems.html", words.text(message("Problems"))),
        stale=tuple(line for line in lines if line.stale),
        sources=lines if moving else tuple(still(line) for line in lines),
        tzdata=inputs.tzdata,
        version=inputs.version,
    )


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
