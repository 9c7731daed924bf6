"""Zones at random: real ones of every odd kind, as their own VTIMEZONE, and invented ones."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from functools import cache
from random import Random
from zoneinfo import ZoneInfo

from dateutil.rrule import rrulestr

from tests.calendar.oracles.zones import Zone, changes, iana, of_text, onset, vtimezone

REAL = {
    "Europe/London": 2026, "America/New_York": 2026, "Europe/Dublin": 2027,
    "America/St_Johns": 2010, "Australia/Lord_Howe": 2026, "Africa/Casablanca": 2025,
    "Antarctica/Troll": 2026, "Pacific/Chatham": 2026, "Pacific/Apia": 2011,
    "America/Santiago": 2026, "Asia/Kathmandu": 2026, "Africa/Cairo": 2026,
    "Asia/Beirut": 2026, "Europe/Lisbon": 1995,
}  # fmt: skip
"""Steps of 30 minutes, of 1 and 2 hours, at midnight and at 00:01, over a whole day, with the
clock back for a month, and none; with the year around which series are drawn."""

USUAL = {
    "Europe/London": (0, 60, "3;BYDAY=-1SU", 1, "10;BYDAY=-1SU", 2),
    "America/New_York": (-300, 60, "3;BYDAY=2SU", 2, "11;BYDAY=1SU", 2),
    "Australia/Lord_Howe": (630, 30, "10;BYDAY=1SU", 2, "4;BYDAY=1SU", 2),
}
"""standard offset, shift in minutes, month and day of both changes with their wall hours."""

_RULED = re.compile(r"DTSTART:(\d{8}T\d{6})\r\nRRULE:(\S+)")
REUSED = ("Europe/Lisbon", "America/New_York")
UTC_ZONE = Zone("UTC", "", UTC)


def ruled(
    name: str, standard: int, shift: int, spring: str, at: int, autumn: str, back: int
) -> Zone:
    """A zone of two yearly rules; offsets in minutes, wall hours of the changes."""
    before, after = timedelta(minutes=standard), timedelta(minutes=standard + shift)
    text = vtimezone(
        name,
        onset("STANDARD", datetime(2024, 1, 1), before, before),
        _yearly("STANDARD", autumn, back, after, before),
        _yearly("DAYLIGHT", spring, at, before, after),
    )
    return of_text(text, own=(name,))[name]


def _yearly(kind: str, rule: str, hour: int, before: timedelta, after: timedelta) -> str:
    text = f"FREQ=YEARLY;BYMONTH={rule}"
    first = next(iter(rrulestr(text, dtstart=datetime(2024, 1, 2, hour))))
    return onset(kind, first, before, after, text)


def known(name: str, year: int) -> Zone:
    """The IANA zone of that name."""
    return iana(name, year)


def is_invented(zone: Zone) -> bool:
    """Whether it bears a known name and its rules are not those of that name."""
    if zone.name not in REUSED or isinstance(zone.tz, ZoneInfo):
        return False
    return zone.name not in USUAL or zone.text != usual(zone.name).text


@cache
def usual(name: str) -> Zone:
    """A known zone as most programs write it: by two yearly rules."""
    return ruled(name, *USUAL[name])


def invented(random: Random) -> Zone:
    """A zone with rules of its own, now and then under a known name."""
    standard = random.choice((-570, -210, 0, 60, 330, 345, 660))
    months = random.choice(((2, 8), (3, 9), (4, 10), (5, 11)))
    day = random.choice(("BYDAY=1SU", "BYDAY=2SU", "BYDAY=-1SU", "BYDAY=-1FR"))
    name = random.choice(("Harbour", "Harbour", "/weeksync.invalid/Isle", *REUSED))
    shift, hour = random.choice((30, 60, 120)), random.choice((0, 1, 2, 3))
    spring, autumn = (f"{one};{day}" for one in random.sample(months, 2))
    return ruled(name, standard, shift, spring, hour, autumn, hour + 1)


def zones(random: Random) -> tuple[list[Zone], datetime]:
    """One or two zones, the series' own first, and a wall time in it, often near a change."""
    kind = random.choice(("real", "real", "real", "usual", "invented"))
    year = 2026
    if kind == "real":
        name = random.choice(sorted(REAL))
        year = REAL[name]
        zone = iana(name, year)
    elif kind == "usual":
        zone = usual(random.choice(sorted(USUAL)))
    else:
        zone = invented(random)
    second = random.choice(sorted(set(REAL) - {zone.name}))
    found = [zone, iana(second, year)] if random.random() < 0.5 else [zone]
    return found, _near(random, zone, year)


def _near(random: Random, zone: Zone, year: int) -> datetime:
    """A wall time: at a change, at the end of a month, or anywhere."""
    kind = random.choice(("change", "change", "month end", "anywhere"))
    if kind == "change" and (found := walls_of_changes(zone, year)):
        minutes = random.choice((0, 0, 1, 15, 30, 59, 60, -1, -15, -60, -720))
        days = random.choice((0, random.randint(-40, 7)))
        return random.choice(found) + timedelta(days=days, minutes=minutes)
    day = random.choice((28, 29, 30, 31)) if kind == "month end" else random.randint(1, 28)
    hour, minute = random.randrange(24), random.choice((0, 1, 15, 30, 59))
    if (found := walls_of_changes(zone, year)) and random.random() < 0.5:
        at = random.choice(found) + timedelta(minutes=random.choice((0, 1, 15, 30, 59, -1, -30)))
        hour, minute = at.hour, at.minute  # the series then meets the change, if it goes on
    years, month = random.randint(year, year + 2), random.randint(1, 12)
    first = datetime(years, month, 1, hour, minute)
    found_day = first + timedelta(days=day - 1)
    return found_day if found_day.month == month else first + timedelta(days=27)


@cache
def walls_of_changes(zone: Zone, year: int) -> tuple[datetime, ...]:
    """The wall times at which the clock changes, read with the offset before."""
    if "RRULE" not in zone.text:
        return tuple(
            at.replace(tzinfo=None) + before for at, before, _ in changes(zone.name, year, year + 2)
        )
    low, high = datetime(year, 1, 1), datetime(year + 3, 1, 1)
    return tuple(
        wall
        for start, rule in _RULED.findall(zone.text)
        for wall in rrulestr(rule, dtstart=datetime.fromisoformat(start)).between(low, high)
    )
