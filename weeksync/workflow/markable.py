"""What can be marked in a household, and what is wrong with a mark for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from weeksync.language import weekend
from weeksync.message import message
from weeksync.model.chosen import PlannedBreak
from weeksync.model.fields import TODO_ID, MarkKind
from weeksync.model.files import Habit, Lesson, Task
from weeksync.model.household import Mark
from weeksync.model.marking import DONE, remedy_for
from weeksync.model.occurrence import TodoItem
from weeksync.workflow.context import Context
from weeksync.workflow.not_taken import NotTaken, not_known
from weeksync.workflow.task_marks import check_task

if TYPE_CHECKING:
    from weeksync.plan import Planner

MOST_YEARS_BACK = 10
"""Days further back are the work of a clock that has lost its battery; the bound is ours."""


class Markable:
    """The habits, lessons, breaks and tasks of a household, as marks are held against them."""

    def __init__(self, context: Context) -> None:
        self._context = context
        files = context.files
        self._habits = {one.id: one for one in files.habits}
        self._lessons = {one.id: one for one in files.lessons}
        self._tasks = {one.id: one for one in files.tasks}
        self._breaks = {one.id: one for week in files.weeks.values() for one in week.breaks}

    @cached_property
    def planner(self) -> Planner:
        """The household's days without its calendars, of which nothing here depends."""
        return self._planner(())

    def planner_with_todos(self) -> Planner:
        """The same with the calendars' to-dos that can be ticked."""
        return self._planner(self._todos.values()) if self._todos else self.planner

    def _planner(self, todos: Iterable[TodoItem]) -> Planner:
        from weeksync.plan import Planner  # most marks are of a habit, and need no plan

        context = self._context
        home = context.config.household
        return Planner(
            context.files,
            (),
            todos,
            now=context.now,
            tz=context.tz,
            rule=context.rule,
            language=home.locale,
            weekend=weekend(home.region),
        )

    def knows(self, thing: str) -> bool:
        """Whether something of that id can be marked."""
        things = (self._habits, self._lessons, self._breaks, self._tasks)
        return any(thing in several for several in things) or self.todo(thing) is not None

    def task(self, thing: str) -> Task | None:
        """The task of that id; None for a habit, a lesson, a break and what is unknown."""
        return self._tasks.get(thing)

    def todo(self, thing: str) -> TodoItem | None:
        """The calendar's to-do of that id that can be ticked; the store is read for it once."""
        return self._todos.get(thing) if thing.startswith(TODO_ID) else None

    @cached_property
    def _todos(self) -> Mapping[str, TodoItem]:
        from weeksync.workflow.todo_ids import tickable_todos  # most marks need no calendar

        return tickable_todos(self._context)

    def title(self, thing: str) -> str:
        """What people call it."""
        todo = self.todo(thing)
        if todo is not None:
            return todo.title
        lesson = self._lessons.get(thing)
        if lesson is not None:
            return lesson.subject
        pause = self._breaks.get(thing)
        if pause is not None:
            return self._name(pause)
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
        pause = self._breaks.get(mark.id)
        if pause is not None:
            self._check_break(pause, mark)
            return replace(mark, person=pause.person or mark.person)
        todo = self.todo(mark.id)
        if todo is not None:
            self._check_todo(todo, mark)
            return mark
        task = self._checked_task(mark)
        return replace(mark, person=mark.person or task.person or "")

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

    def _check_break(self, pause: PlannedBreak, mark: Mark) -> None:
        if pause.person is not None:
            self._check_whose(mark, self._name(pause), pause.person)
        if mark.day != pause.date:
            raise NotTaken(
                message(
                    "“{title}” is no break of {day}",
                    title=self._name(pause),
                    day=mark.day.isoformat(),
                ),
                message("mark {day}, the day it is planned for", day=pause.date.isoformat()),
            )
        self._check_value(mark, self._name(pause), MarkKind.YES_NO)

    def _name(self, pause: PlannedBreak) -> str:
        return pause.what or self._context.language.text(message("Break"))

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

    def _check_todo(self, todo: TodoItem, mark: Mark) -> None:
        if mark.value not in ("", DONE):
            raise NotTaken(
                message("“{title}” lies in a calendar, and can only be done", title=todo.title),
                message("write done; change anything else of it in the calendar"),
            )

    def _checked_task(self, mark: Mark) -> Task:
        task = self._tasks.get(mark.id)
        if task is None:
            known = (*self._habits, *self._lessons, *self._breaks, *self._tasks)
            raise not_known(mark.id, known)
        check_task(task, mark)
        return task
