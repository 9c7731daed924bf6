"""The days of a recurrence, worked out once and only as far as somebody asks."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from datetime import date, timedelta

from weeksync.model.recurrence import dates


class Repeats:
    """The days of one RRULE from `first` on (just `first` where `text` is empty).

    A rule over days has no cheap way into its middle, so every question of every week would
    walk it from its first day; here the days walked are kept, and each is walked once.
    """

    def __init__(self, text: str, first: date, until: date | None = None) -> None:
        end = date.max if until in (None, date.max) else until + timedelta(days=1)
        self._days: list[date] = []
        self._more = dates(text, first, first, end)

    def between(self, first: date, last: date) -> list[date]:
        """Its days from `first` to `last`, both included."""
        self._reach(last)
        return self._days[bisect_left(self._days, first) : bisect_right(self._days, last)]

    def at_or_after(self, day: date) -> date | None:
        """Its first day from `day` on, or None where it has ended."""
        self._reach(day)
        at = bisect_left(self._days, day)
        return self._days[at] if at < len(self._days) else None

    def at_or_before(self, day: date) -> date | None:
        """Its last day up to `day`, or None where it begins later."""
        self._reach(day)
        at = bisect_right(self._days, day)
        return self._days[at - 1] if at else None

    def _reach(self, last: date) -> None:
        """Walk on until a day later than or on `last` is known, or the rule has ended."""
        while not self._days or self._days[-1] <= last:
            following = next(self._more, None)
            if following is None:
                return
            self._days.append(following)
