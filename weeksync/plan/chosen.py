"""What was chosen in the week files: priorities, rows of one's own, breaks, notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from weeksync.model.chosen import ChosenDay, PlannedBreak, WeekFile
from weeksync.model.fields import reads_as_id
from weeksync.model.household import Mark
from weeksync.model.marking import TICKS
from weeksync.model.spread import BreakItem, Priority
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.plan.tasks import Tasks


class Chosen:
    """The week files, asked by day; what stands in a file counts for the day it names."""

    def __init__(
        self,
        weeks: Mapping[IsoWeek, WeekFile],
        rule: WeekRule,
        tasks: Tasks,
        marks: Mapping[tuple[str, date], Mark],
    ) -> None:
        self._weeks = weeks
        self._rule = rule
        self._tasks = tasks
        self._days: dict[date, list[ChosenDay]] = defaultdict(list)
        self._breaks: dict[date, list[BreakItem]] = defaultdict(list)
        for week in sorted(weeks):
            for chosen in weeks[week].days:
                self._days[chosen.date].append(chosen)
            for one in weeks[week].breaks:
                self._breaks[one.date].append(_break(one, marks.get((one.id, one.date))))

    def notes(self, week: IsoWeek) -> str:
        """The notes of that week, Markdown."""
        return self._weeks[week].notes if week in self._weeks else ""

    def priorities(self, day: date) -> tuple[Priority, ...]:
        """What matters on `day`, in the order written."""
        texts = [text for chosen in self._days.get(day, ()) for text in chosen.priorities]
        return tuple(
            self._priority(text, day)
            for text in texts
            if not self._is_lost(text) and not self._tasks.is_put_off(text, day)
        )

    def breaks(self, day: date) -> tuple[BreakItem, ...]:
        """The breaks planned for `day`, by time."""
        found = self._breaks.get(day, [])
        return tuple(sorted(found, key=lambda one: (one.start, one.what, one.person or "")))

    def own(self, day: date) -> tuple[tuple[str, str], ...]:
        """(title, cell) of each row of one's own of the week that shows `day`, "" for no cell.

        Every day of a week has every row, so that the rows can be set as a table.
        """
        week = self._weeks.get(self._rule.week_of(day))
        if week is None:
            return ()
        return tuple(
            (
                row.title,
                next((text for on, text in row.cells.items() if on.number == day.weekday()), ""),
            )
            for row in week.rows
        )

    def _is_lost(self, text: str) -> bool:
        """Whether it is the id of a task that is not there: dropped for a mistake, or deleted.

        Such an id can tell what is only for somebody; `read` reports it with its line.
        """
        return reads_as_id(text) and self._tasks.find(text) is None

    def _priority(self, text: str, day: date) -> Priority:
        task = self._tasks.find(text)
        if task is None:
            return Priority(text)
        done = self._tasks.is_done(task.id, day)
        return Priority(task.title, task.id, done, task.only_for, task.persons, task.area)


def _break(planned: PlannedBreak, mark: Mark | None) -> BreakItem:
    """A break with what its mark says; whatever is no tick says nothing."""
    value = "" if mark is None else mark.value
    return BreakItem(
        planned.start.strftime("%H:%M"),
        planned.minutes,
        planned.what,
        planned.person,
        id=planned.id,
        done=value == "yes" if value in TICKS else None,
    )
