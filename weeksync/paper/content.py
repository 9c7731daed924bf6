"""What stands on a day of paper: entries as text, from the days of a spread.

What is only for some and amounts are in a spread only where the caller put them; common views
(`weeksync.plan.views.common`) hold neither, and `amounts` must be asked for besides.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import field, replace
from datetime import date, datetime, time
from typing import assert_never

from weeksync.language.bidi import isolated
from weeksync.lazy import dataclass
from weeksync.message import counted, message
from weeksync.model.config import Area
from weeksync.model.elsewhere import OtherClocks
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import (
    BreakItem,
    Day,
    DayOccurrence,
    LessonItem,
    PlanTask,
    Priority,
    Spread,
)
from weeksync.paper.plain import plain_lines
from weeksync.paper.words import PaperWords
from weeksync.zones import zone


@dataclass(frozen=True, slots=True)
class Entry:
    """One printed thing: `strong` (a time) and text; `tick` gives it a box to tick."""

    text: str
    strong: str = ""
    area: Area | None = None
    tick: bool = False
    done: bool = False
    struck: bool = False
    persons: tuple[str, ...] = ()
    at: time | None = None
    """When it begins on its day; None without a time. Entries of a part stand in that order."""


@dataclass(frozen=True, slots=True)
class DayContent:
    """A day as it is printed."""

    date: date
    weekend: bool
    notes: tuple[str, ...] = ()
    """Holidays, the week of term, what is worth knowing."""
    holiday: bool = False
    top: tuple[Entry, ...] = ()
    """What takes the whole day, bills and pay."""
    priorities: tuple[Entry, ...] = ()
    parts: dict[DayPart, tuple[Entry, ...]] = field(default_factory=dict)
    """Morning, afternoon and evening, always all three; breaks among them."""
    tasks: tuple[Entry, ...] = ()
    """Tasks without a day part, lessons, rows of one's own."""


