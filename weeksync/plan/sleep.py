"""The sleep window: the latest bedtime for the hours of sleep that a person aims at.

Only for who has written down such hours. It is arithmetic over the calendar and no advice.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import accumulate

from weeksync.message import Message, message
from weeksync.model.config import Config, Person
from weeksync.model.engagement import SleepWindow
from weeksync.model.fields import parse_hours
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Engagements, lives_here
from weeksync.plan.nights import nights

ADVISED_HOURS = 7.0
"""Hours a night that adults are advised to sleep at least, regularly: consensus of the American
Academy of Sleep Medicine and the Sleep Research Society (Watson et al., J Clin Sleep Med
2015;11(6):591-592). What holds for children depends on an age that is not known here."""

_LATE, _EARLY = 3 * 60, 5 * 60
"""Minutes after midnight: what begins before the one and is over by the other is the end of the
evening before, and not the first thing of its day."""

_MINUTE = 60


def sleep_windows(
    config: Config, days: Sequence[date], engaged: Engagements, hours: DayHours
) -> tuple[SleepWindow, ...]:
    """The windows of the evenings of `days`, person by person.

    An evening has one where the next day begins with an engagement, or a routine, so early that
    the bedtime lies before the morning. An evening that leads into a night of engagement has its
    window after that: the sleep comes then, before what follows on that day.
    """
    return tuple(
        window
        for person in config.people
        if person.sleep_hours is not None and lives_here(person, config)
        for window in _Sleeper(person, person.sleep_hours, config, days, engaged, hours).windows()
    )


class _Sleeper:
    """The demands on one person's time around a week, to look for what comes first."""

    def __init__(
        self,
        person: Person,
        aimed: float,
        config: Config,
        days: Sequence[date],
        engaged: Engagements,
        hours: DayHours,
    ) -> None:
        self._person = person
        self._aimed = aimed
        self._days = days
        self._hours = hours
        self._ready = config.planning.ready_minutes * _MINUTE
        self._morning = (parse_hours(config.day_parts.morning) or (0, 0))[0]
        busy = engaged.of(person.id)
        self._nights = nights(busy, days, hours)
        self._demands = sorted((*busy, *engaged.routines(person.id)), key=lambda one: one.start)
        self._starts = [one.start for one in self._demands]
        self._free_from = list(accumulate((one.end for one in self._demands), max))

    def windows(self) -> list[SleepWindow]:
        """The windows of the evenings, in order."""
        found = (self._window(day) for day in self._days)
        return [one for one in found if one is not None]

    def _window(self, day: date) -> SleepWindow | None:
        after = day + timedelta(days=1)
        night, last = self._nights.get(day), self._hours.bounds(after)[1]
        begin = self._hours.bounds(after)[0] if night is None else night.end
        first = self._first(after, begin, last)
        if first is None:
            return None
        wake = self._demands[first].start - self._ready
        bedtime = wake - round(self._aimed * 60) * _MINUTE
        if night is None and bedtime >= self._hours.clock(after, self._morning):
            return None
        engagement = self._demands[first].engagement
        return SleepWindow(
            person=self._person.id,
            day=day,
            bedtime=self._hours.moment(bedtime),
            first=engagement,
            hours=self._aimed,
            note=self._note(),
            only_for=engagement.only_for,
            room=self._room(first, wake, bedtime),
        )

    def _first(self, after: date, begin: int, end: int) -> int | None:
        """The place of the first demand that begins in these bounds, on the day `after`."""
        late, early = self._hours.clock(after, _LATE), self._hours.clock(after, _EARLY)
        for place in range(bisect_left(self._starts, begin), len(self._starts)):
            one = self._demands[place]
            if one.start >= end:
                return None
            if one.start >= late or one.end > early:
                return place
        return None

    def _room(self, first: int, wake: int, bedtime: int) -> int | None:
        """The minutes left for sleep, where what comes before leaves fewer than aimed at."""
        free_from = self._free_from[first - 1] if first else bedtime
        return max(wake - free_from, 0) // _MINUTE if free_from > bedtime else None

    def _note(self) -> Message | None:
        if self._person.child or self._aimed >= ADVISED_HOURS:
            return None
        return message(
            "For information: adults are advised to sleep 7 hours or more a night, regularly "
            "(Watson et al., J Clin Sleep Med 2015;11(6):591–592); {hours} are aimed at here",
            hours=self._aimed,
        )
