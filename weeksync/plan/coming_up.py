"""What needs lead time: by when it is to be begun, for the weeks ahead."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.model.config import Preparation
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import ComingUp
from weeksync.plan.local_days import LocalDays

MOST = 60
"""How many are listed at most; a longer list helps nobody to begin anything."""

_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something with lead time; `series` is shared by the times of one recurring event."""

    entry: ComingUp
    series: str


class LookAhead:
    """What is to be begun before its day: things with preparations, and tasks with lead days.

    Something is listed in the week in which it is to be begun. Where that day has passed it is
    listed, before the others, until its own day: nobody can tell that a preparation is done, and
    whoever met it late still wants to know. What takes a week or more is announced before it is
    to be begun, as soon as its day lies within the weeks of `ahead`. Of a recurring event only
    the times to be begun in the week are listed; where there are none the last one passed, else
    the next.
    """

    def __init__(
        self,
        occurrences: Iterable[Occurrence],
        tasks: Iterable[PlanTask],
        prepare: Callable[[Occurrence], Sequence[Preparation]],
        days: LocalDays,
        ahead: timedelta,
    ) -> None:
        self._ahead = ahead
        things = [*_of_occurrences(occurrences, prepare, days), *_of_tasks(tasks)]
        things.sort(key=lambda one: one.entry.day)
        self._things = things
        self._days = [one.entry.day for one in things]
        leads = (one.entry.day - one.entry.begin for one in things)
        self._longest = max(leads, default=timedelta())

    def of_month(self, first: date, last: date) -> tuple[ComingUp, ...]:
        """As `within`, without what is begun in the last week before its day."""
        return tuple(one for one in self.within(first, last) if one.day - one.begin >= _WEEK)

    def within(self, first: date, last: date) -> tuple[ComingUp, ...]:
        """What is listed for the days from `first` to `last`: by the day to begin, then its own."""
        low = bisect_left(self._days, first)
        high = bisect_right(self._days, last + max(self._ahead, self._longest))
        series: dict[str, list[ComingUp]] = defaultdict(list)
        for one in self._things[low:high]:
            if self._is_listed(one.entry, last):
                series[one.series].append(one.entry)
        found = [one for group in series.values() for one in _of_series(group, first, last)]
        return tuple(sorted(found, key=_order)[:MOST])

    def _is_listed(self, one: ComingUp, last: date) -> bool:
        if one.begin <= last:
            return True
        return one.day <= last + self._ahead and one.day - one.begin >= _WEEK


def reach(preparations: Iterable[Preparation], ahead: timedelta) -> timedelta:
    """How far beyond the days asked about occurrences are needed."""
    return max(ahead, timedelta(days=max((one.days for one in preparations), default=0)))


def _of_series(entries: Sequence[ComingUp], first: date, last: date) -> Sequence[ComingUp]:
    """Those to list of one series, which are in the order of their days."""
    now = [one for one in entries if first <= one.begin <= last]
    if now or len(entries) < 2:
        return now or entries
    passed = [one for one in entries if one.begin < first]
    return passed[-1:] or entries[:1]


def _of_occurrences(
    occurrences: Iterable[Occurrence],
    prepare: Callable[[Occurrence], Sequence[Preparation]],
    days: LocalDays,
) -> Iterator[_Thing]:
    for one in occurrences:
        for place, preparation in enumerate(() if one.journal else prepare(one)):
            day = days.span(one.start, one.end)[0]
            entry = ComingUp(
                day=day,
                begin=_before(day, preparation.days),
                title=one.title,
                what=preparation.what,
                persons=one.persons,
                area=one.area,
                only_for=one.only_for,
            )
            yield _Thing(entry, "\0".join((one.source, one.uid or one.title, str(place))))


def _of_tasks(tasks: Iterable[PlanTask]) -> Iterator[_Thing]:
    for task in tasks:
        if task.lead_days and task.due is not None and task.last_day is not None:
            entry = ComingUp(
                day=task.due,
                begin=task.last_day,
                title=task.title,
                persons=task.persons,
                area=task.area,
                task=task.id,
                only_for=task.only_for,
            )
            yield _Thing(entry, f"\0{task.id}")


def _before(day: date, days: int) -> date:
    return day - timedelta(days=days) if day - date.min >= timedelta(days=days) else date.min


def _order(one: ComingUp) -> tuple[date, date, str, str, str]:
    return one.begin, one.day, one.title.casefold(), one.what.casefold(), one.task
