"""Who is engaged when: busy occurrences with the way there and back, and standing routines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import field
from datetime import date, datetime, timedelta
from typing import NamedTuple

from weeksync.lazy import dataclass
from weeksync.model.config import Config, Person, ids
from weeksync.model.engagement import Engagement
from weeksync.model.fields import parse_hours
from weeksync.model.files import Routine
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import DayOccurrence
from weeksync.plan.day_hours import DayHours
from weeksync.plan.intervals import Span

MARGIN = timedelta(days=2)
"""How far beyond a week engagements are looked for: a way and a buffer are a day at most each."""


class Busy(NamedTuple):
    """An engagement with its bounds in UTC seconds, the way included.

    `own` are the event's own bounds, `persons` all whose time it takes.
    """

    start: int
    end: int
    own: Span
    engagement: Engagement
    persons: tuple[str, ...] = ()

    @property
    def span(self) -> Span:
        """Its bounds."""
        return self.start, self.end


@dataclass(slots=True)
class _Taken:
    """What takes the time of one person."""

    busy: list[Busy] = field(default_factory=list)
    routines: list[Busy] = field(default_factory=list)
    away: list[Span] = field(default_factory=list)


class Engagements:
    """The time that is taken around the days of a span, by person; each list by start.

    An engagement is a busy occurrence at a time, for each of its persons. Transparent (RFC 5545
    section 3.8.2.7) and cancelled ones engage nobody, nor do journals, nor what nobody is named
    for. All-day ones take no time of a day, except that a busy one that is away from home takes
    all of it.
    """

    def __init__(
        self,
        days: Sequence[date],
        on_day: Callable[[date], Iterable[DayOccurrence]],
        hours: DayHours,
        config: Config,
        routines: Iterable[Routine] = (),
        is_term_day: Callable[[date], bool] = lambda day: True,
    ) -> None:
        self._hours = hours
        self._work = {area.id for area in config.areas if area.work}
        self._taken: dict[str, _Taken] = defaultdict(_Taken)
        around = _around(days)
        for day in around:
            for shown in on_day(day):
                if not shown.from_before or day == around[0]:
                    self._take(shown.occurrence)
        for routine in routines:
            for day in around:
                self._take_routine(routine, day, is_term_day)
        for taken in self._taken.values():
            taken.busy.sort(key=_order)
            taken.routines.sort(key=_order)

    def of(self, person: str) -> Sequence[Busy]:
        """The person's engagements, those of the margin included."""
        return self._taken[person].busy if person in self._taken else ()

    def routines(self, person: str) -> Sequence[Busy]:
        """The person's routines, those of the margin included; `source` is ""."""
        return self._taken[person].routines if person in self._taken else ()

    def away(self, person: str) -> Sequence[Span]:
        """Whole days that the person is away from home."""
        return self._taken[person].away if person in self._taken else ()

    def _take(self, one: Occurrence) -> None:
        if not one.busy or one.cancelled or one.journal or not one.persons:
            return
        if not (isinstance(one.start, datetime) and isinstance(one.end, datetime)):
            if one.away:
                for person in one.persons:
                    self._taken[person].away.append(self._whole_days(one.start, one.end))
            return
        way = one.travel_minutes * 60
        own = self._hours.seconds(one.start), self._hours.seconds(one.end)
        start, end = one.start, one.end
        if way:
            start, end = self._hours.moment(own[0] - way), self._hours.moment(own[1] + way)
        rest = one.source, one.uid, one.identity, one.area, one.area in self._work, one.only_for
        for person in one.persons:
            engagement = Engagement(person, one.title, start, end, one.start, one.end, *rest)
            self._taken[person].busy.append(
                Busy(own[0] - way, own[1] + way, own, engagement, one.persons)
            )

    def _whole_days(self, first: date, after: date) -> Span:
        start = self._hours.bounds(first)[0]
        return start, max(self._hours.bounds(after)[0], start)

    def _take_routine(
        self, routine: Routine, day: date, is_term_day: Callable[[date], bool]
    ) -> None:
        if not any(weekday.number == day.weekday() for weekday in routine.days):
            return
        if routine.terms_only and not is_term_day(day):
            return
        span = self._hours.between(day, *(parse_hours(routine.hours) or (0, 0)))
        start, end = self._hours.moment(span[0]), self._hours.moment(span[1])
        persons = ids(routine.person)
        for person in persons:
            engagement = Engagement(person, routine.title, start, end, start, end, uid=routine.id)
            self._taken[person].routines.append(Busy(*span, span, engagement, persons))


def lives_here(person: Person, config: Config) -> bool:
    """Whether the household's clock is the person's own."""
    return person.time_zone in {"", config.household.time_zone}


def planned_people(config: Config) -> tuple[Person, ...]:
    """Those whose days are planned: who lives here and is no child, in the order written."""
    return tuple(one for one in config.people if not one.child and lives_here(one, config))


def _around(days: Sequence[date]) -> list[date]:
    """The days with the margin, as far as the calendar has them."""
    low = max(days[0].toordinal() - MARGIN.days, 1)
    high = min(days[-1].toordinal() + MARGIN.days, date.max.toordinal() - 1)
    return [date.fromordinal(number) for number in range(low, high + 1)]


def _order(one: Busy) -> tuple[object, ...]:
    return one.start, one.end, one.engagement.title, one.engagement.source, one.engagement.uid
