"""`weeks/2027-W12.toml`: what was chosen for one week."""

from __future__ import annotations

from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.model.fields import (
    Day,
    DayPart,
    FileRecord,
    Id,
    LocalTime,
    MaybeId,
    Minutes,
    OneOrMore,
    Title,
    Weekday,
)
from weeksync.model.record import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenDay(Record):
    """What was chosen for one day of a week."""

    date: Day
    """The day."""
    priorities: tuple[str, ...] = ()
    """Ids of tasks, or words of one's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTask(Record):
    """A task put on a day, in a day part or at a time."""

    task: Id
    """The id of the task."""
    date: Day
    """The day it is put on."""
    part: DayPart | None = None
    """The day part."""
    start: LocalTime | None = None
    """Local time, as 14:30:00."""
    minutes: Minutes | None = None
    """How long it takes, where that differs from its estimate."""
    person: Id | None = None
    """Who does it that day, where the task names nobody, or several."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRow(Record):
    """A row of one's own under the days, as meals; a cell a day, Markdown."""

    title: Title
    """What the row is called, as Meals."""
    cells: dict[Weekday, str] = field(default_factory=dict)
    """Weekday = text, as monday = "Leek pie"; Markdown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedBreak(Record):
    """A break that is planned, not waited for."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    date: Day
    """The day."""
    start: LocalTime
    """Local time, as 10:30:00."""
    minutes: Minutes = 10
    """How long."""
    what: str = ""
    """What to do in it."""
    person: Id | None = None
    """Whose break it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LighterWeek(Record):
    """Days on which less is asked of a person."""

    person: OneOrMore
    """Of whom less is asked: one person or several."""
    start: Day
    """The first day."""
    end: Day
    """The last day."""
    reason: str = ""
    """Why, in your own words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled(Record):
    """Something that was left as it is on purpose when the week was looked back on."""

    what: Title
    """What: marks, or task:, lesson: or bill: with its id."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekFile(FileRecord):
    """`weeks/2027-W12.toml`: what was chosen for that week."""

    notes: str = ""
    """Markdown."""
    days: tuple[ChosenDay, ...] = ()
    """What was chosen for single days."""
    placed: tuple[PlacedTask, ...] = ()
    """Tasks put on days."""
    rows: tuple[OwnRow, ...] = ()
    """Rows of one's own."""
    breaks: tuple[PlannedBreak, ...] = ()
    """Breaks that are planned."""
    lighter: tuple[LighterWeek, ...] = ()
    """Days on which less is asked of somebody."""
    settled: tuple[Settled, ...] = ()
    """What was left as it is on purpose, so that nobody is asked about it twice."""
