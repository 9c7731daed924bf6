"""Time zones as calendars carry them: a VTIMEZONE's text, and what it means to us.

What it means is read by `zoneinfo` for zones of the IANA database and by dateutil's `tzical`
for invented rules, never by weeksync, so that drawing and explaining stand on other feet than
the answers they judge.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from functools import cache, lru_cache
from zoneinfo import ZoneInfo

from dateutil import tz as dateutil_tz

from weeksync import zones as packaged

_BLOCK = re.compile(r"BEGIN:VTIMEZONE\r?\n.*?END:VTIMEZONE\r?\n", re.DOTALL)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Zone:
    """A TZID, the VTIMEZONE that is written for it ("" for UTC), and its meaning."""

    name: str
    text: str
    tz: tzinfo

    def utc(self, wall: datetime) -> datetime:
        """The UTC instant of a wall time, by RFC 5545 section 3.3.5."""
        return _utc(self.tz, wall)

    def wall(self, instant: datetime) -> datetime:
        """The naive wall time of an instant."""
        return _wall(self.tz, instant)

    def offset(self, instant: datetime) -> timedelta:
        """Its offset at an instant."""
        return self.wall(instant) - instant.astimezone(UTC).replace(tzinfo=None)


@lru_cache(maxsize=100_000)
def _utc(tz: tzinfo, wall: datetime) -> datetime:
    return dateutil_tz.resolve_imaginary(wall.replace(tzinfo=tz)).astimezone(UTC)


@lru_cache(maxsize=100_000)
def _wall(tz: tzinfo, instant: datetime) -> datetime:
    return instant.astimezone(tz).replace(tzinfo=None, fold=0)


def changes(name: str, low: int, high: int) -> list[tuple[datetime, timedelta, timedelta]]:
    """(UTC instant, offset before, offset after) of each change from year `low` to `high`."""
    return list(_changes(name, low, high))


@cache
def _changes(name: str, low: int, high: int) -> tuple[tuple[datetime, timedelta, timedelta], ...]:
    tz = ZoneInfo(name)

    def offset(at: datetime) -> timedelta:
        return at.astimezone(tz).utcoffset() or timedelta(0)

    found = []
    day = datetime(low, 1, 1, tzinfo=UTC)
    while day.year <= high:
        if (before := offset(day)) != (after := offset(day + _DAY)):
            left, right = day, day + _DAY
            while right - left > timedelta(seconds=1):
                middle = (left + (right - left) / 2).replace(microsecond=0)
                left, right = (middle, right) if offset(middle) == before else (left, middle)
            found.append((right, before, after))
        day += _DAY
    return tuple(found)


def written_offset(of: timedelta) -> str:
    """A UTC offset as iCalendar writes it."""
    minutes = int(of.total_seconds()) // 60
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}{abs(minutes) % 60:02}"


def onset(kind: str, at: datetime, before: timedelta, after: timedelta, rule: str = "") -> str:
    """One STANDARD or DAYLIGHT; `at` is its wall time in the offset before."""
    lines = [
        f"BEGIN:{kind}",
        f"DTSTART:{at:%Y%m%dT%H%M%S}",
        f"TZOFFSETFROM:{written_offset(before)}",
        f"TZOFFSETTO:{written_offset(after)}",
        f"END:{kind}",
    ]
    if rule:
        lines.insert(2, f"RRULE:{rule}")
    return "\r\n".join(lines)


def vtimezone(name: str, *onsets: str) -> str:
    """A VTIMEZONE of these onsets."""
    return "\r\n".join(("BEGIN:VTIMEZONE", f"TZID:{name}", *onsets, "END:VTIMEZONE", ""))


@cache
def iana(name: str, year: int) -> Zone:
    """A zone of the IANA database, written change by change for the years around `year`."""
    if name == "UTC":
        return Zone("UTC", "", UTC)
    found = changes(name, year - 2, year + 7)
    first = datetime(year - 2, 1, 1)
    opening = found[0][1] if found else ZoneInfo(name).utcoffset(first) or timedelta(0)
    onsets = [onset("STANDARD", first, opening, opening)]
    for at, before, after in found:
        kind = "DAYLIGHT" if after > before else "STANDARD"
        onsets.append(onset(kind, at.replace(tzinfo=None) + before, before, after))
    return Zone(name, vtimezone(name, *onsets), ZoneInfo(name))


def of_text(text: str, own: Iterable[str] = ()) -> dict[str, Zone]:
    """The zones a calendar defines; known names have the known rules, but for those in `own`."""
    found = {}
    for block in _BLOCK.findall(text):
        zone = _of_block(block)
        known = zone.name not in own and packaged.find_zone(zone.name)
        found[zone.name] = Zone(zone.name, block, known) if known else zone
    return found


@lru_cache(maxsize=500)
def _of_block(block: str) -> Zone:
    known = dateutil_tz.tzical(io.StringIO(block))
    (name,) = known.keys()
    zone = known.get(name)
    assert zone is not None
    return Zone(name, block, zone)


def with_zones(text: str, names: set[str], year: int) -> str:
    """The calendar with a VTIMEZONE for each IANA name of `names` that it does not define."""
    missing = sorted(
        name
        for name in names - {"UTC"}
        if f"\nTZID:{name}\r" not in text and packaged.find_zone(name) is not None
    )
    head, mark, rest = text.partition("BEGIN:VEVENT")
    return "".join((head, *(iana(name, year).text for name in missing), mark, rest))
