"""Words that several commands share: of tasks, times, minutes, and people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from weeksync.language import Language
from weeksync.message import Message, counted, message
from weeksync.model.config import Config
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import DayLoad, Piece
from weeksync.workflow import Context

WIDTH = 80
"""Columns that a line has at most, where its words let it."""


class Words:
    """What is said about a household's plan, in its language."""

    def __init__(self, context: Context) -> None:
        self.config: Config = context.config
        self.language: Language = context.language
        self.today = context.today

    def text(self, sentence: Message) -> str:
        """The sentence, its dates as people write them."""
        return self.language.text(sentence, dates=True)

    def day(self, day: date) -> str:
        """A day near by: Wed 24 Mar."""
        return self.language.date(day, "weekday day month")

    def person(self, person_id: str) -> str:
        """A person's name."""
        person = self.config.person(person_id)
        return person.name if person is not None else person_id

    def people(self, ids: Iterable[str]) -> str:
        """Names as a list."""
        return self.language.listed([self.person(one) for one in ids])

    def letters(self, persons: Sequence[str]) -> str:
        """The letters of people behind a title, with a space before; "" for nobody."""
        known = [person.mark for person in self.config.people if person.id in persons]
        return f" [{' '.join(known)}]" if known else ""

    def piece(self, piece: Piece) -> str:
        """A day with from-to."""
        times = self.language.times(piece.start, piece.end)
        return f"{self.day(piece.start.date())} {times}"

    def pieces(self, pieces: Iterable[Piece]) -> str:
        """Several as a list."""
        return self.language.listed([self.piece(one) for one in pieces])

    def load(self, load: DayLoad) -> str:
        """The minutes of a day: what is free, what of it can be planned, what is planned."""
        return self.text(
            message(
                "{free} free, {plannable} to plan, {planned} planned",
                free=load.free,
                plannable=load.plannable,
                planned=load.planned,
            )
        )

    def facts(self, task: PlanTask) -> str:
        """What helps to decide about a task, in one line."""
        area = self.config.area(task.area)
        found = [
            self.people(task.persons),
            area.name if area is not None else "",
            self._due(task),
            self._carried(task),
            self._stood(task),
            self.text(message("{minutes} minutes", minutes=task.estimate)) if task.estimate else "",
            self.text(message("waits for: {what}", what=task.waits_for)) if task.waits_for else "",
        ]
        return " · ".join(filter(None, found))

    def _due(self, task: PlanTask) -> str:
        if task.due is None:
            return ""
        day = task.due.isoformat()
        text = message("was due {day}", day=day) if task.overdue else message("due {day}", day=day)
        return self.text(text)

    def _carried(self, task: PlanTask) -> str:
        if not task.carried:
            return ""
        return self.text(counted("carried {count} week", "carried {count} weeks", task.carried))

    def _stood(self, task: PlanTask) -> str:
        day = task.shown_on
        if day is None or not task.chosen or day >= self.today:
            return ""
        return self.text(message("planned for {day}", day=day.isoformat()))


def wrapped(text: str, first: str = "", rest: str | None = None) -> Iterator[str]:
    """The text in lines of WIDTH columns, none where it is empty.

    `first` stands before the first of them, `rest` before the others.
    """
    lines = textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return iter(lines)
