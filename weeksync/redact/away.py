"""Absences: what counts as one, and which weeks have to wait for the end of one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.message import Message, message
from weeksync.model.files import Appointment
from weeksync.model.occurrence import Occurrence
from weeksync.zones import first_instant

_DAY = timedelta(days=1)


def refusals(
    days: Sequence[date], absences: Iterable[Occurrence], now: datetime, tz: ZoneInfo
) -> tuple[Message, ...]:
    """Why the week of these days may not be shared at `now`; () where it may.

    It has to be over, and so has every absence that touches it: one that overlaps it, begins the
    moment it ends, or is joined to it by further absences without a gap (a journey written as
    three nights in three places is one absence). `absences` are those around the week, as far as
    `now`; `tz` is the household's zone today. Intervals are half-open, so touching is `<=`.
    """
    today = now.astimezone(tz).date()
    if days[-1] >= today:
        day = (days[-1] + timedelta(days=1)).isoformat()
        return (message("the week is not over; it can be shared from {day} on", day=day),)
    begun, ended = first_instant(days[0], tz), first_instant(days[-1] + timedelta(days=1), tz)
    last = _joined(ended, [one.bounds(tz) for one in absences], begun)
    if last <= now.astimezone(UTC):
        return ()
    over = last.astimezone(tz).date()
    if first_instant(over, tz) < last:
        over += timedelta(days=1)
    return (
        message(
            "an absence that touches the week is not over; it can be shared from {day} on",
            day=over.isoformat(),
        ),
    )


def _joined(
    ended: datetime, spans: Iterable[tuple[datetime, datetime]], begun: datetime
) -> datetime:
    """When the last absence ends that touches the time from `begun` to `ended`, else `begun`."""
    reach, last = ended, begun
    for start, end in sorted(spans):
        if end < begun or start > reach:
            continue
        last = max(last, end)
        reach = max(reach, end)
    return last


def may_be_away(one: Occurrence, *, at_home: bool) -> bool:
    """Whether something that nobody calls an absence looks like one: it takes more than a day.

    An all-day event over several days is often a journey, and often transparent (RFC 5545 section
    3.8.2.7), and nothing else on a page tells a stranger more; one with times counts from 24 hours
    on. `at_home` where the household says that it is none.
    """
    if at_home:
        return False
    if isinstance(one.start, datetime) and isinstance(one.end, datetime):
        return one.end.astimezone(UTC) - one.start.astimezone(UTC) >= _DAY
    return _date(one.end) - _date(one.start) > _DAY


def _date(moment: datetime | date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


def says_at_home(spoken: bool | None, entry: Appointment | None) -> bool:
    """Whether a rule, or the entry of an appointment, says `away = false`."""
    return spoken is False or (entry is not None and entry.away is not None)
