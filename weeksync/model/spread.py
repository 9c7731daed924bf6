"""The week and the month as merged: one model of everything, before any page or text.

`Spread` is what `plan` makes, what `show --json` prints and what pages are made from. It
holds everything; what a common page must not show (amounts, check-ins, items with `only_for`)
is taken out by `weeksync.plan.views` before a page sees it.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import NamedTuple

from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.elsewhere import OtherClock
from weeksync.model.fields import DayPart, MarkKind
from weeksync.model.household import CheckIn
from weeksync.model.money_item import MoneyItem
from weeksync.model.occurrence import Occurrence
from weeksync.model.problem import Problem
from weeksync.model.week import IsoWeek, Month
from weeksync.model.week_plan import ComingUp, WeekPlan


class DayOccurrence(NamedTuple):
    """An occurrence as it lies in one day.

    `part` is the day part its visible start lies in, None for all-day. `from_before` and
    `goes_on`: it began on an earlier day, it ends on a later one.
    """

    occurrence: Occurrence
    part: DayPart | None
    from_before: bool = False
    goes_on: bool = False
    elsewhere: tuple[OtherClock, ...] = ()
    """What the clocks of the event's own zone, and of persons who live elsewhere, show."""


@dataclass(frozen=True, slots=True)
class PlanTask:
    """A task on the week, of `tasks.toml` or of a calendar's to-do list.

    `source` is "" for `tasks.toml`. `shown_on` is the day it stands on (planned, else due),
    None where it has none. `overdue` counts from the day the spread was made for (`now`).
    """

    id: str
    title: str
    source: str = ""
    area: str | None = None
    persons: tuple[str, ...] = ()
    due: date | None = None
    due_at: datetime | None = None
    not_before: date | None = None
    estimate: int | None = None
    priority: int | None = None
    part: DayPart | None = None
    shown_on: date | None = None
    waits_for: str = ""
    carried: int = 0
    notes: str = ""
    done: date | None = None
    dropped: date | None = None
    overdue: bool = False
    only_for: tuple[str, ...] = ()
    uid: str = ""
    """The UID of the calendar's to-do; "" for a task of `tasks.toml`."""
    start: time | None = None
    """The local time it was placed at, where it was."""
    minutes: int | None = None
    """How long a piece of it was placed there, where that was said."""
    chosen: bool = False
    """It stands on its day by choice, and not only because it is due."""
    lead_days: int = 0
    """How many days before it is due it has to be done."""
    repeats: bool = False
    """It is one due date of a task that repeats."""
    took: int | None = None
    """How many minutes it took in the end, where somebody wrote that down."""
    classification: str | None = None
    """CLASS of a calendar's to-do, "" where it has none; None where that was not kept."""
    ticks: bool = False
    """A calendar's to-do that can be ticked here, and opened again."""

    @property
    def later(self) -> bool:
        """It is open, and put off to a day after the one it stands on."""
        return self.open and (self.not_before or date.min) > (self.shown_on or date.max)

    @property
    def open(self) -> bool:
        """Neither done nor dropped."""
        return self.done is None and self.dropped is None

    @property
    def last_day(self) -> date | None:
        """The last day on which it can be done in time: its due date less its lead days."""
        if not self.lead_days or self.due is None:
            return self.due
        if self.due - date.min < timedelta(self.lead_days):
            return date.min
        return self.due - timedelta(self.lead_days)


class CellState(StrEnum):
    """How a habit stands on one day."""

    NOT_DUE = "not due"
    OPEN = "open"
    """Due today or later, nothing recorded."""
    NOT_RECORDED = "not recorded"
    """The day is over and nobody wrote anything: missing, which is not "no"."""
    MARKED = "marked"
    MISSED = "missed"
    PAUSED = "paused"


class HabitCell(NamedTuple):
    """One day of a habit row; `value` is the mark as written, "" where there is none."""

    day: date
    state: CellState
    value: str = ""


@dataclass(frozen=True, slots=True)
class HabitRow:
    """A habit over the seven days of a spread, in the order of the day.

    `due` and `marked` count days; for n-a-week habits `due` is n.
    """

    id: str
    title: str
    area: str | None
    person: str
    part: DayPart | None
    kind: MarkKind
    unit: str
    target: float | None
    cells: tuple[HabitCell, ...]
    times_a_week: int | None = None
    due: int = 0
    marked: int = 0
    health: bool = False
    only_for: tuple[str, ...] = ()
    boxes: tuple[int, ...] = ()
    """The numbers, from 1, of the cells that can be marked: due or once due, and not paused.

    What is marked changes nothing in them: of a habit n times a week all days stay boxes.
    """


