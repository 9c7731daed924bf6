"""Occurrences and to-dos: what the calendars say about a window of time."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.lazy import dataclass
from weeksync.zones import first_instant


def says_public(classification: str) -> bool:
    """Whether CLASS holds nothing back (RFC 5545 section 3.8.1.3).

    Without CLASS the default is PUBLIC; a value that is not known is treated as PRIVATE. That it
    holds nothing back is no consent to anything.
    """
    return classification in {"", "PUBLIC"}


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One time an event happens.

    `start` and `end` are aware datetimes in the household's zone, or dates where `all_day`;
    the interval is half-open. `zone` is the TZID the event itself is kept in: an IANA name,
    `UTC`, or "" for floating and all-day. `identity` is what the series calls this occurrence
    (its RECURRENCE-ID): the UTC instant as `20270322T103000Z`, a date as `20270322`, "" for an
    event that does not recur. `journal` marks an entry of VJOURNAL: never busy.
    """

    source: str
    collection: str
    uid: str
    identity: str
    title: str
    start: datetime | date
    end: datetime | date
    zone: str = ""
    busy: bool = True
    cancelled: bool = False
    tentative: bool = False
    journal: bool = False
    classification: str = ""
    place: str = ""
    notes: str = ""
    link: str = ""
    categories: tuple[str, ...] = ()
    attendees: tuple[str, ...] = ()
    """Addresses of attendees and organizer, lower case, without `mailto:`."""
    sequence: int = 0
    stamp: str = ""
    """DTSTAMP or LAST-MODIFIED as written, for choosing between equals."""
    persons: tuple[str, ...] = ()
    area: str | None = None
    away: bool = False
    travel_minutes: int = 0
    only_for: tuple[str, ...] = ()
    also_in: tuple[str, ...] = ()
    """Ids of other sources that hold the same occurrence."""

    @property
    def all_day(self) -> bool:
        """Whether it takes whole days."""
        return not isinstance(self.start, datetime)

    def bounds(self, tz: ZoneInfo) -> tuple[datetime, datetime]:
        """(start, end) as UTC instants; an all-day one runs over the days of the zone `tz`."""
        return _instant(self.start, tz), _instant(self.end, tz)

    def touches(self, day: date, tz: ZoneInfo) -> bool:
        """Whether it belongs to `day`: half-open, a zero-length one to the day of its start."""
        if self.all_day:
            last = max(self._date(self.end) - timedelta(days=1), self._date(self.start))
            return self._date(self.start) <= day <= last
        start, end = self.bounds(tz)
        low, high = first_instant(day, tz), first_instant(day + timedelta(days=1), tz)
        return low <= start < high or (start < low and end > low and low < high)

    @staticmethod
    def _date(moment: datetime | date) -> date:
        return moment.date() if isinstance(moment, datetime) else moment


@dataclass(frozen=True, slots=True)
class TodoItem:
    """A VTODO of a calendar, or one occurrence of a recurring one.

    `due` and `start` are aware datetimes in the household's zone, dates, or None. `priority`
    is 1 highest to 9 lowest, 0 for none (RFC 5545 section 3.8.1.9). `status` is as written.
    """

    source: str
    collection: str
    uid: str
    identity: str
    title: str
    start: datetime | date | None = None
    due: datetime | date | None = None
    priority: int = 0
    status: str = ""
    completed: date | None = None
    percent: int = 0
    estimate_minutes: int | None = None
    classification: str = ""
    notes: str = ""
    categories: tuple[str, ...] = ()
    sequence: int = 0
    stamp: str = ""
    persons: tuple[str, ...] = ()
    area: str | None = None
    ticks: bool = False
    """Whether it can be ticked here: its list is written back to its server."""

    @property
    def open(self) -> bool:
        """Neither completed nor cancelled."""
        return self.completed is None and self.status not in {"COMPLETED", "CANCELLED"}


def _instant(moment: datetime | date, tz: ZoneInfo) -> datetime:
    if isinstance(moment, datetime):
        return moment.astimezone(UTC)
    return first_instant(moment, tz)
