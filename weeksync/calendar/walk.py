"""The local times a rule gives, in order, between two bounds, without ever running away.

The rules are walked here and not by `dateutil.rrule`, which cannot be stopped inside a rule
that gives nothing (FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30), always begins at DTSTART, and reads
BYWEEKNO alone and WEEKLY with BYSETPOS otherwise than RFC 5545; the tests hold the two against
each other. Work is counted in `Steps`, a rule without COUNT is entered at the window, and a
rule below the day skips days and hours that it cannot mean.

DTSTART is always the first instance and counts as one of COUNT (sections 3.3.10 and 3.8.5.3),
whether or not the rule would give it. Times are naive: what a clock change makes of them is
decided where they become instants.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from weeksync.calendar.days import Test, days_in, settled, tests
from weeksync.calendar.rules import (
    DAILY,
    FORWARD,
    HOURLY,
    MINUTELY,
    MONTHLY,
    SECONDLY,
    WEEKLY,
    YEARLY,
    Rule,
)
from weeksync.calendar.steps import Steps
from weeksync.calendar.values import LATEST, later

_SECONDS = {
    WEEKLY: 604_800,
    DAILY: 86_400,
    HOURLY: 3600,
    MINUTELY: 60,
    SECONDLY: 1,
}


def instances(
    rule: Rule, start: datetime, low: datetime, high: datetime, steps: Steps
) -> Iterator[datetime]:
    """The local times of the rule in [low, high), `start` (DTSTART) among them.

    UNTIL is not looked at: it is an instant, and the caller knows the clock.
    """
    high = min(high, LATEST)
    if low <= start < high:
        yield start
    left = rule.count - 1 if rule.count is not None else None
    if left is not None and rule.bare and rule.freq in _SECONDS:
        # One instance a period: the last one can be reckoned, nothing need be counted.
        high = min(high, _bare_end(rule, start, left))
        left = None
    # From DTSTART at the earliest, so that the work does not depend on what lies before it.
    begin = max(low, start) if left is None else start
    moments = _moments(settled(rule, start), start, begin, high, steps)
    latest = start
    for moment in moments:
        if moment <= latest:  # before DTSTART, or where a skipped day was moved to already
            continue
        if moment >= high:
            return
        latest = moment
        if left is not None:
            if left == 0:
                return
            left -= 1
        if moment >= low:
            yield moment


def _bare_end(rule: Rule, start: datetime, left: int) -> datetime:
    seconds = min(left * rule.interval * _SECONDS[rule.freq], 10**12)
    return later(start, timedelta(seconds=seconds + 1))


def _moments(
    rule: Rule, start: datetime, low: datetime, high: datetime, steps: Steps
) -> Iterator[datetime]:
    checks = tests(rule)
    if rule.freq >= HOURLY:
        yield from _fine(rule, start, low, high, checks, steps)
        return
    times = _times(rule, steps)
    for first in _periods(rule, start.date(), low.date()):
        if datetime.combine(first, time()) >= high:
            return
        days = days_in(rule, first, checks, steps)
        for moment in _picked(rule, days, times, low):
            steps.spend(1)
            yield moment


def _times(rule: Rule, steps: Steps) -> list[time]:
    """The times of a day, or of the part of it that a rule below the day has as its period."""
    hours = rule.by_hour if rule.freq < HOURLY else (0,)
    minutes = rule.by_minute if rule.freq < MINUTELY else (0,)
    seconds = rule.by_second if rule.freq < SECONDLY else (0,)
    steps.spend(len(hours) * len(minutes) * len(seconds))
    return [time(*one) for one in itertools.product(hours, minutes, seconds)]


def _picked(rule: Rule, days: list[date], times: list[time], low: datetime) -> Iterator[datetime]:
    """Days × times in order, or those of them that BYSETPOS names, without building them all."""
    if not rule.by_set_pos:
        for day in days:
            if day >= low.date():
                for moment in times:
                    yield datetime.combine(day, moment)
        return
    total = len(days) * len(times)
    places = {at - 1 if at > 0 else total + at for at in rule.by_set_pos}
    for place in sorted(at for at in places if 0 <= at < total):
        yield datetime.combine(days[place // len(times)], times[place % len(times)])


def _periods(rule: Rule, start: date, low: date) -> Iterator[date]:
    """The first days of the rule's periods from that of `start`, entered near `low`."""
    if rule.freq in (YEARLY, MONTHLY):
        yield from _months(rule, start, low)
        return
    days = rule.interval * (7 if rule.freq == WEEKLY else 1)
    offset = (start.weekday() - rule.week_start) % 7 if rule.freq == WEEKLY else 0
    opening = start.toordinal() - offset
    entered = max(0, (low.toordinal() - opening) // days)
    for ordinal in range(opening + entered * days, LATEST.toordinal(), days):
        if ordinal >= 1:
            yield date.fromordinal(ordinal)


def _months(rule: Rule, start: date, low: date) -> Iterator[date]:
    months = rule.interval * (12 if rule.freq == YEARLY else 1)
    opening = start.year * 12 + (start.month - 1 if rule.freq == MONTHLY else 0)
    # One period before the window, too, where a day may be moved out of that.
    entered = (low.year * 12 + low.month - 1 - opening) // months - (rule.skip == FORWARD)
    entered = max(0, entered)
    for month in range(opening + entered * months, LATEST.year * 12 + 1, months):
        yield date(month // 12, month % 12 + 1, 1)


def _fine(
    rule: Rule,
    start: datetime,
    low: datetime,
    high: datetime,
    checks: tuple[Test, ...],
    steps: Steps,
) -> Iterator[datetime]:
    """HOURLY, MINUTELY, SECONDLY: a period is an hour, a minute, a second of the wall clock."""
    unit = _SECONDS[rule.freq]
    opening = start - timedelta(seconds=(start.minute * 60 + start.second) % unit)
    stride = timedelta(seconds=min(unit * rule.interval, 10**12))
    times = _times(rule, steps)
    offsets = [timedelta(minutes=moment.minute, seconds=moment.second) for moment in times]
    index = max(0, (low - opening) // stride)
    while True:
        period = later(opening, index * stride) if index * stride < _ERA else LATEST
        if period >= high:
            return
        steps.spend(1)
        skip = _skip_to(rule, period, checks)
        if skip is not None:
            index = max(index + 1, -((opening - skip) // stride))
            continue
        for offset in _chosen(rule, offsets):
            steps.spend(1)
            yield period + offset
        index += 1


_ERA = timedelta(days=3_660_000)


def _chosen(rule: Rule, offsets: list[timedelta]) -> list[timedelta]:
    if not rule.by_set_pos:
        return offsets
    total = len(offsets)
    places = {at - 1 if at > 0 else total + at for at in rule.by_set_pos}
    return [offsets[place] for place in sorted(places) if 0 <= place < total]


def _skip_to(rule: Rule, period: datetime, checks: tuple[Test, ...]) -> datetime | None:
    """The next moment that can be meant, or None where this period is meant."""
    day = period.date()
    if not all(check(day) for check in checks):
        return later(datetime.combine(day, time()), timedelta(days=1))
    if rule.by_hour and period.hour not in rule.by_hour:
        return later(period.replace(minute=0, second=0), timedelta(hours=1))
    if rule.freq > HOURLY and rule.by_minute and period.minute not in rule.by_minute:
        return later(period.replace(second=0), timedelta(minutes=1))
    if rule.freq == SECONDLY and rule.by_second and period.second not in rule.by_second:
        return later(period, timedelta(seconds=1))
    return None
