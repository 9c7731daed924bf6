"""Whole calendars at random: a series with exceptions and overrides, its zones, and a window.

What is drawn is legal by RFC 5545, and mostly defined by it: starts lie on their rule in eleven
of twelve, and cluster on clock changes and month ends. Every calendar is drawn from one seed,
not part by part: shrinking by parts is done on the text (`minimal`), where it keeps more of
what matters, and drawing by parts repeats pieces of the calendars before, so that of a thousand
cases few are new.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice, takewhile
from random import Random

from hypothesis import strategies as st

from tests.calendar.oracles import drawn_rules, drawn_zones
from tests.calendar.oracles.drawn_zones import UTC_ZONE
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.zones import Zone
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances

HOUSEHOLDS = ("Europe/London", "America/New_York", "Australia/Lord_Howe", "UTC")
LENGTHS = ("PT45M", "PT12H", "PT24H", "P1D", "P2D", "P1W", "P1DT6H", "PT0S", "PT90M")
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Series:
    """Where the series begins, in which form, and by which rule; `zone` is None for days."""

    zone: Zone | None
    floating: bool
    start: datetime
    rule: str
    others: tuple[Zone, ...]

    def written(self, name: str, wall: datetime, zone: Zone | None = None) -> str:
        """A property with a time of the series' own form, or the same instant elsewhere."""
        if self.zone is None:
            return f"{name};VALUE=DATE:{wall:%Y%m%d}"
        if zone is not None and zone != self.zone:
            return timed(name, zone, zone.wall(self.zone.utc(wall)))
        return f"{name}:{wall:%Y%m%dT%H%M%S}" if self.floating else timed(name, self.zone, wall)

    def walls(self, most: int) -> list[datetime]:
        """The first wall times of the series."""
        found: Iterator[datetime] = instances(
            parse_rule(self.rule), self.start, self.start, self.start + 900 * DAY, Steps(10**5)
        )
        until = re.search(r"UNTIL=(\d{8})(T\d{6})?(Z?)", self.rule)
        if until is not None:
            last = datetime.fromisoformat(until[1] + (until[2] or "T235959"))
            if until[3] and self.zone is not None:
                last = self.zone.wall(last.replace(tzinfo=UTC))
            found = takewhile(lambda wall: wall <= last or wall == self.start, found)
        try:
            return list(islice(found, most))
        except StepsSpent:
            return [self.start]


def timed(name: str, zone: Zone, wall: datetime) -> str:
    """A property with a time in that zone."""
    if zone.name == "UTC":
        return f"{name}:{wall:%Y%m%dT%H%M%S}Z"
    return f"{name};TZID={zone.name}:{wall:%Y%m%dT%H%M%S}"


def questions() -> st.SearchStrategy[Question]:
    """Calendars and windows."""
    return st.integers(0, 2**64 - 1).map(lambda seed: question(Random(seed)))


def question(random: Random) -> Question:
    """A calendar and a window."""
    household = random.choice(HOUSEHOLDS)
    series = _series(random, household)
    walls = series.walls(60)
    master = [
        series.written("DTSTART", series.start),
        *_end(random, series),
        f"RRULE:{series.rule}",
        *_exceptions(random, series, walls),
        *_extras(random, series, walls),
        "SUMMARY:series",
    ]
    if random.random() < 0.03:
        master.append("STATUS:CANCELLED")
    overrides = _overrides(random, series, walls)
    events = [] if overrides and random.random() < 0.04 else [master]
    if events and random.random() < 0.04:
        start = series.written("DTSTART", series.start + random.randint(-5, 5) * DAY)
        events.insert(0, [start, f"RRULE:{series.rule}", "SUMMARY:replaced", "SEQUENCE:1"])
        master.append("SEQUENCE:2")
    zones = {zone.name: zone for zone in (*series.others, series.zone) if zone is not None}
    text = calendar([zone.text for zone in zones.values()], [*events, *overrides])
    low, high = _window(random, series, walls)
    own = tuple(sorted(name for name, zone in zones.items() if drawn_zones.is_invented(zone)))
    return Question(text, low, high, household, own)


def calendar(zones: Sequence[str], events: Sequence[Sequence[str]]) -> str:
    """A text of these VTIMEZONEs and of VEVENTs with one UID."""
    blocks = [
        "\r\n".join(("BEGIN:VEVENT", "UID:a", "DTSTAMP:20200101T000000Z", *lines, "END:VEVENT", ""))
        for lines in events
    ]
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//weeksync//tests//EN\r\n"
    return "".join((head, *zones, *blocks, "END:VCALENDAR\r\n"))


def _series(random: Random, household: str) -> Series:
    zones, near = drawn_zones.zones(random)
    kind = random.choice(("zone",) * 5 + ("floating", "utc", "day"))
    zone: Zone | None = zones[0]
    if kind == "utc":
        zone = UTC_ZONE
    elif kind == "floating":
        zone = drawn_zones.known(household, near.year)
    elif kind == "day":
        zone, near = None, near.replace(hour=0, minute=0, second=0)
    rule, start = _rule(random, near, timed=zone is not None)
    freq = rule.split(";")[0].removeprefix("FREQ=")
    rule += drawn_rules.bound(random, freq, start, zone)
    others = tuple(one for one in zones if kind != "floating" or one.name != household)
    return Series(zone, kind == "floating", start, rule, others)


