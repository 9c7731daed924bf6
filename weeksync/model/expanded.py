"""What a window of days holds of one calendar, part by part: a part is what one UID gives."""

from __future__ import annotations

from dataclasses import field
from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.limits import Spent
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem

PartName = tuple[str, str]
"""Collection and UID."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one UID of one collection gives in a window.

    `first` and `last` are the days it can touch, None where no bound is known; `fine` where a
    rule of it may give several times a day. `place` is its place among the parts of its source,
    `room` and `steps` are what it took of the limits.
    """

    collection: str
    uid: str
    place: int
    first: date | None
    last: date | None
    fine: bool = False
    room: int = 0
    steps: int = 0
    occurrences: tuple[Occurrence, ...] = ()
    todos: tuple[TodoItem, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def name(self) -> PartName:
        """What tells it from the other parts of its source."""
        return self.collection, self.uid


@dataclass(frozen=True, slots=True)
class ZoneChoice:
    """Which clock a TZID of a source, with those rules, was read by, and what that cost."""

    tzid: str
    rules: str
    clock: str
    steps: int


@dataclass(frozen=True, slots=True)
class KeptHead:
    """What is known of a source's kept expansion before any row of it is read.

    It is of the days [start, end). `plain` where its parts do not depend on each other, so that
    each can be made anew alone; `touched` where something of the source has changed since.
    """

    key: str
    start: date
    end: date
    spent: Spent
    plain: bool
    touched: bool

    @property
    def window(self) -> tuple[date, date]:
        """Its days, half-open."""
        return self.start, self.end

    def covers(self, window: tuple[date, date]) -> bool:
        """Whether all these days are in it."""
        return self.start <= window[0] and self.end >= window[1]


@dataclass(frozen=True, slots=True)
class KeptExpansion:
    """An expansion as it is to be kept, under a `key` that stands for all it depends on.

    `problems` are those of the source as a whole; `zone` is the one that most times are in.
    """

    key: str
    window: tuple[date, date]
    zone: str
    parts: tuple[Part, ...]
    problems: tuple[Problem, ...] = ()
    spent: Spent = field(default_factory=Spent)
    plain: bool = True
    zones: tuple[ZoneChoice, ...] = ()


@dataclass(frozen=True, slots=True)
class Change:
    """Parts that take the place of those kept so far, for a window that may have moved.

    `gone` names the parts that are dropped; those of `parts` are replaced. `spent` and `zones`
    are those of the whole expansion afterwards.
    """

    window: tuple[date, date]
    spent: Spent
    zones: tuple[ZoneChoice, ...]
    parts: tuple[Part, ...]
    gone: frozenset[PartName]


@dataclass(frozen=True, slots=True)
class DueParts:
    """Which parts of a kept expansion are to be expanded again, and what depends on none of them.

    `made` are the parts that the source has and that may touch the window, `gone` those that are
    kept and are to be dropped. `stay` counts the parts that are kept as they are, `room` and
    `steps` are theirs, `problems` counts theirs. `entries` are those of all texts, `zones` the
    clocks of the kept expansion.
    """

    made: frozenset[PartName]
    gone: frozenset[PartName]
    stay: int
    room: int
    steps: int
    problems: int
    entries: int
    zones: tuple[ZoneChoice, ...]
