"""A new household folder."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path, PurePosixPath
from urllib.parse import urlsplit

from weeksync.errors import UsageError
from weeksync.household import DEFAULT_AREAS, NewHousehold, create_household, people_named
from weeksync.household.new import area_named
from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.model.config import Area, CalendarSource
from weeksync.workflow import start, start_suggest
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome

AREAS: Mapping[str, Message] = {
    "home": message("Home"),
    "family": message("Family"),
    "health": message("Health"),
    "work": message("Work"),
    "learning": message("Learning"),
}
"""What the areas to begin with are called."""


def default_areas(language: Language) -> tuple[Area, ...]:
    """The areas to begin with, in that language; ids and colours are the same in all."""
    areas: list[Area] = []
    for one in DEFAULT_AREAS:
        named = area_named(areas, language.text(AREAS[one.id]), colour=one.colour)
        areas.append(replace(named, id=one.id))
    return tuple(areas)


def answers_of(
    *,
    name: str,
    time_zone: str,
    locale: str,
    region: str,
    people: Sequence[str],
    calendars: Sequence[str],
) -> NewHousehold:
    """The answers of a person, names and addresses as typed, as what a household is made from."""
    sources: list[CalendarSource] = []
    for address in filter(None, map(str.strip, calendars)):
        sources.append(calendar_of(address, {source.id for source in sources}))
    language = Language(locale)  # HouseholdError where there is no such locale
    for answer in (name, *people):
        if not answer.strip() or not answer.isprintable():
            raise UsageError(message("a name is empty or is no text; nothing was written"))
    return NewHousehold(
        name=name,
        time_zone=time_zone,
        people=people_named(people),
        locale=locale,
        region=region,
        areas=default_areas(language),
        calendars=tuple(sources),
    )


def calendar_of(address: str, taken: set[str]) -> CalendarSource:
    """A web address that ends in `.ics` or is `webcal:` is a feed, another one a server.

    UsageError where it is none; it is not repeated, since a password may stand in it.
    """
    try:
        return _calendar(address, taken)
    except ValueError as error:
        raise UsageError(
            message(
                "that is no address of a calendar; write a file, a folder, or a web address "
                "without name and password in it (those are for user and password_file)"
            )
        ) from error


def _calendar(address: str, taken: set[str]) -> CalendarSource:
    parts = urlsplit(address)
    ident = _ident(parts.hostname or PurePosixPath(address).stem, taken)
    if parts.scheme not in {"http", "https", "webcal", "webcals"}:
        return CalendarSource(id=ident, path=address)
    if "@" in parts.netloc:
        raise ValueError
    if parts.scheme.startswith("webcal") or parts.path.endswith(".ics"):
        return CalendarSource(id=ident, url=address)
    return CalendarSource(id=ident, caldav=address)


def _ident(text: str, taken: set[str]) -> str:
    """An id for a source: the first label of its host, or the name of its file."""
    label = text.removeprefix("www.").partition(".")[0].lower()
    plain = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in label)
    base = plain.strip("-")[:40]
    base = "calendar" if not base or base.isdigit() else base  # an IP address names nothing
    numbered = (f"{base}-{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (base, *numbered) if one not in taken)


def smallest_household(folder: Path, language: Language, now: datetime) -> Context:
    """The household in `folder`; where there is none, the smallest one, made without a question.

    What stands in it is a guess from the machine, and counts as not answered yet. HouseholdError
    where it cannot be written, or what is there cannot be used.
    """
    if os.path.lexists(folder / "config.toml"):
        return Context.read(folder, now)
    time_zone = start_suggest.time_zone()
    region = start_suggest.region_of(time_zone)
    answers = NewHousehold(
        name=language.text(message("Our household")),
        time_zone=time_zone,
        people=people_named([start_suggest.person_name() or language.text(message("Me"))]),
        locale=start_suggest.locale_for(language, region),
        region=region,
        areas=default_areas(language),
    )
    create_household(folder, answers)
    context = Context.read(folder, now)
    start.begin(context)
    return context


def make_household(folder: Path, answers: NewHousehold, now: datetime) -> Outcome:
    """Write the folder and read it back; HouseholdError where there is a household already."""
    written = create_household(folder, answers)
    context = Context.read(folder, now)
    done = [message("Written: {place}", place=str(place)) for place in written]
    done.append(
        message("Next: weeksync nightly --household {folder}", folder=str(folder)),
    )
    return Outcome.of(done, context.files.problems)
