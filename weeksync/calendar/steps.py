"""Budgets of work and of room, counted and not timed: equal inputs give equal outputs."""

from __future__ import annotations

from datetime import date, datetime

from weeksync.calendar.window import Window
from weeksync.lazy import dataclass
from weeksync.model.limits import ExpandLimits, Spent


class StepsSpent(Exception):
    """The budget of work is used up."""


class Steps:
    """So many steps of work, so that hostile rules end.

    One step is about one candidate day or time looked at. `shared` is the budget of the whole
    source, which this one draws on too.
    """

    def __init__(self, left: int, shared: Steps | None = None) -> None:
        self.left = left
        self._shared = shared

    def spend(self, steps: int) -> None:
        """Take so many steps; StepsSpent where they are not there."""
        self.left -= steps
        if self._shared is not None:
            self._shared.left -= steps
            if self._shared.left < 0:
                raise StepsSpent
        if self.left < 0:
            raise StepsSpent


@dataclass(slots=True)
class Budget:
    """What is left to one source: `room` for occurrences, `entries` to be read from texts."""

    room: int
    entries: int
    steps: Steps
    limits: ExpandLimits

    @classmethod
    def of(cls, limits: ExpandLimits) -> Budget:
        """All that one source has."""
        steps = Steps(limits.steps_per_source)
        return cls(limits.per_source, limits.entries_per_source, steps, limits)

    @property
    def worked(self) -> bool:
        """Whether there are steps left."""
        return self.steps.left > 0

    @property
    def ample(self) -> bool:
        """Whether the next event can have all that one event may have."""
        limits = self.limits
        return self.room >= limits.per_uid and self.steps.left >= limits.steps_per_uid

    def for_event(self) -> tuple[int, Steps]:
        """The room and the steps that the next event may take at most."""
        return min(self.limits.per_uid, self.room), Steps(self.limits.steps_per_uid, self.steps)

    def spent(self) -> Spent:
        """What was taken so far."""
        limits = self.limits
        return Spent(
            limits.per_source - max(self.room, 0),
            limits.steps_per_source - max(self.steps.left, 0),
            limits.entries_per_source - max(self.entries, 0),
        )


TODO_ROOM = 5
"""How much room a to-do takes: an open one is looked at for the page of each week."""


def room_of(start: datetime | date, end: datetime | date, window: Window) -> int:
    """How much room an occurrence takes: the days of the window it lies on, at least one."""
    first, last = _day(start), _day(end)
    if first == last:
        return 1
    return max((min(last, window.end) - max(first, window.start)).days, 1)


def _day(moment: datetime | date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
