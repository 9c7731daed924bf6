"""Occurrences by day: indexed once, then each day finds its own."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from weeksync.lazy import dataclass
from weeksync.model.day_parts import PartHours
from weeksync.model.elsewhere import OtherClocks
from weeksync.model.fields import DayPart
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import DayOccurrence, LeftOut
from weeksync.plan.local_days import LocalDays

_LONG = 14
"""Occurrences over more days than this are kept apart, so that a search need not reach back
as far as the longest of all."""

_Order = tuple[int, int, float, float, str, str, str, str, str, str]


@dataclass(frozen=True, slots=True)
class _Entry:
    """An occurrence with the days it touches."""

    occurrence: Occurrence
    first: date
    last: date


class DayIndex:
    """Occurrences in the household's zone, found by the day they touch.

    Within a day all-day ones come first, the longer before the shorter and then by title; the
    others by start, end and title. Equal ones are put in order by source, UID and identity, so
    that the order never depends on the order in which they were handed over.
    """

    def __init__(
        self,
        occurrences: Iterable[Occurrence],
        days: LocalDays,
        hours: PartHours,
        clocks: OtherClocks,
    ) -> None:
        self._clocks = clocks
        self._made: dict[date, tuple[DayOccurrence, ...]] = {}
        self._days = days
        self._hours = hours
        entries = sorted((self._entry(one) for one in occurrences), key=lambda one: one.first)
        self._short = [one for one in entries if (one.last - one.first).days < _LONG]
        self._firsts = [one.first for one in self._short]
        self._long = [one for one in entries if (one.last - one.first).days >= _LONG]

    def on(self, day: date) -> tuple[DayOccurrence, ...]:
        """What touches `day`, in the order of the day.

        On a day that does not exist in the zone only all-day occurrences can lie.
        """
        made = self._made.get(day)
        if made is None:
            made = self._made[day] = self._found(day)
        return made

    def _found(self, day: date) -> tuple[DayOccurrence, ...]:
        low = bisect_left(self._firsts, day - timedelta(days=_LONG))
        high = bisect_right(self._firsts, day)
        found = [one for one in self._short[low:high] if one.last >= day]
        found += [one for one in self._long if one.first <= day <= one.last]
        if self._days.minutes(day) == 0:
            found = [one for one in found if one.occurrence.all_day]
        found.sort(key=lambda one: _order(one.occurrence, one.first, one.last))
        return tuple(self._on_day(one, day) for one in found)

    def _entry(self, one: Occurrence) -> _Entry:
        first, last = self._days.span(one.start, one.end)
        return _Entry(one, first, last)

    def _on_day(self, entry: _Entry, day: date) -> DayOccurrence:
        return DayOccurrence(
            entry.occurrence,
            self._part(entry, day),
            from_before=entry.first < day,
            goes_on=entry.last > day,
            elsewhere=self._clocks.of(entry.occurrence),
        )

    def _part(self, entry: _Entry, day: date) -> DayPart | None:
        start = entry.occurrence.start
        if not isinstance(start, datetime):
            return None
        visible = self._days.start(day) if entry.first < day else start
        tz = self._days.tz
        local = visible if visible.tzinfo is tz else visible.astimezone(tz)
        return self._hours.part(local.hour * 60 + local.minute)


def _order(one: Occurrence, first: date, last: date) -> _Order:
    names = (one.title.casefold(), one.title, one.source, one.collection, one.uid, one.identity)
    if isinstance(one.start, datetime) and isinstance(one.end, datetime):
        # as seconds: moments of one zone are compared by their wall time, which may come twice
        return 1, 0, one.start.timestamp(), one.end.timestamp(), *names
    return 0, (first - last).days, 0.0, 0.0, *names


def _is_far(one: Occurrence, first: date, last: date) -> bool:
    """Whether it surely touches no day from `first` to `last`, told without its zone.

    Of ten thousand that were called off only few lie in one week, and each week asks for its own.
    """
    begins = one.start.date() if isinstance(one.start, datetime) else one.start
    ends = one.end.date() if isinstance(one.end, datetime) else one.end
    return (begins - last).days > 1 or (first - ends).days > 1


def left_out_within(
    left_out: Iterable[LeftOut], days: LocalDays, first: date, last: date
) -> tuple[LeftOut, ...]:
    """Those that would have touched a day from `first` to `last`, by day and then title."""
    found = []
    for one in left_out:
        if _is_far(one.occurrence, first, last):
            continue
        begins, ends = days.span(one.occurrence.start, one.occurrence.end)
        if begins <= last and ends >= first:
            found.append((_order(one.occurrence, begins, ends), begins, one))
    found.sort(key=lambda entry: (entry[1], entry[0]))
    return tuple(one for _, _, one in found)
