"""Lines of the page on which a week is planned: its tasks, its days, the table of buttons."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from datetime import date

from weeksync.message import Message, counted, message
from weeksync.model.fields import DayPart
from weeksync.model.spread import Day, PlanTask, Priority
from weeksync.model.week_plan import DayLoad, ProposedTask, Standing
from weeksync.site.lines import by_kind, event_line, money_line
from weeksync.site.parts import part_name, term_text
from weeksync.site.plan_days import PlannedDays
from weeksync.site.plan_evening_facts import Evening
from weeksync.site.record.plan_evening import (
    EveningDay,
    EveningPriority,
    EveningTask,
    PlaceCell,
    PlaceRow,
)
from weeksync.site.words import Words

MOST_PRIORITIES = 2
"""One or two a day are asked for; more can be written, and are shown."""


class Lines:
    """What the steps share, made from one evening."""

    def __init__(self, evening: Evening, words: Words) -> None:
        self._evening = evening
        self._words = words
        self._planned = PlannedDays(words, evening.spread)
        plan = evening.spread.plan
        self._loads = plan.loads if plan is not None else ()
        self._proposal = plan.proposal if plan is not None else None

    # Tasks

    def task(
        self,
        task: PlanTask,
        proposed: ProposedTask | None = None,
        *,
        due: bool = False,
        place: str = "",
    ) -> EveningTask:
        """A task with what helps to decide about it."""
        evening, words = self._evening, self._words
        pieces = proposed.pieces if proposed is not None else ()
        return EveningTask(
            id=task.id,
            anchor=anchor(task.id),
            value=f"{task.id}|{evening.was.get(f'task:{task.id}', '')}",
            title=task.title.strip() or words.no_title(),
            area=words.area(task.area),
            persons=words.persons(task.persons),
            facts=tuple(filter(None, self._facts(task, proposed))),
            place=place,
            proposed=words.say.pieces(pieces) if pieces else "",
            reason=words.plan_text(proposed.reason) if proposed is not None else "",
            is_late=proposed is not None and proposed.standing is Standing.LATE,
            is_due=due,
            in_file=task.id in evening.in_file,
            repeats=task.repeats,
        )

    def _facts(self, task: PlanTask, proposed: ProposedTask | None) -> Iterable[str]:
        words = self._words
        yield words.duration(task.estimate)
        if not task.estimate and proposed is not None and proposed.guessed:
            about = message("about {time}, a guess", time=words.duration(proposed.minutes))
            yield words.text(about)
        if task.due is not None:
            when = words.language.date(task.due, "weekday day month")
            late = message("was due {when}", when=when)
            yield words.text(late if task.overdue else message("due {when}", when=when))
        if task.carried:
            yield words.text(counted("carried {count} week", "carried {count} weeks", task.carried))
        if task.waits_for:
            yield words.text(message("waits for {what}", what=task.waits_for))
        if task.only_for:
            yield words.text(message("only for {names}", names=words.names(task.only_for)))

    def to_place(self) -> tuple[EveningTask, ...]:
        """The open tasks that nobody has put anywhere in the week yet.

        Those of the proposal in its order, then others that may be begun in the week.
        """
        known = {task.id: task for task in self._every_task()}
        made = self._proposal.tasks if self._proposal is not None else ()
        found = [
            self.task(known[one.task], one)
            for one in made
            if one.standing is not Standing.CHOSEN and one.task in known
        ]
        asked = {one.task for one in made}
        rest = (one for one in self._evening.open_tasks if one.id not in asked)
        return (*found, *(self.task(one) for one in rest if self._could_stand(one)))

    def _could_stand(self, task: PlanTask) -> bool:
        """Whether a task may be begun in the week, and stands on no day of it or a later one."""
        first, last = (self._evening.spread.days[at].date for at in (0, -1))
        if (task.not_before or date.min) > last:
            return False
        return not (task.chosen and task.shown_on is not None and task.shown_on >= first)

    def _every_task(self) -> list[PlanTask]:
        """The open tasks that the page knows, once each where it is seen last."""
        evening = self._evening
        return [
            *(one.task for one in evening.loose),
            *evening.spread.undated,
            *(task for day in evening.spread.days for task in day.tasks if task.open),
            *evening.open_tasks,
        ]

    # Days

    def days(self) -> tuple[EveningDay, ...]:
        """The days of the week that is planned."""
        return tuple(map(self._day, self._evening.spread.days))

    def _day(self, day: Day) -> EveningDay:
        words, language = self._words, self._words.language
        weekday, over = day.date.weekday(), day.date < self._evening.today
        amounts = self._evening.person is not None
        lessons = counted("{count} lesson", "{count} lessons", len(day.lessons))
        notes = (*day.holidays, term_text(words, day) if day.term_break else "")
        return EveningDay(
            date=day.date.isoformat(),
            weekday=language.weekday(weekday),
            short=language.weekday(weekday, "abbreviated"),
            number=language.digits(str(day.date.day)),
            label=language.date(day.date, "full"),
            weekend=weekday in words.weekend,
            over=over,
            notes=tuple(
                filter(None, (*notes, *(words.plan_text(one.what) for one in day.problems)))
            ),
            events=tuple(event_line(words, one) for one in day.occurrences),
            money=tuple(money_line(words, one, amounts=amounts) for one in by_kind(day.money)),
            lessons=words.text(lessons) if day.lessons else "",
            priorities=tuple(map(self._priority, day.priorities)),
            proposed=() if over else self._could_matter(day),
            tasks=tuple(
                self.task(task, place=self._place(task))
                for task in day.tasks
                if task.open and task.chosen
            ),
            loads=self._planned.loads(day.date),
        )

    def about(self, day: Day, person: str) -> tuple[str, ...]:
        """What speaks against a day, and how much of it is left where that is known.

        Left to the person; of one whose days are not planned, to each of those whose are.
        """
        here = [one for one in self._loads if one.day == day.date]
        own = [one for one in here if one.person == person]
        left = [self._left_text(one) for one in own] or [
            self._words.language.joined((self._words.names((one.person,)), self._left_text(one)))
            for one in here
        ]
        return tuple(filter(None, (*day.holidays, day.term_break, *left)))

    def _left_text(self, load: DayLoad) -> str:
        minutes = max(self._left(load, None), 0)
        return self._words.text(message("{minutes} min left", minutes=minutes))

    def _priority(self, one: Priority) -> EveningPriority:
        return EveningPriority(one.title, one.task or one.title, one.done)

    def _could_matter(self, day: Day) -> tuple[EveningPriority, ...]:
        room = MOST_PRIORITIES - len(day.priorities)
        known = {one.task for one in day.priorities}
        found = self._proposal.priorities if self._proposal is not None else ()
        return tuple(
            EveningPriority(one.title, one.task, reason=self._words.plan_text(one.reason))
            for one in found
            if one.day == day.date and one.task not in known
        )[: max(room, 0)]

    def _place(self, task: PlanTask) -> str:
        """When on its day a task stands."""
        words = self._words
        if task.start is not None:
            return words.language.time(task.start)
        return part_name(words, task.part) if task.part is not None else ""

    # The table of buttons

    def places(
        self, persons: Sequence[str] = (), *, priorities: bool = False
    ) -> tuple[PlaceRow, ...]:
        """A row a day part over the days to come; with how much room `persons` have."""
        days = [one.date for one in self._evening.spread.days if one.date >= self._evening.today]
        if not days:
            return ()
        words = self._words
        rows = [
            PlaceRow(
                part_name(words, part),
                part.value,
                tuple(self._cell(day, part, persons) for day in days),
            )
            for part in DayPart
        ]
        whole = PlaceRow(
            words.text(message("Some time")),
            "day",
            tuple(self._cell(day, None, persons) for day in days),
        )
        first = PlaceRow(words.text(message("Priority")), "priority", tuple(map(self._first, days)))
        return (*([first] if priorities else []), *rows, whole)

    def _first(self, day: date) -> PlaceCell:
        label = message("Priority of {day}", day=self._words.say.day(day))
        return PlaceCell(f"{day}/priority", self._words.text(label), "", False)

    def _cell(self, day: date, part: DayPart | None, persons: Sequence[str]) -> PlaceCell:
        loads = [one for one in self._loads if one.day == day]
        own = [one for one in loads if one.person in persons]
        left = [self._left(one, part) for one in own]
        words = self._words
        where = words.say.day(day)
        if part is not None:
            where = words.language.joined((where, part_name(words, part)))
        room: Message | None = None
        if left:
            room = message("{minutes} min left", minutes=max(min(left), 0))
        return PlaceCell(
            value=f"{day}/{part.value}" if part is not None else f"{day}",
            label=words.language.joined(filter(None, (where, words.text(room) if room else ""))),
            text=words.language.digits(str(max(min(left), 0))) if left else "",
            is_full=any(one.over for one in (own or loads)),
        )

    @staticmethod
    def _left(load: DayLoad, part: DayPart | None) -> int:
        """The minutes that can still be planned, in a part of the day or all of it."""
        day = load.plannable - load.planned
        parts = [one.free - one.planned for one in load.parts if one.part is part]
        return min(day, parts[0]) if parts else day if part is None else 0


def anchor(ident: str) -> str:
    """A name for an element and its fields, whatever signs the id has."""
    return f"t-{hashlib.sha256(ident.encode()).hexdigest()[:10]}"


def weekdays(words: Words, days: Iterable[date]) -> str:
    """Days of one week as a list of their short names."""
    language = words.language
    return language.listed([language.weekday(day.weekday(), "abbreviated") for day in days])