class Contents:
    """Makes the contents of days; `person` leaves out the letter of the one whose week it is.

    What takes several days is told whole on its first day and on the first of a week, and in short
    on the others; `alone` tells it whole on each, as for days that are pages of their own.
    """

    def __init__(
        self,
        words: PaperWords,
        *,
        person: str = "",
        amounts: bool = False,
        alone: bool = False,
    ) -> None:
        self._words = words
        self._alone = alone
        self._person = person
        self._amounts = amounts
        self._clocks = OtherClocks(words.config, zone(words.config.household.time_zone))

    def week(self, spread: Spread) -> tuple[DayContent, ...]:
        """The days of a spread, in their order."""
        return tuple(map(self.day, spread.days))

    def day(self, day: Day) -> DayContent:
        """One day."""
        chosen = {one.task for one in day.priorities if one.task}
        parts = {part: tuple(sorted(self._part(day, part, chosen), key=_begin)) for part in DayPart}
        return DayContent(
            date=day.date,
            weekend=day.date.weekday() in self._words.weekend,
            notes=tuple(self._notes(day)),
            holiday=bool(day.holidays),
            top=(
                *(
                    self._goes_on(one) if self._told(one, day.date) else self.event(one)
                    for one in day.occurrences
                    if one.part is None
                ),
                *(self.money(one) for one in _by_kind(day.money)),
            ),
            priorities=tuple(self.priority(one, day) for one in day.priorities),
            parts=parts,
            tasks=(
                *(self.task(one) for one in day.tasks if one.part is None and one.id not in chosen),
                *map(self.lesson, day.lessons),
                *(
                    Entry(self._said([_plain(text)]), strong=title)
                    for title, text in day.own
                    if text.strip()
                ),
            ),
        )

    def _part(self, day: Day, part: DayPart, chosen: Collection[str]) -> Iterator[Entry]:
        """What stands in a part of the day; a priority is ticked where priorities are, only."""
        yield from (self.event(one) for one in day.occurrences if one.part is part)
        yield from (
            one for one in map(self.pause, day.breaks) if self._words.part_of(one.at) is part
        )
        for task in day.tasks:
            if task.part is part:
                yield replace(self.task(task), tick=task.id not in chosen)

    def _notes(self, day: Day) -> Iterator[str]:
        yield from (self._said([one]) for one in day.holidays)
        term = self._term(day)
        if term:
            yield term
        yield from (self._words.text(problem.what) for problem in day.problems)

    def _term(self, day: Day) -> str:
        if day.term_break:
            return self._said([day.term_break])
        if day.term and day.term_week is not None:
            return self._words.text(
                message("{term}, week {number}", term=day.term, number=day.term_week)
            )
        return self._said([day.term])

    def event(self, shown: DayOccurrence) -> Entry:
        """An occurrence on one day: when, what, where, who."""
        one = shown.occurrence
        times = self._words.times(
            one.start, one.end, from_before=shown.from_before, goes_on=shown.goes_on
        )
        said = [self._title(one.title) + (" ?" if one.tentative else "")]
        said.append(one.place.strip())
        if one.all_day:
            said.append(self._reach(shown))
        said += self._elsewhere(shown)
        return Entry(
            self._said(said),
            strong=times,
            area=self._words.area(one.area),
            struck=one.cancelled,
            persons=self._others(one.persons),
            at=_at(shown),
        )

    def _told(self, shown: DayOccurrence, day: date) -> bool:
        """Whether an earlier day of the same week told all of what takes whole days."""
        first = day.weekday() == self._words.rule.first_weekday
        return shown.occurrence.all_day and shown.from_before and not first and not self._alone

    def _goes_on(self, shown: DayOccurrence) -> Entry:
        """What went on before: an arrow and what it is, without where and how long."""
        whole = self.event(shown)
        title = self._title(shown.occurrence.title)
        if shown.occurrence.tentative:
            title += " ?"
        return replace(whole, text=self._said([title]), strong=self._words.onward)

    def _reach(self, shown: DayOccurrence) -> str:
        """Of what takes several days: how far it goes on."""
        end = shown.occurrence.end
        if not shown.goes_on or isinstance(end, datetime):
            return ""
        last = date.fromordinal(end.toordinal() - 1)
        return self._words.text(message("until {when}", when=self._words.day(last)))

    def _elsewhere(self, shown: DayOccurrence) -> list[str]:
        """What other clocks show as it starts."""
        start = shown.occurrence.start
        if not isinstance(start, datetime) or shown.from_before:
            return []
        clocks = shown.elsewhere or self._clocks.of(shown.occurrence)
        language = self._words.language
        return [
            self._words.text(
                message(
                    "{time} in {place}",
                    time=language.time(clock.start),
                    place=language.city(clock.zone),
                )
            )
            for clock in clocks
        ]

    def task(self, task: PlanTask) -> Entry:
        """A task with its box."""
        minutes = task.minutes if task.minutes is not None else task.estimate
        said = [self._title(task.title), self._words.duration(minutes)]
        if task.due is not None and task.due != task.shown_on:
            said.append(self._words.text(message("due {when}", when=self._words.day(task.due))))
        if task.carried:
            said.append(
                self._words.text(
                    counted("carried {count} week", "carried {count} weeks", task.carried)
                )
            )
        return Entry(
            self._said(said),
            strong=self._words.time(task.start) if task.start else "",
            area=self._words.area(task.area),
            tick=True,
            done=task.done is not None,
            struck=task.dropped is not None,
            persons=self._others(task.persons),
            at=task.start,
        )

    def priority(self, chosen: Priority, day: Day) -> Entry:
        """A priority with its box; with all that is said of its task where that stands nowhere
        else on the day.
        """
        for task in day.tasks:
            if chosen.task == task.id and task.part is None:
                return self.task(task)
        return Entry(
            self._said([self._title(chosen.title)]),
            area=self._words.area(chosen.area),
            done=chosen.done,
            tick=True,
            persons=self._others(chosen.persons),
        )

    def money(self, item: MoneyItem) -> Entry:
        """A bill, pay or saving step; how much only where amounts were asked for."""
        said = [
            self._words.text(
                message(
                    "{kind}: {title}",
                    kind=self.money_word(item.kind),
                    title=self._title(item.title),
                )
            )
        ]
        if self._amounts:
            said.append(self.amount(item))
        by_hand = item.kind is MoneyKind.BILL and not item.collected and item.paid_on is None
        if by_hand:
            said.append(self._words.text(message("pay by hand")))
        if item.moved:
            when = self._words.day(item.due)
            said.append(self._words.text(message("moved from {when}", when=when)))
        return Entry(
            self._said(said),
            tick=by_hand,
            done=item.paid_on is not None,
            persons=self._others((item.person,) if item.person else ()),
        )

    def amount(self, item: MoneyItem) -> str:
        """How much, in the household's language; "" where nobody said."""
        if item.sum is None:
            return ""
        if item.currency is None:
            return self._words.language.number(item.sum)
        return self._words.language.money(item.sum, item.currency)

    def money_word(self, kind: MoneyKind) -> str:
        """What moves, as a word."""
        if kind is MoneyKind.BILL:
            return self._words.text(message("Bill"))
        if kind is MoneyKind.PAY:
            return self._words.text(message("Pay day"))
        if kind is MoneyKind.STEP:
            return self._words.text(message("Saving step"))
        assert_never(kind)

    def lesson(self, lesson: LessonItem) -> Entry:
        """A lesson of a child."""
        said = [lesson.subject, self._words.duration(lesson.minutes)]
        if lesson.make_up:
            said.append(self._words.text(message("make-up lesson")))
        return Entry(
            self._said(said),
            tick=True,
            done=bool(lesson.done),
            persons=self._others((lesson.child,)),
        )

    def pause(self, item: BreakItem) -> Entry:
        """A planned break: it has a time and is no task, so no box."""
        start = time.fromisoformat(item.start)
        what = item.what.strip() or self._words.text(message("break"))
        return Entry(
            self._said([what, self._words.duration(item.minutes)]),
            strong=self._words.time(start),
            done=bool(item.done),
            persons=self._others((item.person,) if item.person else ()),
            at=start,
        )

    def _said(self, parts: Iterable[str]) -> str:
        """Parts with the comma of this language between them; one alone is kept apart, too."""
        found = [one for one in parts if one]
        if len(found) == 1:
            return isolated(found[0], self._words.language.direction)
        return self._words.language.joined(found)

    def plain(self, text: str) -> Entry:
        """A line of text of the household's own."""
        return Entry(self._said([text]))

    def _title(self, title: str) -> str:
        return title.strip() or self._words.no_title()

    def _others(self, persons: Iterable[str]) -> tuple[str, ...]:
        """The letters of those concerned; none where it is only the one whose week it is."""
        found = tuple(persons)
        if found == (self._person,):
            return ()
        return tuple(self._words.person(one).mark for one in found)


def _at(shown: DayOccurrence) -> time | None:
    """When an occurrence begins on its day; what runs from the day before is there first."""
    start = shown.occurrence.start
    if shown.from_before:
        return time.min
    return start.time() if isinstance(start, datetime) else None


def _begin(entry: Entry) -> tuple[bool, time]:
    """What has a time in its order, then what has none."""
    return entry.at is None, entry.at or time.min


def _by_kind(items: Iterable[MoneyItem]) -> list[MoneyItem]:
    return sorted(items, key=lambda item: list(MoneyKind).index(item.kind))


def _plain(markdown: str) -> str:
    """A cell of Markdown as one line of text."""
    return "; ".join(one.removeprefix("– ") for one in plain_lines(markdown))
