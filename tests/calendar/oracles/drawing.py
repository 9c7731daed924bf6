"""Whole calendars at random: a series with exceptions and overrides, its zones, and a window.

What is drawn is legal by RFC 5545, and mostly defined by it: starts lie on their rule unless
`off rule` is drawn, and cluster on clock changes, month ends and leap days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice

from hypothesis import strategies as st

from tests.calendar.oracles import drawn_rules, drawn_zones
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.zones import Zone
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances

HOUSEHOLDS = ("Europe/London", "America/New_York", "Australia/Lord_Howe", "UTC")
LENGTHS = ("PT45M", "PT12H", "PT24H", "P1D", "P2D", "P1W", "P1DT6H", "PT0S", "PT90M")
DAY = timedelta(days=1)


def one_in(draw: st.DrawFn, n: int) -> bool:
    """True once in n; the simpler calendar is the one without."""
    return draw(st.integers(0, n - 1)) == n - 1


@dataclass(frozen=True, slots=True)
class Series:
    """What is drawn first: where the series begins, in which form, and by which rule."""

    zone: Zone | None
    floating: bool
    start: datetime
    rule: str

    @property
    def all_day(self) -> bool:
        """Whether it takes whole days."""
        return self.zone is None

    def written(self, name: str, wall: datetime, zone: Zone | None = None) -> str:
        """A property with a time of the series' own form, or of another zone."""
        if self.zone is None:
            return f"{name};VALUE=DATE:{wall:%Y%m%d}"
        if zone is not None and zone != self.zone:
            return timed(name, zone, zone.wall(self.zone.utc(wall)))
        return f"{name}:{wall:%Y%m%dT%H%M%S}" if self.floating else timed(name, self.zone, wall)

    def walls(self, most: int) -> list[datetime]:
        """The first wall times of the series."""
        try:
            found = instances(
                parse_rule(self.rule), self.start, self.start, self.start + 900 * DAY, Steps(10**5)
            )
            return list(islice(found, most))
        except StepsSpent:
            return [self.start]


def timed(name: str, zone: Zone, wall: datetime) -> str:
    """A property with a time in that zone."""
    if zone.name == "UTC":
        return f"{name}:{wall:%Y%m%dT%H%M%S}Z"
    return f"{name};TZID={zone.name}:{wall:%Y%m%dT%H%M%S}"


@st.composite
def questions(draw: st.DrawFn) -> Question:
    """A calendar and a window."""
    household = draw(st.sampled_from(HOUSEHOLDS))
    series, others = draw(_series(household))
    walls = series.walls(60)
    end = draw(_end(series, others))
    master = [
        series.written("DTSTART", series.start),
        *end,
        f"RRULE:{series.rule}",
        *draw(_exceptions(series, walls, others)),
        *draw(_extras(series, walls, others)),
        "SUMMARY:series",
    ]
    if one_in(draw, 30):
        master.append("STATUS:CANCELLED")
    overrides = draw(_overrides(series, walls, others, end))
    events = [] if overrides and one_in(draw, 20) else [master]
    if events and one_in(draw, 25):
        events.insert(0, _older(series, draw(st.integers(-5, 5))))
        master.append("SEQUENCE:2")
    used = {zone.name: zone for zone in (*others, *([series.zone] if series.zone else []))}
    text = _calendar([zone.text for zone in used.values()], [*events, *overrides])
    own = tuple(
        name
        for name in used
        if name in drawn_zones.REUSED and used[name].text and drawn_zones.is_invented(used[name])
    )
    low, high = draw(_window(series, walls))
    return Question(text, low, high, household, own)


def _calendar(zones: Sequence[str], events: Sequence[Sequence[str]]) -> str:
    blocks = [
        "\r\n".join(("BEGIN:VEVENT", "UID:a", "DTSTAMP:20200101T000000Z", *lines, "END:VEVENT", ""))
        for lines in events
    ]
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//weeksync//tests//EN\r\n"
    return "".join((head, *zones, *blocks, "END:VCALENDAR\r\n"))


def _older(series: Series, days: int) -> list[str]:
    """A version of the series that a later one has replaced."""
    start = series.written("DTSTART", series.start + days * DAY)
    return [start, f"RRULE:{series.rule}", "SUMMARY:replaced", "SEQUENCE:1"]


@st.composite
def _series(draw: st.DrawFn, household: str) -> tuple[Series, list[Zone]]:
    zones, near = draw(drawn_zones.zones())
    kind = draw(st.sampled_from(("zone", "zone", "zone", "zone", "floating", "utc", "day")))
    zone: Zone | None = zones[0]
    if kind == "utc":
        zone = drawn_zones.UTC_ZONE
    elif kind == "floating":
        zone = drawn_zones.known(household, near.year)
    elif kind == "day":
        zone, near = None, near.replace(hour=0, minute=0, second=0)
    rule = draw(drawn_rules.rules(near, zone))
    start = near
    if not one_in(draw, 12):
        start = drawn_rules.snapped(rule, near)
    return Series(zone, kind == "floating", start, rule), zones


