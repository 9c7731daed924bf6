"""What must hold between the settings of `config.toml`, and between two dates of an entry."""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator
from datetime import date, datetime
from itertools import pairwise
from urllib.parse import urlsplit

from weeksync.message import Message, message
from weeksync.model.config import Config, DayParts
from weeksync.model.fields import parse_hours
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.read.household import ReadFiles
from weeksync.read.parsed import Parsed
from weeksync.read.positions import Path
from weeksync.read.shown import nearest, shown
from weeksync.read.text import mistake
from weeksync.zones import find_zone

Found = tuple[Path, Message, Message]
"""(place, what is wrong, remedy)"""

_LOCALE = re.compile(r"[a-z]{2,3}(_[A-Z][a-z]{3})?(_([A-Z]{2}|[0-9]{3}))?", re.ASCII)
_REGION = re.compile(r"[A-Z]{2}(-[A-Z0-9]{1,3})?", re.ASCII)


def wrong_settings(parsed: Parsed[Config]) -> Iterator[Problem]:
    """Mistakes of `config.toml` that no single value shows, also in tables with other mistakes."""
    for check in (_zones, _forms, _day_parts, _addresses):
        for path, what, remedy in check(parsed):
            yield mistake(parsed.name, parsed.positions.line(path), what, remedy)
    yield from _letters(parsed)


def _text(table: object, key: str, otherwise: str = "") -> str:
    value = table.get(key, otherwise) if isinstance(table, dict) else otherwise
    return value if isinstance(value, str) else otherwise


def _zones(parsed: Parsed[Config]) -> Iterator[Found]:
    places: list[tuple[Path, object]] = [(("household",), parsed.loaded.data.get("household"))]
    places += [(("people", index), person) for index, person in parsed.entries("people")]
    for path, table in places:
        name = _text(table, "time_zone")
        if not name or find_zone(name) is not None:
            continue
        what = message("time_zone = {value} is no time zone", value=shown(name))
        near = _nearest_zone(name)
        if near is not None:
            yield (*path, "time_zone"), what, message("did you mean {near}?", near=near)
        else:
            remedy = message("write a name of the IANA database, as Europe/London")
            yield (*path, "time_zone"), what, remedy


def _nearest_zone(name: str) -> str | None:
    zones = {zone.casefold(): zone for zone in zoneinfo.available_timezones()}
    # An abbreviation is like many zones and means another: BST is no slip for MST.
    near = nearest(name.replace(" ", "_"), zones) if len(name) > 4 else None
    return zones[near] if near is not None else None


def _forms(parsed: Parsed[Config]) -> Iterator[Found]:
    household = parsed.loaded.data.get("household")
    locale, region = _text(household, "locale", "en_GB"), _text(household, "region")
    if not _LOCALE.fullmatch(locale):
        yield (
            ("household", "locale"),
            message("locale = {value} is no locale", value=shown(locale)),
            message("write language and region of CLDR, as en_GB, de_AT or sr_Latn_RS"),
        )
    if region and not _REGION.fullmatch(region):
        yield (
            ("household", "region"),
            message("region = {value} is no region", value=shown(region)),
            message("write a code of ISO 3166, as GB or GB-ENG"),
        )


def _letters(parsed: Parsed[Config]) -> Iterator[Problem]:
    """Letters that stand for two: a mistake where written, a notice where they are initials."""
    for array in ("areas", "people"):
        first: dict[str, str] = {}
        for index, one in parsed.entries(array):
            written = _text(one, "letter")
            mark = written or (_text(one, "name")[:1].upper() if array == "people" else "")
            other = first.setdefault(mark.casefold(), _text(one, "id"))
            if not mark or other == _text(one, "id"):
                continue
            yield Problem(
                ProblemKind.MISTAKE if written else ProblemKind.NOTICE,
                message(
                    "{one} has the letter of {other}: {letter}",
                    one=shown(one.get("id", "")),
                    other=shown(other),
                    letter=shown(mark),
                ),
                Place(parsed.name, parsed.positions.line((array, index, "letter"))),
                message("give it a letter of its own, or two"),
            )


def _day_parts(parsed: Parsed[Config]) -> Iterator[Found]:
    table, usual = parsed.loaded.data.get("day_parts"), DayParts()
    keys = DayParts.field_names()
    hours = [parse_hours(_text(table, key, getattr(usual, key))) for key in keys]
    for (before, first), (key, then) in pairwise(zip(keys, hours, strict=True)):
        if first and then and then[0] < first[1]:
            yield (
                ("day_parts", key if isinstance(table, dict) and key in table else before),
                message("{key} begins before {before} ends", key=key, before=before),
                message("let each day part begin when the one before it ends, or later"),
            )
    if hours[0] and hours[-1] and hours[-1][1] > hours[0][0] + 24 * 60:
        yield (
            ("day_parts", keys[-1]),
            message("{key} ends after {next} begins", key=keys[-1], next=keys[0]),
            message("let it end before the next morning"),
        )


def _addresses(parsed: Parsed[Config]) -> Iterator[Found]:
    for index, calendar in parsed.entries("calendars"):
        for key in ("url", "caldav"):
            address = _text(calendar, key)
            if key == "caldav" and "://" not in address:
                address = f"https://{address.removeprefix('//')}"  # as it is asked
            if _has_credentials(address):
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
        for path, table in parsed.tables():
            if path[:1] == ("appointments",):
                continue  # half-open, and checked by the record itself
            for first, last in (("start", "end"), ("first", "until")):
                start, end = _day(table.get(first)), _day(table.get(last))
                if start is not None and end is not None and end < start:
                    what = message(
                        "{key} = {value} lies before {first} = {day}",
                        key=last,
                        value=end.isoformat(),
                        first=first,
                        day=start.isoformat(),
                    )
                    remedy = message("write the same day or a later one")
                    yield mistake(parsed.name, parsed.positions.line((*path, last)), what, remedy)


def _day(value: object) -> date | None:
    """A date, in quotes or not; None for anything else, which the record reports."""
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            return None
    return value if isinstance(value, date) and not isinstance(value, datetime) else None
