"""The household's other TOML files: what stands in no calendar, as frozen records.

Every record that can be marked, carried or paid has an `id`, permanent once given; weeksync
writes it in where it is missing, so after reading it is never empty. `only_for` names the
persons who may see a thing: with it, it is on no common page, print or feed.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import Preparation
from weeksync.model.fields import (
    MOST_FIGURE,
    YEARS,
    Day,
    DayPart,
    FileRecord,
    Hours,
    Id,
    Ids,
    MarkKind,
    MaybeId,
    Minutes,
    OneOrMore,
    RuleText,
    Title,
    Weekday,
)
from weeksync.model.mistake import Mistake
from weeksync.model.record import Length, Record, Within

MOST_MINUTES = 366 * 24 * 60
"""A year: what takes longer is a slip of the pen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Appointment(Record):
    """Something at a time that stands in no calendar (`[[appointments]]`)."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What it is called."""
    person: OneOrMore = ()
    """Whose time it takes: one person or several."""
    start: datetime | date
    """A date for the whole day, or a local date and time in the household's zone."""
    end: datetime | date | None = None
    """Half-open: the first moment (or day) that no longer belongs to it."""
    minutes: Annotated[int, Within(least=0, most=MOST_MINUTES)] | None = None
    """In place of `end`."""
    place: str = ""
    """Where."""
    notes: str = ""
    """Markdown."""
    area: Id | None = None
    """The area of life it belongs to."""
    repeats: RuleText | Literal[""] = ""
    """RRULE text of RFC 5545, as FREQ=WEEKLY;BYDAY=TU."""
    not_on: tuple[Day, ...] = ()
    """Days on which the repeated appointment does not happen."""
    busy: bool = True
    """Whether it takes time; false: shown, never busy."""
    travel_minutes: Minutes = 0
    """Minutes on the way, before and after."""
    prepare: tuple[Preparation, ...] = ()
    """What is to be done beforehand, as { what = "Bake", days = 1 }."""
    away: bool | None = None
    """The persons are away from home: never on a shared page."""
    share: bool = False
    """Released for shared pages."""
    share_as: Annotated[str, Length(most=60)] = ""
    """What stands there in place of its title: a word of yours, area, or busy."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""

    @property
    def all_day(self) -> bool:
        """Whether it takes whole days."""
        return not isinstance(self.start, datetime)

    def check(self) -> None:
        """Raise Mistake where it ends twice, or not after its start."""
        for key in ("start", "end"):
            _check_moment(getattr(self, key), key)
        if self.minutes is not None:
            self._check_minutes()
        if self.end is not None:
            self._check_end(self.end)

    def _check_minutes(self) -> None:
        if self.end is not None:
            raise Mistake(
                message("end and minutes are both given"),
                message("give one of them"),
                "minutes",
            )
        if self.all_day:
            raise Mistake(
                message("an all-day appointment has no minutes"),
                message("give end as a date, or start with a time"),
                "minutes",
            )

    def _check_end(self, end: datetime | date) -> None:
        if isinstance(end, datetime) != isinstance(self.start, datetime):
            raise Mistake(
                message("of start and end one is a date, the other has a time"),
                message("give both with a time, or both without"),
                "end",
            )
        if end <= self.start:
            raise Mistake(
                message("{key} = {value} is not after start"),
                message("write the first moment or day that no longer belongs to it"),
                "end",
            )


def _check_moment(moment: datetime | date | None, key: str) -> None:
    if moment is not None and moment.year not in YEARS:
        raise Mistake(
            message("{key} = {value} lies too far away"),
            message("write a year from {first} to {last}, with four digits", first=1900, last=2199),
            key,
        )
    if isinstance(moment, datetime) and moment.tzinfo is not None:
        raise Mistake(
            message("{key} = {value} has an offset"),
            message("write the time of the household's zone alone, as 2027-03-22T14:30:00"),
            key,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Routine(Record):
    """A standing demand on a person's time, not worth a line on the page (`[[routines]]`).

    It is taken off the free time that can be planned.
    """

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What it is called."""
    person: OneOrMore
    """Whose time it takes: one person or several."""
    days: tuple[Weekday, ...] = tuple(Weekday)
    """The weekdays; without it every day."""
    hours: Hours
    """From-to, as 07:30-08:30."""
    terms_only: bool = False
    """Only on days of a term."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Record):
    """Something to do (`[[tasks]]`)."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What is to be done."""
    area: Id | None = None
    """The area of life it serves."""
    person: Id | None = None
    """Who does it."""
    due: Day | None = None
    """The last day for it."""
    not_before: Day | None = None
    """The first day on which it can be done."""
    estimate: Minutes | None = None
    """Minutes."""
    priority: Annotated[int, Within(least=1, most=9)] | None = None
    """1 is highest, 9 lowest, as PRIORITY of RFC 5545 section 3.8.1.9."""
    day: Day | None = None
    """The day it is planned for."""
    part: DayPart | None = None
    """The day part it is planned for."""
    waits_for: str = ""
    """What or whom it waits for."""
    repeats: RuleText | Literal[""] = ""
    """From `due` on."""
    carried: Annotated[int, Within(least=0, most=5_000)] = 0
    """Over how many weeks it has been carried forward, up to `carried_until`."""
    carried_until: Day | None = None
    """A day of the week up to which `carried` counts; later weeks are counted on from it."""
    lead_days: Annotated[int, Within(least=0, most=366)] | None = None
    """Days it takes to have effect, as the post does: it is to be done so long before `due`."""
    notes: str = ""
    """Markdown."""
    share: bool = False
    """Released for shared pages."""
    share_as: Annotated[str, Length(most=60)] = ""
    """What stands there in place of its title: a word of yours, or area."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""
    done: Day | None = None
    """The day it was done."""
    took: Minutes | None = None
    """How many minutes it took in the end; looking back, estimates are held against it."""
    dropped: Day | None = None
    """The day it was given up."""

    @property
    def open(self) -> bool:
        """Neither done nor dropped."""
        return self.done is None and self.dropped is None

    def check(self) -> None:
        """Raise Mistake for a repetition without its first day, or two endings."""
        if self.repeats and self.due is None:
            raise Mistake(
                message("a task that repeats has no due"),
                message("add due, the day it first falls on"),
                "repeats",
            )
        if self.done is not None and self.dropped is not None:
            raise Mistake(
                message("the task is done and dropped, too"),
                message("take one of them away"),
                "dropped",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause(Record):
    """Days on which a habit rests; both days belong to it."""

    start: Day
    """The first day."""
    end: Day | None = None
    """The last day; without it the pause has no end yet."""
    reason: str = ""
    """Why, in your own words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit(Record):
    """Something to do again and again, or a daily figure to note (`[[habits]]`).

    Due on `days`, or `times_a_week` times on days of one's choice; neither means every day.
    """

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What it is called."""
    area: Id | None = None
    """The area of life it serves."""
    person: Id
    """Whose habit it is."""
    order: int = 100
    """Place in the order of the day, smallest first."""
    part: DayPart | None = None
    """The day part it belongs to."""
    days: tuple[Weekday, ...] = ()
    """The weekdays on which it is due."""
    times_a_week: Annotated[int, Within(least=1, most=7)] | None = None
    """How many days a week it is due, on days of one's choice."""
    kind: MarkKind = MarkKind.YES_NO
    """What a mark says: yes/no, count, minutes, hours or scale (1 to 5)."""
    unit: str = ""
    """The unit of the figure, as glasses."""
    target: Annotated[float, Within(least=0, most=MOST_FIGURE)] | None = None
    """The figure from which a day counts as marked."""
    start: Day | None = None
    """The first day it is due."""
    end: Day | None = None
    """The last day it is due."""
    pauses: tuple[Pause, ...] = ()
    """Days on which it rests."""
    terms_only: bool = False
    """Due only on days of a term."""
    share: bool = False
    """Released for shared pages."""
    share_as: Annotated[str, Length(most=60)] = ""
    """What stands there in place of its title: a word of yours, or area."""
    health: bool = False
    """A health figure: never shared."""
    only_for: Ids = ()
    """The persons who may see it and its marks; then it is on no common page."""

    def check(self) -> None:
        """Raise Mistake for two rhythms, or a health figure that is shared."""
        if self.days and self.times_a_week is not None:
            raise Mistake(
                message("days and times_a_week are both given"),
                message("give one of them"),
                "times_a_week",
            )
        if self.share and self.health:
            raise Mistake(
                message("a health habit is never shared"),
                message("take share away"),
                "share",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Term(Record):
    """A term of lessons (`[[terms]]`); both days belong to it."""

    id: Id
    """Short name used by lessons."""
    name: Title
    """What it is called."""
    start: Day
    """The first day."""
    end: Day
    """The last day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TermBreak(Record):
    """Days without lessons inside or between terms (`[[breaks]]`); both days belong to it."""

    name: Title
    """What it is called."""
    start: Day
    """The first day."""
    end: Day
    """The last day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson(Record):
    """A subject taught to a child on certain days of the terms (`[[lessons]]`).

    That a lesson took place is a mark under its id.
    """

    id: MaybeId = ""
    """Permanent name; given where missing."""
    child: Id
    """Who is taught."""
    subject: Title
    """What is taught."""
    days: Annotated[tuple[Weekday, ...], Length(least=1)]
    """The weekdays of the lesson."""
    minutes: Minutes | None = None
    """How long it takes."""
    terms: Ids = ()
    """The terms it is taught in; without it all."""
    not_on: tuple[Day, ...] = ()
    """Days on which it is left out."""
    make_up: tuple[Day, ...] = ()
    """Days on which a missed lesson is made up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AppointmentsFile(FileRecord):
    """`appointments.toml`."""

    appointments: tuple[Appointment, ...] = ()
    """The appointments."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutinesFile(FileRecord):
    """`routines.toml`."""

    routines: tuple[Routine, ...] = ()
    """The routines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TasksFile(FileRecord):
    """`tasks.toml`, and `tasks-2027.toml` for those done in that year."""

    tasks: tuple[Task, ...] = ()
    """The tasks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitsFile(FileRecord):
    """`habits.toml`."""

    habits: tuple[Habit, ...] = ()
    """The habits and daily marks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TermsFile(FileRecord):
    """`terms.toml`."""

    terms: tuple[Term, ...] = ()
    """The terms."""
    breaks: tuple[TermBreak, ...] = ()
    """Days without lessons."""
    lessons: tuple[Lesson, ...] = ()
    """What is taught to whom."""
