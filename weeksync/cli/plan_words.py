"""Words that several commands share: of tasks, times, minutes, and people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from weeksync.language.plan_words import PlanWords
from weeksync.message import counted, message
from weeksync.model.spread import PlanTask
from weeksync.workflow import Context

WIDTH = 80
"""Columns that a line has at most, where its words let it."""


class Words(PlanWords):
    """What is said about a household's plan, in its language."""

    def __init__(self, context: Context) -> None:
        super().__init__(context.config, context.language)
        self.today = context.today

    def facts(self, task: PlanTask) -> str:
        """What helps to decide about a task, in one line."""
        area = self.config.area(task.area)
        found = [
            self.people(task.persons),
            area.name if area is not None else "",
            self._due(task),
            self._carried(task),
            self._stood(task),
            self.minutes(task.estimate) if task.estimate else "",
            self.text(message("waits for: {what}", what=task.waits_for)) if task.waits_for else "",
        ]
        return " · ".join(filter(None, found))

    def minutes(self, count: int) -> str:
        """A length: 45 minutes."""
        return self.text(counted("{count} minute", "{count} minutes", count))

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
