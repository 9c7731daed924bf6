"""What can be marked in a household, and what is wrong with a mark for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property

from weeksync.language import weekend
from weeksync.message import Message, message
from weeksync.model.fields import TODO_ID
from weeksync.model.files import Habit, Lesson, MarkKind, Task
from weeksync.model.household import Mark
from weeksync.model.marking import DONE, DROPPED, remedy_for
from weeksync.plan import Planner
from weeksync.read import nearest
from weeksync.workflow.context import Context

MOST_YEARS_BACK = 10
"""Days further back are the work of a clock that has lost its battery; the bound is ours."""


class NotTaken(Exception):
    """A mark that is not written: `what` is wrong with it, and the `remedy`."""

    def __init__(self, what: Message, remedy: Message | None = None) -> None:
        super().__init__(str(what))
        self.what = what
        self.remedy = remedy


class Markable:
    """The habits, lessons and tasks of a household, as marks are held against them."""

    def __init__(self, context: Context) -> None:
        self._context = context
        files = context.files
        self._habits = {one.id: one for one in files.habits}
        self._lessons = {one.id: one for one in files.lessons}
        self._tasks = {one.id: one for one in files.tasks}

    @cached_property
    def planner(self) -> Planner:
        """The household's days without its calendars, of which nothing here depends."""
        context = self._context
        home = context.config.household
        return Planner(
            context.files,
            (),
            (),
            now=context.now,
            tz=context.tz,
            rule=context.rule,
            language=home.locale,
            weekend=weekend(home.region),
        )

    def knows(self, thing: str) -> bool:
        """Whether something of that id can be marked."""
        return any(thing in several for several in (self._habits, self._lessons, self._tasks))

    def task(self, thing: str) -> Task | None:
        """The task of that id; None for a habit, a lesson and what is unknown."""
        return self._tasks.get(thing)

    def title(self, thing: str) -> str:
        """What people call it."""
        lesson = self._lessons.get(thing)
        if lesson is not None:
            return lesson.subject
        found = self._habits.get(thing) or self._tasks.get(thing)
        return found.title if found is not None else thing

    def checked(self, mark: Mark) -> Mark:
        """The mark with its person; NotTaken where it is for nothing there is, or cannot be so."""
        self._check_day(mark.day)
        self._check_person(mark.person)
        habit, lesson = self._habits.get(mark.id), self._lessons.get(mark.id)
        if habit is not None:
            self._check_habit(habit, mark)
            return replace(mark, person=habit.person)
        if lesson is not None:
            self._check_lesson(lesson, mark)
            return replace(mark, person=lesson.child)
        self._check_task(mark)
        return mark

    def _check_day(self, day: date) -> None:
        today = self._context.today
        if day > today:
            raise NotTaken(
                message("date = {day} has not come yet", day=day.isoformat()),
                message("mark it on that day; if it is over, put the clock right"),
            )
        if day < today - timedelta(days=366 * MOST_YEARS_BACK):
            raise NotTaken(
                message("date = {day} lies too far back", day=day.isoformat()),
                message("write a day of the last {count} years", count=MOST_YEARS_BACK),
            )

    def _check_person(self, person: str) -> None:
        people = self._context.config.people
        if person and self._context.config.person(person) is None:
            raise NotTaken(
                message('person = "{value}" is nobody of config.toml', value=person),
                message("write one of {known}", known=", ".join(one.id for one in people)),
            )

    def _check_habit(self, habit: Habit, mark: Mark) -> None:
        self._check_whose(mark, habit.title, habit.person)
        if habit.start is not None and mark.day < habit.start:
            raise NotTaken(
                message("“{title}” began on {day}", title=habit.title, day=habit.start.isoformat()),
                message("mark a day from then on, or change start in habits.toml"),
            )
        if habit.end is not None and mark.day > habit.end:
            raise NotTaken(
                message("“{title}” ended on {day}", title=habit.title, day=habit.end.isoformat()),
                message("mark a day up to then, or change end in habits.toml"),
            )
        self._check_value(mark, habit.title, habit.kind)

    def _check_lesson(self, lesson: Lesson, mark: Mark) -> None:
        self._check_whose(mark, lesson.subject, lesson.child)
        if all(one.id != lesson.id for one in self.planner.day(mark.day).lessons):
            raise NotTaken(
                message(
                    "“{title}” is no lesson of {day}",
                    title=lesson.subject,
                    day=mark.day.isoformat(),
                ),
                message("mark a day it is planned for, or add the day to its make_up"),
            )
        self._check_value(mark, lesson.subject, MarkKind.MINUTES)

    def _check_whose(self, mark: Mark, title: str, person: str) -> None:
        if mark.person not in ("", person):
            raise NotTaken(
                message("“{title}” is not for {person}", title=title, person=mark.person),
                message("write {person}, or nothing", person=person),
            )

    def _check_value(self, mark: Mark, title: str, kind: MarkKind) -> None:
        remedy = remedy_for(kind, mark.value)
        if remedy is not None:
            value = mark.value[:40]
            what = message('value = "{value}" is no mark for “{title}”', value=value, title=title)
            raise NotTaken(what, remedy)

    def _check_task(self, mark: Mark) -> None:
        task = self._tasks.get(mark.id)
        if task is None:
            raise self._unknown(mark.id)
        if mark.value not in ("", DONE, DROPPED):
            raise NotTaken(
                message(
                    'value = "{value}" says nothing about the task “{title}”',
                    value=mark.value[:40],
                    title=task.title,
                ),
                message("write done or dropped"),
            )
        if task.repeats and mark.value != DONE:
            raise NotTaken(
                message("“{title}” repeats, and of one time it can only be done", title=task.title),
                message("change done or dropped under it in tasks.toml"),
            )

    def check_open(self, task: Task, mark: Mark) -> None:
        """NotTaken where another end is written down: none replaces one without a word."""
        stands = {DONE: task.done, DROPPED: task.dropped}
        other = DROPPED if mark.value == DONE else DONE
        ended = stands[other] if task.repeats or not mark.value else task.done or task.dropped
        if not mark.value or ended is None or stands[mark.value] == mark.day:
            return
        raise NotTaken(
            message(
                "“{title}” has ended on {day} already", title=task.title, day=ended.isoformat()
            ),
            message("take that back first: weeksync mark {id} --undo", id=task.id),
        )

    def _unknown(self, thing: str) -> NotTaken:
        if thing.startswith(TODO_ID):
            return NotTaken(
                message('id = "{value}" is a to-do of a calendar', value=thing),
                message("end it in the calendar; weeksync does not write there"),
            )
        what = message('id = "{value}" is no habit, lesson or task', value=thing)
        near = nearest(thing, [*self._habits, *self._lessons, *self._tasks])
        if near is not None:
            return NotTaken(what, message("did you mean {near}?", near=near))
        return NotTaken(what, message("weeksync show names the ids with --json"))