@dataclass(frozen=True, slots=True)
class LessonItem:
    """A lesson on a day: planned, or made up; `done` is None where not recorded."""

    id: str
    child: str
    subject: str
    minutes: int | None = None
    make_up: bool = False
    done: bool | None = None
    value: str = ""
    """The mark as written, "" where there is none."""


@dataclass(frozen=True, slots=True)
class BreakItem:
    """A planned break."""

    start: str
    """Local time as 14:30."""
    minutes: int
    what: str
    person: str | None = None
    id: str = ""
    done: bool | None = None
    """Whether it was taken; None where that is not recorded."""


@dataclass(frozen=True, slots=True)
class Priority:
    """What matters on a day: a task (its id), or words of one's own (id "")."""

    title: str
    task: str = ""
    done: bool = False
    only_for: tuple[str, ...] = ()
    """As its task has it, and so the next two."""
    persons: tuple[str, ...] = ()
    area: str | None = None


@dataclass(frozen=True, slots=True)
class Day:
    """One day with everything on it.

    `minutes` is its length: 1380, 1440, 1500, or 0 for a day that does not exist in the zone.
    """

    date: date
    week: IsoWeek
    minutes: int
    holidays: tuple[str, ...] = ()
    term: str = ""
    term_week: int | None = None
    term_break: str = ""
    priorities: tuple[Priority, ...] = ()
    occurrences: tuple[DayOccurrence, ...] = ()
    tasks: tuple[PlanTask, ...] = ()
    money: tuple[MoneyItem, ...] = ()
    lessons: tuple[LessonItem, ...] = ()
    breaks: tuple[BreakItem, ...] = ()
    own: tuple[tuple[str, str], ...] = ()
    """(title of the row, cell as Markdown) of the rows of one's own."""
    check_ins: tuple[CheckIn, ...] = ()
    problems: tuple[Problem, ...] = ()
    """What is worth knowing about this day alone, as that the clocks change."""


class LeftOutReason(StrEnum):
    """Why something is on no page."""

    CANCELLED = "cancelled"
    SAME = "the same in another calendar"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An occurrence that is not shown, and why."""

    occurrence: Occurrence
    reason: LeftOutReason


@dataclass(frozen=True, slots=True)
class Spread:
    """A span of days, seven of them for a week, with everything on them.

    `week` is None for a span that is no week. `undated` are open tasks with no day in it that
    may be done in it. `habits` are rows over exactly `days`.
    """

    week: IsoWeek | None
    days: tuple[Day, ...]
    habits: tuple[HabitRow, ...] = ()
    undated: tuple[PlanTask, ...] = ()
    notes: str = ""
    left_out: tuple[LeftOut, ...] = ()
    problems: tuple[Problem, ...] = ()
    decisions: tuple[Message, ...] = ()
    """What needs a decision, most pressing first; nothing in it is `only_for` somebody."""
    own_decisions: tuple[tuple[tuple[str, ...], Message], ...] = ()
    """(persons who may see it, what needs a decision) of things with `only_for`."""
    plan: WeekPlan | None = None
    """What is worked out about a week; None for a span that is no week."""


@dataclass(frozen=True, slots=True)
class MonthSpan:
    """Something over several days as it lies in one week's row of a month.

    `first` and `last` are days of the row; `from_before` and `goes_on` say that it reaches
    beyond the row. `lane` counts from 0: spans of one lane never meet. `occurrence` is what
    lies there; None for a break from lessons, of which there is only the title.
    """

    title: str
    first: date
    last: date
    lane: int
    from_before: bool = False
    goes_on: bool = False
    occurrence: Occurrence | None = None

    @property
    def only_for(self) -> tuple[str, ...]:
        """As its occurrence has it."""
        return self.occurrence.only_for if self.occurrence is not None else ()


@dataclass(frozen=True, slots=True)
class MonthPlan:
    """A month: its weeks as rows of days; days of the neighbouring months fill the edges."""

    month: Month
    weeks: tuple[tuple[IsoWeek, tuple[Day, ...]], ...]
    spans: tuple[tuple[MonthSpan, ...], ...] = ()
    """What lies over several days, a row for each of `weeks`, by lane and day."""
    coming_up: tuple[ComingUp, ...] = ()
    """What needs lead time and is to be begun in the month or soon after."""
