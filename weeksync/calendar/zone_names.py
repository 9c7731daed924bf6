"""What the name of a zone says, whoever wrote it: an IANA name, a Windows name, an offset.

RFC 5545 section 3.2.19 gives no rule for names. Read are, in this order:

- a name of the IANA database, in whatever case, with spaces for its underscores, outdated names
  (its file `backward`) among them; also at the end of a path, since a TZID that begins with a
  solidus is unique by whatever stands before;
- a Windows name, by the table of CLDR (windowsZones);
- an offset as people write it, `GMT+0100`, `UTC+01:00`, `GMT-5`, `+02:00`: plus is east of
  Greenwich. (`Etc/GMT+5` of the IANA database is west; it is found there first.)
- a name as Windows shows it, `(UTC+01:00) Amsterdam, Berlin, …`: the zone of its cities, but only
  where all that are known agree with each other and with the offset in winter.

Abbreviations that are no IANA names, as IST and CST, stand for several zones and are not read.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from weeksync import zones

_OFFSET = r"(?:(?:UTC|GMT)[ \t]*([+\-\u2212])(\d{1,2})|([+\-\u2212])(\d\d))(?::?([0-5]\d))?"
_DISPLAY = r"\((?:UTC|GMT)[ \t]*(?:([+\-\u2212])(\d\d?):?([0-5]\d))?\)[ \t]*(.*)"
_FARTHEST = timedelta(hours=14)
_REGIONS = (
    "Africa/", "America/", "Antarctica/", "Asia/", "Atlantic/", "Australia/", "Europe/", "Indian/",
    "Pacific/",
)  # fmt: skip
_SHOWN = {
    "coordinated universal time": "UTC",
    "newfoundland": "America/St_Johns",
    "atlantic time (canada)": "America/Halifax",
    "eastern time (us & canada)": "America/New_York",
    "indiana (east)": "America/Indiana/Indianapolis",
    "central time (us & canada)": "America/Chicago",
    "saskatchewan": "America/Regina",
    "mountain time (us & canada)": "America/Denver",
    "arizona": "America/Phoenix",
    "pacific time (us & canada)": "America/Los_Angeles",
    "alaska": "America/Anchorage",
    "hawaii": "Pacific/Honolulu",
}
"""Names shown without a city (from memory); their offset is looked at, too."""


def _matched(form: str, text: str) -> re.Match[str] | None:
    """All of the text in that form, which is compiled when a name is first held against it."""
    return re.fullmatch(form, text, re.ASCII | re.IGNORECASE)


def zone_called(tzid: str) -> ZoneInfo | None:
    """The IANA zone a TZID names in one way or another, or None."""
    for name in (tzid, *_tails(tzid)):
        found = zones.find_zone(name) if name else None
        if found is None and name:
            found = _respelt(name)
        if found is not None:
            return found
    return None


def offset_called(tzid: str) -> timedelta | None:
    """The offset a TZID is, east of Greenwich, or None: `GMT+0100`, `/vendor/UTC-5`, `+02:00`."""
    if "etc/" in tzid.casefold():
        return None  # the database's own, which count the other way
    for name in (tzid, *_tails(tzid)[-1:]):
        found = _matched(_OFFSET, name.strip())
        if found is not None:
            sign, hours = (found[1] or found[3]), (found[2] or found[4])
            return _offset(sign, hours, found[5])
    return None


def offset_said(tzid: str) -> timedelta | None:
    """The offset that stands before the places of a name as Windows shows it, or None."""
    found = _matched(_DISPLAY, tzid.strip())
    return _offset(found[1], found[2], found[3]) if found is not None else None


def display_zone(tzid: str, year: int) -> ZoneInfo | None:
    """The zone of a name as Windows shows it; offsets are compared in that year."""
    found = _matched(_DISPLAY, tzid.strip())
    if found is None:
        return None
    offset = _offset(found[1], found[2], found[3])
    rest = found[4].strip().casefold()
    names = [_SHOWN.get(rest, "")]
    names += [_cities().get(place.strip(), "") for place in re.split(r"[,;:]", rest)]
    known = [zone for name in names if name and (zone := zones.find_zone(name)) is not None]
    shown = [_winter_and_summer(zone, year) for zone in known]
    if not known or any(one != shown[0] for one in shown) or min(shown[0]) != offset:
        return None
    return known[0]


def _offset(sign: str | None, hours: str | None, minutes: str | None) -> timedelta | None:
    size = timedelta(hours=int(hours or 0), minutes=int(minutes or 0))
    if size > _FARTHEST:
        return None
    return size if sign in {"+", None} else -size


def _winter_and_summer(zone: ZoneInfo, year: int) -> tuple[timedelta, timedelta]:
    january, july = (
        datetime(year, month, 2, tzinfo=UTC).astimezone(zone).utcoffset() or timedelta(0)
        for month in (1, 7)
    )
    return january, july


def _tails(tzid: str) -> list[str]:
    """What a vendor's path may end in: America/Indiana/Knox, Europe/Lisbon, UTC."""
    pieces = [piece for piece in tzid.split("/") if piece]
    return ["/".join(pieces[-count:]) for count in (3, 2, 1) if count <= len(pieces)]


def _respelt(name: str) -> ZoneInfo | None:
    folded = " ".join(name.casefold().split())
    found = (
        _spellings().get(folded) or _windows().get(folded) or _spellings().get(_underscored(folded))
    )
    return zones.find_zone(found) if found else None


def _underscored(name: str) -> str:
    return re.sub(r" ?/ ?", "/", name).replace(" ", "_")


@cache
def _spellings() -> dict[str, str]:
    return {name.casefold(): name for name in sorted(available_timezones())}


@cache
def _cities() -> dict[str, str]:
    """The last piece of each name, as people write it; those in the regions' own folders first."""
    names = sorted(available_timezones(), key=lambda name: (name.count("/"), name))
    found: dict[str, str] = {}
    for name in names:
        if name.startswith(_REGIONS):
            found.setdefault(name.rpartition("/")[2].replace("_", " ").casefold(), name)
    return found


@cache
def _windows() -> dict[str, str]:
    # Imported here: the package takes as long to import as a small household to expand.
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    return {name.casefold(): zone for name, zone in WINDOWS_TO_OLSON.items()}
