"""RFC 5545 section 3.3.10 read out word by word: every minute of a period, each part a test.

It is slow and has no short cuts, so that there is little in it to get wrong; it judges where
the libraries disagree among themselves about a rule. Where DTSTART is off its rule it counts
as the first instance. Seconds are those of DTSTART.
"""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
DAY = timedelta(days=1)
MOST = 100_000
"""Periods looked at before it gives up."""


class Reading:
    """One rule with its DTSTART, a naive wall time."""

    def __init__(self, rule: str, start: datetime) -> None:
        self.start = start
        self.parts = dict(part.split("=", 1) for part in rule.split(";"))
        self.freq = self.parts["FREQ"]
        self.interval = int(self.parts.get("INTERVAL", "1"))
        self.week_start = WEEKDAYS.index(self.parts.get("WKST", "MO"))

    def _has(self, *names: str) -> bool:
        return any(name in self.parts for name in names)

    def _numbers(self, name: str) -> set[int]:
        return {int(one) for one in self.parts[name].split(",")}

    def instances(self, high: datetime) -> list[datetime]:
        """All before `high`, with COUNT but without UNTIL, DTSTART first."""
        found = [self.start]
        count = int(self.parts.get("COUNT", "1000000"))
        for first in self._periods():
            if first >= high or len(found) >= count:
                break
            found += [one for one in self._chosen(first) if one > self.start]
        return [one for one in found[:count] if one < high]

    def on_rule(self) -> bool:
        """Whether the rule gives DTSTART itself."""
        return self.start in self._chosen(next(self._periods()))

    def first_time(self) -> datetime:
        """The first time of day that the rule gives, on the day of DTSTART; else DTSTART."""
        times = self._times(self.start)
        return datetime.combine(self.start.date(), times[0]) if times else self.start

    def _periods(self) -> Iterator[datetime]:
        """The first moment of each period, from that of DTSTART on."""
        start, midnight = self.start, datetime.combine(self.start.date(), time())
        for number in range(MOST):
            steps = number * self.interval
            if self.freq == "YEARLY":
                yield datetime(start.year + steps, 1, 1)
            elif self.freq == "MONTHLY":
                months = start.year * 12 + start.month - 1 + steps
                yield datetime(months // 12, months % 12 + 1, 1)
            elif self.freq == "WEEKLY":
                back = (start.weekday() - self.week_start) % 7
                yield midnight + (7 * steps - back) * DAY
            elif self.freq == "DAILY":
                yield midnight + steps * DAY
            elif self.freq == "HOURLY":
                yield start.replace(minute=0, second=0) + timedelta(hours=steps)
            else:
                yield start.replace(second=0) + timedelta(minutes=steps)
        raise OverflowError("too many periods")

    def _chosen(self, first: datetime) -> list[datetime]:
        """The moments of a period that pass, or those of them that BYSETPOS names."""
        found = [
            datetime.combine(day, moment)
            for day in self._days(first)
            if self._day_passes(day)
            for moment in self._times(first)
        ]
        if not self._has("BYSETPOS"):
            return found
        places = self._numbers("BYSETPOS")
        return [
            one for at, one in enumerate(found) if at + 1 in places or at - len(found) in places
        ]

    def _days(self, first: datetime) -> Iterator[date]:
        length = {
            "YEARLY": 366 if calendar.isleap(first.year) else 365,
            "MONTHLY": calendar.monthrange(first.year, first.month)[1],
            "WEEKLY": 7,
        }.get(self.freq, 1)
        return (first.date() + number * DAY for number in range(length))

    def _times(self, first: datetime) -> list[time]:
        start = self.start
        hours = self._numbers("BYHOUR") if self._has("BYHOUR") else None
        minutes = self._numbers("BYMINUTE") if self._has("BYMINUTE") else None
        if self.freq in ("HOURLY", "MINUTELY"):
            hours = {first.hour} & (hours if hours is not None else {first.hour})
        if self.freq == "MINUTELY":
            minutes = {first.minute} & (minutes if minutes is not None else {first.minute})
        return [
            time(hour, minute, start.second)
            for hour in sorted({start.hour} if hours is None else hours)
            for minute in sorted({start.minute} if minutes is None else minutes)
        ]

    def _day_passes(self, day: date) -> bool:
        """Each part that stands there, and what DTSTART says where none does."""
        tests = [test for name, test in _TESTS.items() if self._has(name)]
        return self._as_start(day) and all(test(self, day) for test in tests)

    def _as_start(self, day: date) -> bool:
        """What is derived from DTSTART where the rule does not contain it."""
        start = self.start
        named = self._has("BYDAY", "BYMONTHDAY", "BYYEARDAY")
        if self._has("BYWEEKNO"):
            return named or day.weekday() == start.weekday()
        if named:
            return True
        if self.freq == "WEEKLY":
            return day.weekday() == start.weekday()
        if self.freq == "YEARLY" and not self._has("BYMONTH") and day.month != start.month:
            return False
        return self.freq not in ("YEARLY", "MONTHLY") or day.day == start.day

    def by_month(self, day: date) -> bool:
        """BYMONTH."""
        return day.month in self._numbers("BYMONTH")

    def by_month_day(self, day: date) -> bool:
        """BYMONTHDAY, from the front or the back."""
        length = calendar.monthrange(day.year, day.month)[1]
        return bool({day.day, day.day - length - 1} & self._numbers("BYMONTHDAY"))

    def by_year_day(self, day: date) -> bool:
        """BYYEARDAY, from the front or the back."""
        length = 366 if calendar.isleap(day.year) else 365
        number = day.timetuple().tm_yday
        return bool({number, number - length - 1} & self._numbers("BYYEARDAY"))

    def by_week(self, day: date) -> bool:
        """BYWEEKNO: week 1 is the first with four days in the year."""
        opening = day - (day.weekday() - self.week_start) % 7 * DAY
        year = (opening + 3 * DAY).year
        weeks = [self._first_week(year), self._first_week(year + 1)]
        number = (opening - weeks[0]).days // 7 + 1
        total = (weeks[1] - weeks[0]).days // 7
        return bool({number, number - total - 1} & self._numbers("BYWEEKNO"))

    def _first_week(self, year: int) -> date:
        fourth = date(year, 1, 4)
        return fourth - (fourth.weekday() - self.week_start) % 7 * DAY

    def by_day(self, day: date) -> bool:
        """BYDAY; an ordinal counts in the month, or in the year where no month is named."""
        for text in self.parts["BYDAY"].split(","):
            if WEEKDAYS.index(text[-2:]) != day.weekday():
                continue
            ordinal = int(text[:-2] or 0)
            if not ordinal or self.freq not in ("YEARLY", "MONTHLY") or self._has("BYWEEKNO"):
                return True
            in_month = self.freq == "MONTHLY" or self._has("BYMONTH")
            same = [day + 7 * number * DAY for number in range(-53, 54)]
            same = [
                one
                for one in same
                if one.year == day.year and (not in_month or one.month == day.month)
            ]
            place = same.index(day)
            if ordinal in (place + 1, place - len(same)):
                return True
        return False


_TESTS = {
    "BYMONTH": Reading.by_month,
    "BYWEEKNO": Reading.by_week,
    "BYYEARDAY": Reading.by_year_day,
    "BYMONTHDAY": Reading.by_month_day,
    "BYDAY": Reading.by_day,
}
