"""The household's appointments as one iCalendar text (RFC 5545), for whatever program reads it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import weeksync
from weeksync.lazy import dataclass
from weeksync.model.files import Appointment

if TYPE_CHECKING:
    from icalendar import Event, Timezone

_LAST_YEAR = 2100
"""Changes of the clocks are listed up to there: rules for ever are in no zone data."""


def ics_of(appointments: Sequence[Appointment], tz: ZoneInfo, written: datetime) -> bytes:
    """A VCALENDAR of the appointments in the household's zone `tz`; `written` (UTC) is DTSTAMP.

    Whose time it is, preparations and the way there have no place in it. The same appointments
    give the same bytes.
    """
    from icalendar import Calendar  # 0.1 seconds

    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", f"-//weeksync//weeksync {weeksync.__version__}//EN")
    timed = [one.start for one in appointments if isinstance(one.start, datetime)]
    if timed:
        calendar.add_component(_timezone(tz, min(timed).year))
    for one in appointments:
        calendar.add_component(_event(one, tz, written))
    return bytes(calendar.to_ical())


def _event(one: Appointment, tz: ZoneInfo, written: datetime) -> Event:
    from icalendar import Event, vRecur

    event = Event()
    event.add("uid", one.id)
    event.add("dtstamp", written)
    event.add("summary", one.title)
    event.add("dtstart", _moment(one.start, tz))
    if one.minutes:
        # Not DTEND: an end inside the hour that happens twice would be read as its first time.
        event.add("duration", timedelta(minutes=one.minutes))
    elif one.end is not None:
        event.add("dtend", _moment(one.end, tz))
    if one.repeats:
        rule = vRecur.from_ical(one.repeats)
        if "UNTIL" in rule:
            rule["UNTIL"] = [_until(rule["UNTIL"][0], one, tz)]
        event.add("rrule", rule)
    left_out = [_moment(_on(one, day), tz) for day in one.not_on]
    if left_out:
        event.add("exdate", left_out, parameters={"VALUE": "DATE"} if one.all_day else {})
    if one.place:
        event.add("location", one.place)
    if one.notes:
        event.add("description", one.notes)
    event.add("transp", "OPAQUE" if one.busy else "TRANSPARENT")
    if one.only_for:
        event.add("class", "PRIVATE")
    return event


def _moment(moment: datetime | date, tz: ZoneInfo) -> datetime | date:
    return moment.replace(tzinfo=tz) if isinstance(moment, datetime) else moment


def _on(one: Appointment, day: date) -> datetime | date:
    """When it would begin on that day, as EXDATE wants it said; a day begins it once at most."""
    return datetime.combine(day, one.start.time()) if isinstance(one.start, datetime) else day


def _until(until: datetime | date, one: Appointment, tz: ZoneInfo) -> datetime | date:
    """UNTIL in UTC for timed appointments and as a day for others (RFC 5545 section 3.3.10)."""
    if one.all_day:
        return until.date() if isinstance(until, datetime) else until
    if not isinstance(until, datetime):
        # A day alone ends a timed series with that day, here as where weeksync reads it.
        until = datetime.combine(until, time(23, 59, 59))
    return (until if until.tzinfo is not None else until.replace(tzinfo=tz)).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class _Change:
    """A change of the clocks: offsets before and after, and the wall time before it."""

    before: timedelta
    after: timedelta
    name: str
    summer: bool
    onset: datetime

    @property
    def kind(self) -> tuple[timedelta, timedelta, str, bool]:
        """What changes of one observance have in common."""
        return (self.before, self.after, self.name, self.summer)


def _timezone(tz: ZoneInfo, first_year: int) -> Timezone:
    """The zone from a year before `first_year` on, every change listed."""
    from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

    zone = Timezone()
    zone.add("tzid", tz.key)
    changes: dict[tuple[timedelta, timedelta, str, bool], list[datetime]] = {}
    for change in _changes(tz, datetime(first_year - 1, 1, 1, tzinfo=UTC)):
        changes.setdefault(change.kind, []).append(change.onset)
    for (before, after, name, summer), onsets in changes.items():
        part = TimezoneDaylight() if summer else TimezoneStandard()
        part.add("dtstart", onsets[0])
        if onsets[1:]:
            part.add("rdate", onsets[1:])
        part.add("tzoffsetfrom", before)
        part.add("tzoffsetto", after)
        part.add("tzname", name)
        zone.add_component(part)
    return zone


def _changes(tz: ZoneInfo, first: datetime) -> Iterator[_Change]:
    """What the clocks showed at `first`, and every change after it."""
    now = first.astimezone(tz)
    yield _change(now, _offset(now))
    moment = first
    while moment.year < _LAST_YEAR:
        later = moment + timedelta(days=7)
        if _shown(moment, tz) != _shown(later, tz):
            before = _offset(moment.astimezone(tz))
            yield _change(_first_after(moment, later, tz).astimezone(tz), before)
        moment = later


def _first_after(same: datetime, other: datetime, tz: ZoneInfo) -> datetime:
    """The first second (UTC) between the two at which the clocks are no longer as at `same`."""
    as_before = _shown(same, tz)
    while other - same > timedelta(seconds=1):
        middle = same + timedelta(seconds=int((other - same).total_seconds()) // 2)
        if _shown(middle, tz) == as_before:
            same = middle
        else:
            other = middle
    return other


def _change(at: datetime, before: timedelta) -> _Change:
    onset = at.astimezone(UTC).replace(tzinfo=None) + before
    return _Change(before, _offset(at), at.tzname() or "", bool(at.dst()), onset)


def _shown(moment: datetime, tz: ZoneInfo) -> tuple[timedelta | None, str | None]:
    local = moment.astimezone(tz)
    return local.utcoffset(), local.tzname()


def _offset(local: datetime) -> timedelta:
    return local.utcoffset() or timedelta()
