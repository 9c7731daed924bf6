"""Time zones, always from the `tzdata` package and never from the machine.

Python's `zoneinfo` asks the operating system first, so the same code gives other answers on
another machine. Importing this module puts the package's folder alone on that search path, for the
whole process: every library below us that makes a `ZoneInfo` then reads the packaged data too.
"""

from __future__ import annotations

import importlib.util
import os
import zoneinfo
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from weeksync.errors import HouseholdError
from weeksync.message import message

_FIRST_DAY, _LAST_DAY = date(1, 1, 2), date(9999, 12, 30)


def _folders() -> list[str]:
    """Where the package has its files. With no folder at all Python would find them in it, too, but
    import what takes longer than reading them."""
    spec = importlib.util.find_spec("tzdata")
    found = spec.submodule_search_locations if spec is not None else None
    return [os.path.join(os.path.abspath(place), "zoneinfo") for place in found or ()]


zoneinfo.reset_tzpath(to=_folders())
ZoneInfo.clear_cache()


def zone(name: str) -> ZoneInfo:
    """The zone of that IANA name; raises HouseholdError where the data has no such zone."""
    found = find_zone(name)
    if found is None:
        raise HouseholdError(
            message(
                '"{name}" is no time zone; write a name of the IANA database, as Europe/London',
                name=name,
            )
        )
    return found


def find_zone(name: str) -> ZoneInfo | None:
    """The zone of that IANA name, or None. Names are matched exactly, as the database has them."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


@cache
def tzdata_version() -> str:
    """The release of the zone data in use, as `2026f`; from the package's version `2026.6`."""
    return str(importlib.import_module("tzdata").IANA_VERSION)


def instant(local: datetime, tz: ZoneInfo) -> datetime:
    """The UTC instant of a naive local time.

    RFC 5545 section 3.3.5: a time that occurs twice is the first one; a time that does not
    exist is read with the offset before the gap. `fold=0` gives both (PEP 495).
    """
    return local.replace(tzinfo=tz, fold=0).astimezone(UTC)


def first_instant(day: date, tz: ZoneInfo) -> datetime:
    """The first UTC instant whose local date is `day` or later.

    Not always midnight: some days start at 01:00 because the clocks change at midnight, and a
    day that does not exist at all (Apia, 2011-12-30) starts when the next one does. At the ends of
    the calendar, where UTC may have no such moment, it is the first or the last one there is.
    """
    if day <= _FIRST_DAY:
        return datetime.min.replace(tzinfo=UTC)
    if day >= _LAST_DAY:
        return datetime.max.replace(tzinfo=UTC)
    at_midnight = instant(datetime(day.year, day.month, day.day), tz)
    if at_midnight.astimezone(tz).date() < day:  # pragma: no cover - no zone does this today
        return _search_first(day, tz, at_midnight)
    earlier = at_midnight - timedelta(seconds=1)
    if earlier.astimezone(tz).date() < day:
        return at_midnight
    return _search_first(day, tz, at_midnight)


def _search_first(day: date, tz: ZoneInfo, near: datetime) -> datetime:
    low, high = near - timedelta(hours=36), near + timedelta(hours=36)
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) // 2
        middle = middle.replace(microsecond=0)
        if middle.astimezone(tz).date() >= day:
            high = middle
        else:
            low = middle
    return high


def day_bounds(day: date, tz: ZoneInfo) -> tuple[datetime, datetime]:
    """`day` as half-open UTC interval: 23, 24 or 25 hours, or empty where it does not exist."""
    return first_instant(day, tz), first_instant(day + timedelta(days=1), tz)


def offset_changes(tz: ZoneInfo, first: date, last: date) -> Iterator[tuple[datetime, int]]:
    """(UTC moment, offset from it on in seconds): at the start of `first`, and each change of the
    clocks up to the end of `last`, to the second.

    Two changes within one day that undo each other are not found: no zone has had such.
    """
    at, end = first_instant(first, tz), first_instant(last + timedelta(days=1), tz)
    before = _offset(at, tz)
    yield at, before
    while at < end:
        low, high = at, min(at + timedelta(days=1), end)
        if _offset(high, tz) != before:
            while high - low > timedelta(seconds=1):
                middle = low + timedelta(seconds=(high - low) // timedelta(seconds=2))
                low, high = (low, middle) if _offset(middle, tz) != before else (middle, high)
            before = _offset(high, tz)
            yield high, before
        at = high


def _offset(moment: datetime, tz: ZoneInfo) -> int:
    return int((moment.astimezone(tz).utcoffset() or timedelta()).total_seconds())
