"""What must hold between the settings of `config.toml`, and between two dates of an entry."""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from urllib.parse import urlsplit

from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.fields import parse_hours
from weeksync.model.files import Appointment
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.read.household import ReadFiles
from weeksync.read.parsed import Parsed
from weeksync.read.positions import Path
from weeksync.read.references import records
from weeksync.read.shown import nearest, shown
from weeksync.read.text import mistake
from weeksync.zones import find_zone

Found = tuple[Path, Message, Message]
"""(place, what is wrong, remedy)"""

_LOCALE = re.compile(r"[a-z]{2,3}(_[A-Z][a-z]{3})?(_([A-Z]{2}|[0-9]{3}))?", re.ASCII)
_REGION = re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?", re.ASCII)


def wrong_settings(parsed: Parsed[Config]) -> Iterator[Problem]:
    """Mistakes of `config.toml` that no single value shows."""
    if parsed.checked is None:
        return
    for check in (_zones, _forms, _day_parts, _addresses):
        for path, what, remedy in check(parsed.checked):
            yield mistake(parsed.name, parsed.line(path), what, remedy)
    yield from _letters(parsed, parsed.checked)


def _zones(config: Config) -> Iterator[Found]:
    places: list[tuple[Path, str]] = [(("household", "time_zone"), config.household.time_zone)]
    for index, person in enumerate(config.people):
        if person.time_zone:
            places.append((("people", index, "time_zone"), person.time_zone))
    for path, name in places:
        if find_zone(name) is None:
            what = message("time_zone = {value} is no time zone", value=shown(name))
            near = _nearest_zone(name)
            if near is not None:
                yield path, what, message("did you mean {near}?", near=near)
            else:
                yield path, what, message("write a name of the IANA database, as Europe/London")


def _nearest_zone(name: str) -> str | None:
    zones = {zone.casefold(): zone for zone in zoneinfo.available_timezones()}
    near = nearest(name.replace(" ", "_"), zones)
    return zones[near] if near is not None else None


def _forms(config: Config) -> Iterator[Found]:
    household = config.household
    if not _LOCALE.fullmatch(household.locale):
        yield (
            ("household", "locale"),
            message("locale = {value} is no locale", value=shown(household.locale)),
            message("write language and region of CLDR, as en_GB, de_AT or sr_Latn_RS"),
        )
    if household.region and not _REGION.fullmatch(household.region):
        yield (
            ("household", "region"),
            message("region = {value} is no region", value=shown(household.region)),
            message("write a code of ISO 3166, as GB or GB-ENG"),
        )


def _letters(parsed: Parsed[Config], config: Config) -> Iterator[Problem]:
    """Letters that stand for two: a mistake where written, a notice where they are initials."""
    for array in ("areas", "people"):
        first: dict[str, str] = {}
        for index, one in enumerate(getattr(config, array)):
            mark = one.letter or one.mark
            other = first.setdefault(mark.casefold(), one.id)
            if other == one.id:
                continue
            yield Problem(
                ProblemKind.MISTAKE if one.letter else ProblemKind.NOTICE,
                message(
                    "{one} has the letter of {other}: {letter}",
                    one=one.id,
                    other=other,
                    letter=mark,
                ),
                Place(parsed.name, parsed.line((array, index, "letter"))),
                message("give it a letter of its own, or two"),
            )


def _day_parts(config: Config) -> Iterator[Found]:
    parts = [
        (key, parse_hours(getattr(config.day_parts, key)) or (0, 0))
        for key in ("morning", "afternoon", "evening")
    ]
    for (before, (_, end)), (key, (start, _)) in pairwise(parts):
        if start < end:
            yield (
                ("day_parts", key),
                message("{key} begins before {before} ends", key=key, before=before),
                message("let each day part begin when the one before it ends, or later"),
            )
    if parts[2][1][1] > parts[0][1][0] + 24 * 60:
        yield (
            ("day_parts", "evening"),
            message("evening ends after morning begins"),
            message("let it end before the next morning"),
        )


def _addresses(config: Config) -> Iterator[Found]:
    for index, calendar in enumerate(config.calendars):
        for key in ("url", "caldav"):
            if _has_credentials(getattr(calendar, key)):
                yield (
                    ("calendars", index, key),
                    message("{key} has a name or a password in it", key=key),
                    message(
                        "write the name as user, and say by password_file where the password is"
                    ),
                )


def _has_credentials(address: str) -> bool:
    try:
        return "@" in urlsplit(address).netloc
    except ValueError:
        return "@" in address


def wrong_order(files: ReadFiles) -> Iterator[Problem]:
    """Entries that end before they start; where both days belong to it they may be equal."""
    for parsed in files.all():
        for path, record in records(parsed):
            if isinstance(record, Appointment):
                continue  # half-open, and checked by the record itself
            for first, last in (("start", "end"), ("first", "until")):
                start, end = getattr(record, first, None), getattr(record, last, None)
                if isinstance(start, date) and isinstance(end, date) and end < start:
                    what = message(
                        "{key} = {value} lies before {first} = {day}",
                        key=last,
                        value=end.isoformat(),
                        first=first,
                        day=start.isoformat(),
                    )
                    remedy = message("write the same day or a later one")
                    yield mistake(parsed.name, parsed.line((*path, last)), what, remedy)
