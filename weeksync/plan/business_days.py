"""Business days, and where a date goes that is none (2006 ISDA Definitions section 4.12)."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date, timedelta

from weeksync.model.money import BusinessDayRule

MOST_DAYS = 31
"""How far a date is moved at most; where no business day is nearer it stays where it is."""

SATURDAY_SUNDAY = frozenset({5, 6})


class BusinessDays:
    """The days on which money moves: neither weekend nor public holiday.

    Days are counted, never holidays: where a holiday falls on a weekend and another day is given
    for it, a list may hold both. `weekend` are weekdays, 0 for Monday.
    """

    def __init__(
        self, is_holiday: Callable[[date], bool], weekend: Collection[int] = SATURDAY_SUNDAY
    ) -> None:
        self._is_holiday = is_holiday
        self._weekend = frozenset(weekend)

    def holds(self, day: date) -> bool:
        """Whether `day` is a business day."""
        return day.weekday() not in self._weekend and not self._is_holiday(day)

    def adjusted(self, day: date, rule: BusinessDayRule) -> date:
        """Where `day` goes by `rule`; itself where it is a business day."""
        if rule is BusinessDayRule.NONE or self.holds(day):
            return day
        if rule is BusinessDayRule.PRECEDING:
            return self._next(day, -1)
        following = self._next(day, 1)
        if rule is BusinessDayRule.MODIFIED_FOLLOWING and following.month != day.month:
            return self._next(day, -1)
        return following

    def _next(self, day: date, step: int) -> date:
        for distance in range(1, MOST_DAYS + 1):
            moved = day + timedelta(days=step * distance)
            if self.holds(moved):
                return moved
        return day