@st.composite
def _end(draw: st.DrawFn, series: Series, others: Sequence[Zone]) -> list[str]:
    kind = draw(st.sampled_from(("DURATION", "DTEND", "none")))
    if kind == "none":
        return []
    if series.all_day:
        days = draw(st.integers(1, 9))
        if kind == "DURATION":
            return [f"DURATION:P{days}D"]
        return [series.written("DTEND", series.start + days * DAY)]
    if kind == "DURATION":
        return [f"DURATION:{draw(st.sampled_from(LENGTHS))}"]
    minutes = draw(st.sampled_from((0, 15, 60, 95, 720, 1440, 2880, 4000)))
    assert series.zone is not None
    until = series.zone.utc(series.start) + timedelta(minutes=minutes)
    zone = draw(st.sampled_from((series.zone, series.zone, *others)))
    if zone == series.zone and series.zone.utc(series.zone.wall(until)) == until:
        return [series.written("DTEND", series.zone.wall(until))]
    return [timed("DTEND", drawn_zones.UTC_ZONE, until.replace(tzinfo=None))]


@st.composite
def _exceptions(
    draw: st.DrawFn, series: Series, walls: Sequence[datetime], others: Sequence[Zone]
) -> list[str]:
    chosen = draw(st.lists(st.sampled_from(walls), max_size=3, unique=True))
    if one_in(draw, 8):
        chosen.append(draw(st.sampled_from(walls)) + timedelta(hours=5))
    found = []
    for wall in sorted(chosen):
        zone = draw(st.sampled_from((None, None, drawn_zones.UTC_ZONE, *others)))
        if one_in(draw, 12) and not series.all_day:
            found.append(f"EXDATE;VALUE=DATE:{wall:%Y%m%d}")
        else:
            found.append(series.written("EXDATE", wall, zone))
    return found


@st.composite
def _extras(
    draw: st.DrawFn, series: Series, walls: Sequence[datetime], others: Sequence[Zone]
) -> list[str]:
    found = []
    for _ in range(draw(st.sampled_from((0, 0, 0, 1, 2)))):
        wall = draw(st.sampled_from(walls)) + timedelta(
            days=draw(st.integers(0, 9)), hours=draw(st.sampled_from((0, 0, 3)))
        )
        zone = draw(st.sampled_from((None, None, *others)))
        line = series.written("RDATE", wall, zone)
        if not series.all_day and one_in(draw, 4):
            name, value = line.split(":", 1)
            line = f"{name};VALUE=PERIOD:{value}/{draw(st.sampled_from(('PT3H', 'P1D', 'PT30M')))}"
        found.append(line)
    return found


@st.composite
def _overrides(
    draw: st.DrawFn,
    series: Series,
    walls: Sequence[datetime],
    others: Sequence[Zone],
    end: Sequence[str],
) -> list[list[str]]:
    found = []
    how_many = draw(st.sampled_from((0, 0, 1, 1, 2)))
    chosen = draw(
        st.lists(
            st.sampled_from(walls),
            min_size=min(how_many, len(walls)),
            max_size=how_many,
            unique=True,
        )
    )
    future = one_in(draw, 5)
    for number, wall in enumerate(sorted(chosen)):
        named_in = draw(st.sampled_from((None, None, drawn_zones.UTC_ZONE, *others)))
        name = series.written("RECURRENCE-ID", wall, named_in)
        if future and number == 0:
            name = name.replace("RECURRENCE-ID", "RECURRENCE-ID;RANGE=THISANDFUTURE", 1)
        lines = [name, *draw(_moved(series, wall, others, end, future and number == 0))]
        lines.append(f"SUMMARY:moved {number}")
        if one_in(draw, 8):
            lines.append("STATUS:CANCELLED")
        if one_in(draw, 10):
            older = [line for line in lines if not line.startswith(("SUMMARY", "STATUS"))]
            found.append([*older, "SUMMARY:replaced", "SEQUENCE:1"])
            lines.append("SEQUENCE:2")
        found.append(lines)
    return found


@st.composite
def _moved(
    draw: st.DrawFn,
    series: Series,
    wall: datetime,
    others: Sequence[Zone],
    end: Sequence[str],
    future: bool,
) -> list[str]:
    by = timedelta(
        days=draw(st.integers(-3, 3) if future else st.integers(-40, 40)),
        hours=0 if series.all_day else draw(st.sampled_from((0, 1, -2))),
    )
    to = wall + by
    if series.zone is None:
        length = draw(st.sampled_from((f"DURATION:P{draw(st.integers(1, 3))}D", "")))
        return [series.written("DTSTART", to), *([length] if length else [])]
    duration = f"DURATION:{draw(st.sampled_from(LENGTHS))}"
    kind = draw(st.sampled_from(("same", "same", "zone", "day")))
    if kind == "day" and not future:
        return [f"DTSTART;VALUE=DATE:{to:%Y%m%d}"]
    if kind == "zone" and not future:
        zone = draw(st.sampled_from((drawn_zones.UTC_ZONE, *others)))
        return [timed("DTSTART", zone, to), duration]
    return [series.written("DTSTART", to), duration]


@st.composite
def _window(draw: st.DrawFn, series: Series, walls: Sequence[datetime]) -> tuple[date, date]:
    around = draw(st.sampled_from((walls[0], walls[-1], *walls))).date()
    fine = series.rule.startswith(("FREQ=HOURLY", "FREQ=MINUTELY"))
    days = draw(st.integers(1, 4) if fine else st.sampled_from((7, 7, 1, 31, 60, 200, 400)))
    before = draw(st.integers(0, days - 1))
    if one_in(draw, 8):
        before += draw(st.integers(-20, 20))
    low = around - timedelta(days=before)
    return low, low + timedelta(days=days)


__all__ = ["Series", "questions", "timed"]
