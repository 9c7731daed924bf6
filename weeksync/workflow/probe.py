"""A calendar tried out before it is one of the household's: what comes in, and nothing is kept."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.errors import SourceMissing, SourceRefused, SourceUnusable, WeeksyncError
from weeksync.fetch import source_for
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import CalendarSource
from weeksync.model.occurrence import Occurrence
from weeksync.model.problem import Problem
from weeksync.model.pulled import PulledCollection, StoredObject
from weeksync.workflow.context import Context
from weeksync.workflow.new import calendar_of

NEXT = 3
"""How many of the next events are shown of a calendar."""
AHEAD = timedelta(days=366)

_HOST = re.compile(r"[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+(:\d{1,5})?(/\S*)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Coming:
    """One of the next events; `start` is aware, in the household's zone, or a date."""

    title: str
    start: datetime | date


@dataclass(frozen=True, slots=True)
class Seen:
    """One calendar behind an address: its title ("" for a file), how many entries it holds (a
    series counts once), and what comes next."""

    title: str
    entries: int
    next: tuple[Coming, ...]


@dataclass(frozen=True, slots=True)
class Probed:
    """What an address gave: the source as it would stand in `config.toml`, and its calendars."""

    source: CalendarSource
    calendars: tuple[Seen, ...]
    problems: tuple[Problem, ...]


def probe(context: Context, address: str, user: str = "", secret: str = "") -> Probed:
    """Ask what lies at that address; the password goes to its host alone and into no file.

    A web address that is not plainly an `.ics` file is asked as a CalDAV server first and as a
    file then. UsageError where it is no address, a SourceError where nothing comes, with why.
    """
    first: SourceMissing | SourceUnusable | None = None
    for source in _candidates(context, address.strip(), user.strip()):
        try:
            return _look(context, source, secret)
        except (SourceMissing, SourceUnusable) as error:
            first = first or error
    assert first is not None  # noqa: S101 - there is at least one candidate
    raise first


def in_words(error: WeeksyncError, address: str, user: str) -> Message:
    """Why nothing came, for somebody who types it just now: nothing stands in `config.toml` yet."""
    said = error.message
    if isinstance(error, SourceRefused) and "(401)" in said.text:
        if not user:
            return message("this server asks for a name and a password; type them, too")
        return message("the server does not accept the name and the password; type them once more")
    if isinstance(error, SourceMissing) and "config.toml" in said.text:
        return message(
            "there is nothing at {address}; look at it once more, letter by letter",
            address=address,
        )
    return said


def is_asked_over_the_net(context: Context, address: str) -> bool:
    """Whether it is a server's address, which may want a name and a password; UsageError where it
    is none at all."""
    return next(_candidates(context, address.strip(), "")).kind != "path"


def _candidates(context: Context, address: str, user: str) -> Iterator[CalendarSource]:
    taken = {one.id for one in context.config.calendars}
    if _is_host(context.folder, address):
        address = f"https://{address}"
    source = calendar_of(address, taken)
    if source.kind == "path":
        yield source
        return
    yield replace(source, user=user)
    if source.kind == "caldav" and urlsplit(address).path.strip("/"):
        yield replace(source, user=user, caldav="", url=address)


def _is_host(folder: Path, address: str) -> bool:
    """Whether it is the bare name of a server, and not of a file that is there or may be."""
    if not _HOST.fullmatch(address) or address.lower().endswith(".ics"):
        return False
    return not (folder / address).exists()


def _look(context: Context, source: CalendarSource, secret: str) -> Probed:
    asked = source_for(source, context.folder, lambda: secret or None)
    pulled = asked.pull({}, context.limits)
    seen = tuple(_seen(context, source, one) for one in pulled.collections)
    problems = [*pulled.problems]
    for one in pulled.collections:
        for raw in one.changed:
            problems += index_object(source.id, raw, context.expand_limits.read)[1]
    return Probed(source, seen, tuple(problems))


def _seen(context: Context, source: CalendarSource, collection: PulledCollection) -> Seen:
    groups: set[str] = set()
    objects: list[StoredObject] = []
    for raw in collection.changed:
        indexed, _ = index_object(source.id, raw, context.expand_limits.read)
        groups |= {one.uid for one in indexed.groups}
        objects.append(
            StoredObject(source.id, collection.name, raw.name, raw.tag, indexed.digest, raw.content)
        )
    found = expand(objects, context.today, context.today + AHEAD, context.tz, context.expand_limits)
    later = (one for one in found.occurrences if not one.cancelled and _to_come(context, one))
    following = [Coming(one.title, one.start) for one, _ in zip(later, range(NEXT), strict=False)]
    return Seen(collection.title, len(groups), tuple(following))


def _to_come(context: Context, one: Occurrence) -> bool:
    if isinstance(one.start, datetime):
        return one.start >= context.now
    return one.start >= context.today
