"""Lighter weeks: on which days less is asked of a person, and what comes of that."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.model.chosen import WeekFile
from weeksync.model.config import Person, ids
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import LessonItem, PlanTask
from weeksync.model.week import IsoWeek, WeekRule, days_between
from weeksync.model.week_plan import LighterDays

FROZEN_FROM = 4
"""A week of which that many days are lighter, its greater part, counts for nothing carried."""

AFTERWARDS = timedelta(days=14)
"""How long after its last day a lighter week is still shown with what piled up in it."""

_MOST_DAYS = 92
"""A term is no longer; of a longer lighter period only its first days are gone through."""


@dataclass(frozen=True, slots=True, order=True)
class LighterPeriod:
    """Days, both included, on which less is asked of one person."""

    first: date
    last: date
    person: str
    reason: str = ""


class LighterPeriods:
    """The lighter periods of all week files, asked by person and day or week.

    A period may run over several weeks, and be written in any of them or in each.
    """

    def __init__(self, weeks: Mapping[IsoWeek, WeekFile], rule: WeekRule) -> None:
        self._rule = rule
        self.all: tuple[LighterPeriod, ...] = tuple(sorted(set(_periods(weeks))))
        spans: dict[str, list[tuple[date, date]]] = defaultdict(list)
        for one in self.all:
            _join(spans[one.person], one.first, one.last)
        self._spans = dict(spans)
        self._frozen: dict[str, tuple[date, ...]] = {}

    def covers(self, person: str, day: date) -> bool:
        """Whether `day` is a lighter one of that person."""
        spans = self._spans.get(person)
        if spans is None:
            return False
        at = bisect_right(spans, day, key=lambda span: span[0])
        return at > 0 and day <= spans[at - 1][1]

    def without_lessons(self, child: str, day: date, carers: Collection[str]) -> bool:
        """Whether the lessons of a child rest: it is the child's own lighter day, or everybody's.

        One grown-up who rests does not cancel a lesson as long as another of `carers`, who look
        after children, can give it.
        """
        if self.covers(child, day):
            return True
        return bool(carers) and all(self.covers(one, day) for one in carers)

    def frozen(self, persons: Sequence[str], after: date, until: date) -> int:
        """How many weeks after that of `after`, up to that of `until`, count for nothing carried.

        Those with FROZEN_FROM lighter days or more; of a task of several persons, those that are
        so for every one of them. What is nobody's in particular has none.
        """
        if not persons:
            return 0
        low, high = self._rule.start(after), self._rule.start(until)
        shared = set(self._frozen_weeks(persons[0]))
        for person in persons[1:]:
            shared.intersection_update(self._frozen_weeks(person))
        return sum(low < week <= high for week in shared)

    def _frozen_weeks(self, person: str) -> tuple[date, ...]:
        found = self._frozen.get(person)
        if found is None:
            spans = self._spans.get(person, ())
            found = self._frozen[person] = tuple(_frozen(spans, self._rule))
        return found


def _periods(weeks: Mapping[IsoWeek, WeekFile]) -> Iterator[LighterPeriod]:
    for week in weeks.values():
        for one in week.lighter:
            for person in ids(one.person):
                if one.start <= one.end:
                    yield LighterPeriod(one.start, one.end, person, one.reason)


def _join(spans: list[tuple[date, date]], first: date, last: date) -> None:
    """Add a span to others that are in order and apart; it begins no earlier than they do."""
    if spans and first <= spans[-1][1]:
        spans[-1] = (spans[-1][0], max(spans[-1][1], last))
    else:
        spans.append((first, last))


def _frozen(spans: Iterable[tuple[date, date]], rule: WeekRule) -> Iterator[date]:
    """The first days of the weeks that are lighter for the greater part."""
    lighter: dict[date, int] = defaultdict(int)
    for first, last in spans:
        week = rule.start(first)
        while week <= last:
            end = week + timedelta(days=6)
            lighter[week] += (min(last, end) - max(first, week)).days + 1
            week += timedelta(days=7)
    return (week for week, days in lighter.items() if days >= FROZEN_FROM)


@dataclass(frozen=True, slots=True)
class Household:
    """What a lighter period is held against; each is asked for a day, or a day and a person."""

    people: tuple[Person, ...]
    today: date
    lessons: Callable[[date], Sequence[LessonItem]]
    by_hand: Callable[[date, date], Sequence[MoneyItem]]
    """Bills to be paid by hand, and not paid, from a first to a last day."""
    habits: Callable[[str, Sequence[date]], Sequence[tuple[str, tuple[str, ...]]]]
    """(person, days) → (id, only_for) of the habits that would be due on one of the days."""


def lighter_days(
    periods: LighterPeriods,
    asked: Household,
    tasks: Iterable[PlanTask],
    first: date,
    last: date,
) -> tuple[LighterDays, ...]:
    """The lighter periods that touch the days from `first` to `last`, as they work out.

    Where these days hold today, those of the last two weeks too in which something piled up.
    `tasks` are the open ones. Of a period longer than three months its first days are looked at.
    """
    holds_today = first <= asked.today <= last
    since = asked.today - AFTERWARDS if holds_today else first
    found = []
    open_tasks = tuple(tasks)
    for period in periods.all:
        if period.first > last or period.last < min(first, since):
            continue
        one = _worked_out(period, periods, asked, open_tasks)
        if period.last >= first or one.piled_up:
            found.append(one)
    return tuple(found)


def _worked_out(
    period: LighterPeriod, periods: LighterPeriods, asked: Household, tasks: Sequence[PlanTask]
) -> LighterDays:
    end = min(period.last, period.first + timedelta(days=_MOST_DAYS - 1))
    days = tuple(days_between(period.first, end))
    begun = period.first <= asked.today
    is_child = any(one.id == period.person and one.child for one in asked.people)
    habits = asked.habits(period.person, days)
    piled = [task for task in tasks if _piled_up(task, period, asked.today)]
    names = (*habits, *((task.id, task.only_for) for task in piled))
    return LighterDays(
        person=period.person,
        first=period.first,
        last=period.last,
        reason=period.reason,
        habits=tuple(name for name, _ in habits),
        lessons=tuple(_to_make_up(period.person, days, periods, asked)),
        pay_before=(() if is_child or begun else tuple(asked.by_hand(period.first, end))),
        piled_up=tuple(dict.fromkeys(task.id for task in piled)),
        reserved=tuple(dict.fromkeys(one for one in names if one[1])),
    )


def _piled_up(task: PlanTask, period: LighterPeriod, today: date) -> bool:
    """Whether it fell due, or had its day, in the period up to yesterday, and stands no later.

    What cannot be begun before the days after that, as what was parked, is settled.
    """
    last = min(period.last, today - timedelta(days=1))
    if period.person not in task.persons or (task.not_before or date.min) > last:
        return False
    if task.chosen and task.shown_on is not None:
        return period.first <= task.shown_on <= last
    return task.due is not None and period.first <= task.due <= last


def _to_make_up(
    person: str, days: Iterable[date], periods: LighterPeriods, asked: Household
) -> Iterator[tuple[str, date]]:
    """Lessons that do not take place: the child's own, or all while nobody can look after them.

    A lesson with a mark that it was done is done. One that is moved to a day of the period to be
    made up is none of its lessons.
    """
    carers = [one.id for one in asked.people if one.looks_after_children]
    for day in days:
        nobody = person in carers and periods.without_lessons("", day, carers)
        for lesson in asked.lessons(day):
            if (
                not lesson.make_up
                and lesson.done is not True
                and (nobody or lesson.child == person)
            ):
                yield lesson.id, day


def seen(one: LighterDays, may_see: Callable[[Collection[str]], bool]) -> LighterDays:
    """The same without what is only for others; `may_see` is asked with the persons who may."""
    hidden = {name for name, only_for in one.reserved if not may_see(only_for)}
    return replace(
        one,
        habits=tuple(name for name in one.habits if name not in hidden),
        piled_up=tuple(name for name in one.piled_up if name not in hidden),
        pay_before=tuple(item for item in one.pay_before if may_see(item.only_for)),
        reserved=tuple(item for item in one.reserved if item[0] not in hidden),
    )
