"""Busy times for a file of them (VFREEBUSY, RFC 5545 section 3.6.4), without any absence.

Only what may be seen on the page at all, and takes time (TRANSP, section 3.8.2.7; STATUS CANCELLED
never does). Where times are rounded on the page, they are here: to the hour of UTC, outwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.model.occurrence import Occurrence
from weeksync.model.shared import BusyPeriod

Span = tuple[datetime, datetime]
_HOUR = timedelta(hours=1)


def busy_times(
    shown: Iterable[Occurrence],
    absences: Iterable[Occurrence],
    week: Span,
    tz: ZoneInfo,
    *,
    rounded: bool,
) -> tuple[BusyPeriod, ...]:
    """The busy stretches of the week, merged, in UTC (section 3.8.2.6), absences cut out."""
    spans = [
        one.bounds(tz)
        for one in shown
        if one.busy and not one.cancelled and isinstance(one.start, datetime)
    ]
    if rounded:
        spans = [_outwards(*span) for span in spans]
    low, high = week
    inside = [(max(start, low), min(end, high)) for start, end in spans]
    away = _merged([one.bounds(tz) for one in absences])
    left = [piece for span in _merged(inside) for piece in _without(span, away)]
    return tuple(BusyPeriod(start, end) for start, end in left)


def _outwards(start: datetime, end: datetime) -> Span:
    begins = start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    ends = end.astimezone(UTC)
    full = ends.replace(minute=0, second=0, microsecond=0)
    ends = full if full == ends else full + _HOUR
    return begins, max(ends, begins + _HOUR)


def _merged(spans: Sequence[Span]) -> list[Span]:
    found: list[Span] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((start, end))
    return found


def _without(span: Span, away: Iterable[Span]) -> Iterable[Span]:
    """What is left of a stretch when the absences, in order, are cut out."""
    at, end = span
    for begins, ends in away:
        if ends <= at or begins >= end:
            continue
        if at < begins:
            yield at, begins
        at = max(at, ends)
    if at < end:
        yield at, end
