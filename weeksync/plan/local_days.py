"""The days of the household's zone: where they begin, how long they are, what lies in them."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.zones import first_instant

_TICK = timedelta(microseconds=1)


class LocalDays:
    """The days of one zone; each bound is worked out once."""

    def __init__(self, tz: ZoneInfo) -> None:
        self.tz = tz
        self._starts: dict[date, datetime] = {}
        self._minutes: dict[date, int] = {}

    def start(self, day: date) -> datetime:
        """The first UTC instant of `day`."""
        found = self._starts.get(day)
        if found is None:
            found = self._starts[day] = first_instant(day, self.tz)
        return found

    def minutes(self, day: date) -> int:
        """How long `day` is: 1380, 1440, 1500, or 0 for one that does not exist."""
        found = self._minutes.get(day)
        if found is None:
            length = self.start(day + timedelta(days=1)) - self.start(day)
            found = self._minutes[day] = int(length.total_seconds() // 60)
        return found

    def of(self, moment: datetime) -> date:
        """The day that holds an aware `moment`.

        Not always its local date: where clocks fall back over midnight the last hour of a day
        comes twice, and the second time lies in the next day, which has begun already. At the
        ends of the calendar, where no other zone's time can be told, the date as written counts.
        """
        if not 1 < moment.year < 9999:
            return moment.date()
        day = moment.astimezone(self.tz).date()
        # A time of the zone itself that comes for the second time says so (PEP 495).
        if moment.tzinfo is self.tz and not moment.fold and self.minutes(day):
            return day
        following = day + timedelta(days=1)
        return following if moment >= self.start(following) else day

    def span(self, start: datetime | date, end: datetime | date) -> tuple[date, date]:
        """The first and last day that a half-open interval touches; one of no length its start's.

        Dates are whole days: an all-day occurrence ends before its `end`.
        """
        if isinstance(start, datetime) and isinstance(end, datetime):
            first = self.of(start)
            return first, self.of(end - _TICK) if end > start else first
        first, after = _date(start), _date(end)
        return first, max(first, after - timedelta(days=1))


def _date(moment: datetime | date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
