"""How many lessons were planned, done, and are to be made up; on how many days there were any."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.files import Term
from weeksync.model.spread import LessonItem
from weeksync.model.week_plan import Attendance, LessonTally
from weeksync.plan.terms import Terms


@dataclass(frozen=True, slots=True)
class _Lesson:
    """A lesson on a day. `extra`: made up for one that is counted on its own day already."""

    day: date
    item: LessonItem
    rests: bool
    extra: bool

    @property
    def is_missed(self) -> bool:
        """Whether it is known that it did not take place: marked no, or a lighter day."""
        return self.item.done is False or (self.rests and self.item.done is None)

    def is_open(self, today: date) -> bool:
        """Whether its day is over and nobody can tell."""
        return self.day < today and self.item.done is None and not self.rests


class LessonTallies:
    """The lessons of whole terms, counted up to and with a week.

    A day on which a lesson is made up stands for one that was left out (`not_on`) as long as
    there are any in the term, else for one that was missed; in the first case it is a planned
    lesson of its own day, in the second it takes one off those to make up when it is marked
    done. What is made up after a term and before the next belongs to that term. `rests` says
    whether a child's lessons of a day are sent on by a lighter week.
    """

    def __init__(
        self, terms: Terms, today: date, rests: Callable[[str, date], bool] | None = None
    ) -> None:
        self._terms = terms
        self._today = today
        self._rests = rests or (lambda child, day: False)
        self._of_term: dict[str, tuple[_Lesson, ...]] = {}

    def lessons(self, first: date, last: date) -> tuple[LessonTally, ...]:
        """By child and subject, for the terms of the week from `first` to `last`.

        In a week outside terms those of the last one, as far as something is to be made up.
        """
        found: list[LessonTally] = []
        for term in self._terms.of_week(first, last):
            groups: dict[tuple[str, str], list[_Lesson]] = defaultdict(list)
            for one in self._up_to(term, last):
                groups[one.item.child, one.item.subject].append(one)
            tallies = (self._tally(term, groups[key]) for key in sorted(groups, key=self._place))
            found += (one for one in tallies if term.end >= first or one.to_make_up)
        return tuple(found)

    def attendance(self, first: date, last: date) -> tuple[Attendance, ...]:
        """By child, for the terms that touch the week from `first` to `last`."""
        found = []
        for term in self._terms.of_week(first, last):
            if term.end < first:
                continue
            days: dict[str, dict[date, list[_Lesson]]] = defaultdict(lambda: defaultdict(list))
            for one in self._up_to(term, last):
                days[one.item.child][one.day].append(one)
            children = sorted(days, key=self._terms.place_of)
            found += [self._attendance(term, child, days[child]) for child in children]
        return tuple(found)

    def _place(self, key: tuple[str, str]) -> tuple[int, str, str]:
        child, subject = key
        return self._terms.place_of(child), subject.casefold(), subject

    def _up_to(self, term: Term, last: date) -> list[_Lesson]:
        known = self._of_term.get(term.id)
        if known is None:
            known = self._of_term[term.id] = tuple(self._lessons_of(term))
        return [one for one in known if one.day <= last]

    def _lessons_of(self, term: Term) -> Iterator[_Lesson]:
        """Its lessons day by day; within a day in the order of `Terms`."""
        left_out = dict(self._terms.left_out(term))
        for day in self._terms.days_of(term):
            for item in self._terms.lessons(day):
                extra = item.make_up and not left_out.get(item.id)
                if item.make_up and not extra:
                    left_out[item.id] -= 1
                rests = not item.make_up and self._rests(item.child, day)
                yield _Lesson(day, item, rests, extra)

    def _tally(self, term: Term, lessons: Sequence[_Lesson]) -> LessonTally:
        own = [one for one in lessons if not one.extra]
        made_up = sum(one.extra and one.item.done is True for one in lessons)
        return LessonTally(
            child=lessons[0].item.child,
            subject=lessons[0].item.subject,
            term=term.name,
            planned=len(own),
            done=sum(one.item.done is True for one in lessons),
            to_make_up=max(sum(one.is_missed for one in own) - made_up, 0),
            not_recorded=sum(one.is_open(self._today) for one in lessons),
        )

    def _attendance(self, term: Term, child: str, days: dict[date, list[_Lesson]]) -> Attendance:
        counted = [group for group in days.values() if self._counts(group)]
        attended = sum(_is_attended(group) for group in counted)
        missed = sum(all(one.is_missed for one in group) for group in counted)
        return Attendance(
            child, term.name, len(counted), attended, len(counted) - attended - missed
        )

    def _counts(self, lessons: Sequence[_Lesson]) -> bool:
        """Whether the day is over, or what there is to say of it has been said."""
        return (
            lessons[0].day < self._today
            or _is_attended(lessons)
            or all(one.item.done is False for one in lessons)
        )


def _is_attended(lessons: Sequence[_Lesson]) -> bool:
    return any(one.item.done is True for one in lessons)