def _rule(random: Random, near: datetime, *, timed: bool) -> tuple[str, datetime]:
    """A rule and where its series begins; rules that fall on no day are drawn again, since
    dateutil looks for their first day up to the year 9999."""
    while True:
        rule = drawn_rules.rule(random, timed=timed)
        start = drawn_rules.snapped(rule, near)
        if start is not None:
            return rule, near if random.random() < 0.08 else start


def _end(random: Random, series: Series) -> list[str]:
    kind = random.choice(("DURATION", "DTEND", "none"))
    if kind == "none":
        return []
    if series.zone is None:
        days = random.randint(1, 9)
        if kind == "DURATION":
            return [f"DURATION:P{days}D"]
        return [series.written("DTEND", series.start + days * DAY)]
    if kind == "DURATION":
        return [f"DURATION:{random.choice(LENGTHS)}"]
    minutes = random.choice((0, 15, 60, 95, 720, 1440, 2880, 4000))
    until = series.zone.utc(series.start) + timedelta(minutes=minutes)
    zone = random.choice((series.zone, series.zone, UTC_ZONE, *series.others))
    if zone.utc(zone.wall(until)) != until:  # the second of a repeated time has no local name
        zone = UTC_ZONE
    if zone == series.zone:
        return [series.written("DTEND", zone.wall(until))]
    return [timed("DTEND", zone, zone.wall(until))]


def _exceptions(random: Random, series: Series, walls: Sequence[datetime]) -> list[str]:
    chosen = random.sample(walls, min(len(walls), random.choice((0, 0, 1, 2, 3))))
    if random.random() < 0.1:
        chosen.append(random.choice(walls) + timedelta(hours=5))
    found = []
    for wall in sorted(chosen):
        if random.random() < 0.06 and series.zone is not None:
            found.append(f"EXDATE;VALUE=DATE:{wall:%Y%m%d}")
        else:
            zone = random.choice((None, None, UTC_ZONE, *series.others))
            found.append(series.written("EXDATE", wall, zone))
    return found


def _extras(random: Random, series: Series, walls: Sequence[datetime]) -> list[str]:
    found = []
    for _ in range(random.choice((0, 0, 0, 0, 1, 2))):
        by = timedelta(days=random.randint(0, 9), hours=random.choice((0, 0, 3)))
        zone = random.choice((None, None, *series.others))
        line = series.written("RDATE", random.choice(walls) + by, zone)
        if series.zone is not None and random.random() < 0.2:
            name, value = line.split(":", 1)
            line = f"{name};VALUE=PERIOD:{value}/{random.choice(('PT3H', 'P1D', 'PT30M'))}"
        found.append(line)
    return found


def _overrides(random: Random, series: Series, walls: Sequence[datetime]) -> list[list[str]]:
    found = []
    chosen = random.sample(walls, min(len(walls), random.choice((0, 0, 0, 1, 1, 2))))
    future = random.random() < 0.2
    for number, wall in enumerate(sorted(chosen)):
        for_all = future and number == 0
        zone = random.choice((None, None, UTC_ZONE, *series.others))
        name = series.written("RECURRENCE-ID", wall, zone)
        if for_all:
            name = name.replace("RECURRENCE-ID", "RECURRENCE-ID;RANGE=THISANDFUTURE", 1)
        lines = [name, *_moved(random, series, wall, future=for_all), f"SUMMARY:moved {number}"]
        if random.random() < 0.1:
            found.append([*lines[:-1], "SUMMARY:replaced", "SEQUENCE:1"])
            lines.append("SEQUENCE:2")
        if random.random() < 0.12:
            lines.append("STATUS:CANCELLED")
        found.append(lines)
    return found


def _moved(random: Random, series: Series, wall: datetime, *, future: bool) -> list[str]:
    """DTSTART and length of an override."""
    days = random.randint(-3, 3) if future else random.randint(-40, 40)
    if series.zone is None:
        length = [f"DURATION:P{random.randint(1, 3)}D"] if random.random() < 0.5 else []
        return [series.written("DTSTART", wall + days * DAY), *length]
    to = wall + timedelta(days=days, hours=random.choice((0, 1, -2)))
    kind = "same" if future else random.choice(("same", "same", "zone", "day"))
    if kind == "day":
        return [f"DTSTART;VALUE=DATE:{to:%Y%m%d}"]
    duration = f"DURATION:{random.choice(LENGTHS)}"
    if kind == "zone":
        return [timed("DTSTART", random.choice((UTC_ZONE, *series.others)), to), duration]
    return [series.written("DTSTART", to), duration]


def _window(random: Random, series: Series, walls: Sequence[datetime]) -> tuple[date, date]:
    around = random.choice((walls[0], walls[-1], random.choice(walls))).date()
    if series.zone not in (None, UTC_ZONE) and random.random() < 0.4:
        around = _with_change(random, series.zone, walls) or around
    days = random.choice((1, 7, 7, 31, 60, 200, 400))
    if series.rule.startswith(("FREQ=HOURLY", "FREQ=MINUTELY")):
        days = 1 if series.rule.startswith("FREQ=MINUTELY") else random.randint(1, 3)
    low = around - timedelta(days=random.randrange(days))
    if random.random() < 0.1:
        low += timedelta(days=random.randint(-20, 20))
    return low, low + timedelta(days=days)


def _with_change(random: Random, zone: Zone, walls: Sequence[datetime]) -> date | None:
    """A day with a change of the clock on which the series has an instance."""
    years = sorted({wall.year for wall in walls})
    changes = {at.date() for at in drawn_zones.walls_of_changes(zone, years[0])}
    found = [wall.date() for wall in walls if wall.date() in changes]
    return random.choice(found) if found else None
