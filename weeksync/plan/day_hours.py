"""The hours of a day as moments: its bounds, what of it can be planned, its parts."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from weeksync.model.config import Planning
from weeksync.model.day_parts import PartHours
from weeksync.model.fields import DayPart, parse_hours
from weeksync.plan.intervals import Span
from weeksync.plan.local_days import LocalDays
from weeksync.zones import instant

_DAY = 24 * 60


class DayHours:
    """Clock times of the household's days as spans of UTC seconds.

    On a day on which the clocks change the spans have their exact lengths; a time that does not
    exist is read with the offset before the gap, one that comes twice is the first (RFC 5545
    section 3.3.5).
    """

    def __init__(self, days: LocalDays, planning: Planning, parts: PartHours) -> None:
        self._days = days
        self._planning = parse_hours(planning.hours) or (0, _DAY)
        self._stretches = parts.stretches()
        self._bounds: dict[date, Span] = {}
        self._parts: dict[date, list[tuple[DayPart, Span]]] = {}

    def bounds(self, day: date) -> Span:
        """The whole day; empty where it does not exist in the zone."""
        found = self._bounds.get(day)
        if found is None:
            found = _seconds(self._days.start(day)), _seconds(self._days.start(_after(day)))
            self._bounds[day] = found
        return found

    def planning(self, day: date) -> list[tuple[DayPart, Span]]:
        """The hours of the day that can be planned, by the parts of the day, in order."""
        found = self._parts.get(day)
        if found is None:
            bounds = self.planned(day)
            found = [
                (part, (max(span[0], bounds[0]), min(span[1], bounds[1])))
                for part, low, high in self._stretches
                for span in [self.within(day, low, high)]
                if span[0] < bounds[1] and span[1] > bounds[0]
            ]
            self._parts[day] = found
        return found

    def planned(self, day: date) -> Span:
        """The hours of the day that can be planned, as one span."""
        return self.within(day, *self._planning)

    def within(self, day: date, low: int, high: int) -> Span:
        """From `low` to `high` minutes after midnight, as far as it lies in the day."""
        first, last = self.bounds(day)
        start, end = self.between(day, low, high)
        start = min(max(start, first), last)
        return start, max(min(end, last), start)

    def between(self, day: date, low: int, high: int) -> Span:
        """From `low` to `high` minutes after midnight, `high` on the next day where over 1440."""
        return self.clock(day, low), self.clock(day, high)

    def clock(self, day: date, minutes: int) -> int:
        """The UTC second at which the clock of `day` shows so many minutes after midnight."""
        first, last = self.bounds(day)
        if minutes >= _DAY:
            return last if minutes == _DAY else self.clock(_after(day), minutes - _DAY)
        if last - first == _DAY * 60:
            return first + minutes * 60
        local = datetime.combine(day, time(minutes // 60, minutes % 60))
        return _seconds(instant(local, self._days.tz))

    def seconds(self, moment: datetime) -> int:
        """The UTC second of an aware time, quickly where it is one of the household's zone.

        On a day of 24 hours no clock changes, and the time of day says it.
        """
        if moment.tzinfo is self._days.tz and not moment.fold:
            first, last = self.bounds(moment.date())
            if last - first == _DAY * 60:
                return first + moment.hour * 3600 + moment.minute * 60 + moment.second
        return _seconds(moment)

    def moment(self, seconds: int) -> datetime:
        """That UTC second as an aware time of the household's zone."""
        return datetime.fromtimestamp(seconds, self._days.tz)

    def day_of(self, seconds: int) -> date:
        """The day that holds that UTC second."""
        day = self.moment(seconds).date()
        return _after(day) if seconds >= self.bounds(day)[1] else day


def _after(day: date) -> date:
    return day + timedelta(days=1)


def _seconds(moment: datetime) -> int:
    return int(moment.timestamp())
