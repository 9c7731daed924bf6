"""A calendar's text as its properties, for explaining a difference: no reading of weeksync's."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property

from tests.calendar.oracles.literal import Reading
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.zones import Zone, of_text

_EVENT = re.compile(r"BEGIN:VEVENT\r?\n(.*?)END:VEVENT", re.DOTALL)
_TZID = re.compile(r"TZID=([^;]+)")
_LENGTH = re.compile(r"P(?:(\d+)W)?(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?", re.ASCII)
_UNTIL = re.compile(r"UNTIL=(\d{8})(?:T(\d{6})(Z?))?")
UTC_ZONE = Zone("UTC", "", UTC)


@dataclass(frozen=True)
class Stamp:
    """A time as written: its wall time and zone, None where it is a day."""

    wall: datetime
    zone: Zone | None

    @property
    def instant(self) -> datetime:
        """The UTC instant, of a day its midnight in UTC."""
        return (self.zone or UTC_ZONE).utc(self.wall)


@dataclass(frozen=True)
class Event:
    """A VEVENT: (name, parameters, value) of each line."""

    lines: tuple[tuple[str, str, str], ...]
    zones: dict[str, Zone]
    high: datetime
    """Up to where its instances are of interest, as a wall time."""

    def text(self, name: str) -> str:
        """The value of a property, "" where it is not there."""
        return next((value for one, _, value in self.lines if one == name), "")

    def stamps(self, name: str) -> list[Stamp]:
        """The times of a property; of a PERIOD its start."""
        return [
            self._stamp(parameters, value.partition("/")[0])
            for one, parameters, values in self.lines
            if one == name
            for value in values.split(",")
        ]

    def _stamp(self, parameters: str, value: str) -> Stamp:
        wall = datetime.fromisoformat(value.removesuffix("Z"))
        if len(value) == 8:
            return Stamp(wall, None)
        named = _TZID.search(parameters)
        return Stamp(
            wall, UTC_ZONE if value.endswith("Z") or named is None else self.zones[named[1]]
        )

    def stamp(self, name: str) -> Stamp | None:
        """The time of a property that stands once."""
        return next(iter(self.stamps(name)), None)

    @cached_property
    def start(self) -> Stamp:
        """DTSTART."""
        found = self.stamp("DTSTART")
        assert found is not None
        return found

    @cached_property
    def named(self) -> Stamp | None:
        """RECURRENCE-ID."""
        return self.stamp("RECURRENCE-ID")

    @property
    def for_future(self) -> bool:
        """RANGE=THISANDFUTURE."""
        return any(one == "RECURRENCE-ID" and "RANGE" in rest for one, rest, _ in self.lines)

    @cached_property
    def rule(self) -> Reading | None:
        """RRULE, read word by word."""
        text = self.text("RRULE")
        return Reading(text, self.start.wall) if text else None

    @cached_property
    def walls(self) -> list[datetime]:
        """The wall times its rule gives, read word by word; none where that takes too long."""
        try:
            return self.rule.instances(self.high) if self.rule is not None else []
        except OverflowError:
            return []

    @cached_property
    def periods(self) -> set[datetime]:
        """When the RDATEs that are PERIODs start."""
        return {
            self._stamp(parameters, value.partition("/")[0]).instant
            for one, parameters, values in self.lines
            if one == "RDATE" and "PERIOD" in parameters
            for value in values.split(",")
        }

    def has(self, named: Stamp) -> bool:
        """Whether that is an instance of the series, by rule or RDATE."""
        if any(one.instant == named.instant for one in (self.start, *self.stamps("RDATE"))):
            return True
        zone = self.start.zone or UTC_ZONE
        if self.until is not None and named.instant > self.until:
            return False
        near = zone.wall(named.instant)
        return any(
            zone.utc(wall) == named.instant
            for wall in self.walls
            if abs(wall - near) < timedelta(days=1)
        )

    @cached_property
    def until(self) -> datetime | None:
        """UNTIL as an instant: a date is the end of that day, a local time is the series' own."""
        found = _UNTIL.search(self.text("RRULE"))
        if found is None:
            return None
        wall = datetime.fromisoformat(f"{found[1]}T{found[2] or '235959'}")
        return (UTC_ZONE if found[3] else self.start.zone or UTC_ZONE).utc(wall)

    @cached_property
    def length(self) -> tuple[timedelta, timedelta]:
        """Its days by the calendar and what is exact."""
        end = self.stamp("DTEND")
        if end is not None:
            return timedelta(0), end.instant - self.start.instant
        found = _LENGTH.fullmatch(self.text("DURATION") or "PT0S")
        assert found is not None
        weeks, days, hours, minutes, rest = (int(one or 0) for one in found.groups())
        exact = timedelta(hours=hours, minutes=minutes, seconds=rest)
        return timedelta(weeks=weeks, days=days), exact

    @property
    def hours(self) -> timedelta:
        """How long it takes if a day has 24 hours."""
        return sum(self.length, timedelta(0))


class Sheet:
    """The events of a question, as the oracles get it."""

    def __init__(self, question: Question) -> None:
        text = question.told()
        zones = of_text(text, question.own)
        high = question.high.replace(tzinfo=None) + timedelta(days=60)
        self.events = [
            Event(tuple(_line(line) for line in body.splitlines()), zones, high)
            for body in _EVENT.findall(text)
        ]

    @cached_property
    def master(self) -> Event | None:
        """The series itself, in its latest version."""
        found = [one for one in self.events if one.named is None]
        return max(found, key=lambda one: int(one.text("SEQUENCE") or 0), default=None)

    def titled(self, title: str) -> Event | None:
        """The event of that SUMMARY."""
        return next((one for one in self.events if one.text("SUMMARY") == title), None)

    @property
    def overrides(self) -> list[Event]:
        """The components with a RECURRENCE-ID."""
        return [one for one in self.events if one.named is not None]


def _line(line: str) -> tuple[str, str, str]:
    head, _, value = line.partition(":")
    name, _, parameters = head.partition(";")
    return name, parameters, value
