"""The window that is looked at, and what came out of it."""

from __future__ import annotations

from dataclasses import field
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from weeksync.lazy import dataclass
from weeksync.model.limits import Spent
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.zones import first_instant


@dataclass(frozen=True, slots=True)
class Window:
    """Days [start, end) of the household's zone; `low` and `high` are the same as instants."""

    start: date
    end: date
    low: datetime
    high: datetime

    @classmethod
    def of(cls, start: date, end: date, tz: ZoneInfo) -> Window:
        """The window of these days in that zone."""
        return cls(start, end, first_instant(start, tz), first_instant(end, tz))

    def meets(self, start: datetime | date, end: datetime | date) -> bool:
        """Whether something from `start` to before `end` touches it.

        Half-open; what takes no time belongs to the moment it is at.
        """
        if isinstance(start, datetime) and isinstance(end, datetime):
            return start < self.high and (end > self.low or start >= self.low)
        return _day(start) < self.end and _day(end) > self.start


def _day(moment: datetime | date) -> date:
    return moment.astimezone(UTC).date() if isinstance(moment, datetime) else moment


@dataclass(frozen=True, slots=True)
class Expansion:
    """What one source says about a window: occurrences in order of time, to-dos, problems.

    `spent` is what it took of the limits of its run.
    """

    occurrences: tuple[Occurrence, ...] = ()
    todos: tuple[TodoItem, ...] = ()
    problems: tuple[Problem, ...] = ()
    spent: Spent = field(default_factory=Spent)
