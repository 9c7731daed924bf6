"""Terms: which term and term week a day lies in, and which lessons it has."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta

from weeksync.model.files import Lesson, Term
from weeksync.model.household import HouseholdFiles, Mark
from weeksync.model.spread import LessonItem
from weeksync.model.week import WeekRule, days_between

_AFTERWARDS = 92
"""Days after the last term in which its lessons may be made up; a quarter, ours."""


class Terms:
    """The household's terms, asked day by day.

    Term weeks are the shown weeks (first weekday of the household) counted from the one that
    holds the term's first day; a break inside a term does not stop the count, so week 7 is
    seven weeks in whoever was away (common practice, no source; who counts each half from one
    enters two terms).

    A term day is a day inside a term, in no break, and no public holiday: only then are there
    lessons, and habits that run in terms only.
    """

    def __init__(
        self,
        files: HouseholdFiles,
        is_holiday: Callable[[date], bool],
        rule: WeekRule,
        marks: Mapping[tuple[str, date], Mark],
    ) -> None:
        self._terms = sorted(files.terms, key=lambda term: (term.start, term.end, term.id))
        self._breaks = sorted(files.term_breaks, key=lambda one: (one.start, one.end, one.name))
        self._is_holiday = is_holiday
        self._rule = rule
        self._marks = marks
        self._people = {person.id: place for place, person in enumerate(files.config.people)}
        self._lessons = sorted(
            files.lessons,
            key=lambda one: (self.place_of(one.child), one.subject.casefold(), one.id),
        )
        self._made_up: dict[date, list[Lesson]] = defaultdict(list)
        for lesson in self._lessons:
            for day in lesson.make_up:
                self._made_up[day].append(lesson)

    def place_of(self, child: str) -> int:
        """The place of a child among the people of the household, from 0; strangers come last."""
        return self._people.get(child, len(self._people))

    def term(self, day: date) -> Term | None:
        """The term `day` lies in, the one that began first where two overlap."""
        return next((one for one in self._terms if one.start <= day <= one.end), None)

    def week(self, day: date) -> int | None:
        """The number of the term week, from 1; None outside terms."""
        term = self.term(day)
        if term is None:
            return None
        return (self._rule.start(day) - self._rule.start(term.start)).days // 7 + 1

    def of_week(self, first: date, last: date) -> tuple[Term, ...]:
        """The terms that touch the days; where none does, the one that ended last before them."""
        found = tuple(one for one in self._terms if one.start <= last and one.end >= first)
        if found:
            return found
        over = [one for one in self._terms if one.end < first]
        return (max(over, key=lambda one: one.end),) if over else ()

    def days_of(self, term: Term) -> Iterator[date]:
        """The days of a term, and those up to the next: what is made up in them belongs to it."""
        following = (one.start for one in self._terms if one.start > term.end)
        end = min(following, default=term.end + timedelta(days=_AFTERWARDS))
        for day in days_between(term.start, max(term.end, end - timedelta(days=1))):
            if self.term(day) in (term, None):
                yield day

    def left_out(self, term: Term) -> Mapping[str, int]:
        """Id → how many lessons are left out on days of the term."""
        return {
            lesson.id: sum(
                self.term(day) is term
                and self._is_free_of_breaks(day)
                and _has_weekday(lesson, day)
                and _in_term(lesson, term)
                for day in set(lesson.not_on)
            )
            for lesson in self._lessons
        }

    def break_name(self, day: date) -> str:
        """The break `day` lies in, "" where it lies in none."""
        return next((one.name for one in self._breaks if one.start <= day <= one.end), "")

    def is_term_day(self, day: date) -> bool:
        """Whether lessons can be on `day`."""
        return self.term(day) is not None and self._is_free_of_breaks(day)

    def lessons(self, day: date) -> tuple[LessonItem, ...]:
        """The lessons of `day`: by child and subject, then those made up."""
        planned: list[LessonItem] = []
        term = self.term(day)
        if term is not None and self._is_free_of_breaks(day):
            planned = [
                self._item(lesson, day, make_up=False)
                for lesson in self._lessons
                if _taught(lesson, day, term)
            ]
        made_up = [self._item(one, day, make_up=True) for one in self._made_up.get(day, ())]
        return (*planned, *made_up)

    def _is_free_of_breaks(self, day: date) -> bool:
        return not self.break_name(day) and not self._is_holiday(day)

    def _item(self, lesson: Lesson, day: date, *, make_up: bool) -> LessonItem:
        mark = self._marks.get((lesson.id, day))
        return LessonItem(
            lesson.id,
            lesson.child,
            lesson.subject,
            lesson.minutes,
            make_up,
            _done(mark),
            mark.value if mark is not None else "",
        )


def _taught(lesson: Lesson, day: date, term: Term) -> bool:
    return _has_weekday(lesson, day) and _in_term(lesson, term) and day not in lesson.not_on


def _has_weekday(lesson: Lesson, day: date) -> bool:
    return any(weekday.number == day.weekday() for weekday in lesson.days)


def _in_term(lesson: Lesson, term: Term) -> bool:
    return not lesson.terms or term.id in lesson.terms


def _done(mark: Mark | None) -> bool | None:
    """What a lesson's mark says: yes, no, or minutes taught (0 is no); nothing is not recorded."""
    value = "" if mark is None else mark.value.strip().casefold()
    if not value:
        return None
    if value in {"yes", "no"}:
        return value == "yes"
    try:
        return float(value) > 0
    except ValueError:
        return None
