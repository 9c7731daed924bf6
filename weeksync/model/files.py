"""The household's other TOML files: what stands in no calendar, as frozen records.

Every record that can be marked, carried or paid has an `id`, permanent once given; weeksync
writes it in where it is missing, so after reading it is never empty. `only_for` names the
persons who may see a thing: with it, it is on no common page, print or feed.
"""

from __future__ import annotations

from datetime import date, datetime, time
from enum import StrEnum
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from weeksync.model.fields import (
    Currency,
    DayPart,
    Hours,
    Id,
    Ids,
    Minutes,
    Record,
    RuleText,
    Title,
    Weekday,
)

MaybeId = Id | Literal[""]
OneOrMore = Id | Ids


class Appointment(Record):
    """Something at a time that stands in no calendar (`[[appointments]]`)."""

    id: MaybeId = ""
    title: Title
    person: OneOrMore = ()
    start: datetime | date
    """A date for the whole day, or a local date and time in the household's zone."""
    end: datetime | date | None = None
    """Half-open: the first moment (or day) that no longer belongs to it."""
    minutes: Annotated[int, Field(ge=0)] | None = None
    """In place of `end`."""
    place: str = ""
    notes: str = ""
    area: Id | None = None
    repeats: RuleText | Literal[""] = ""
    not_on: tuple[date, ...] = ()
    """Days on which the repeated appointment does not happen."""
    busy: bool = True
    away: bool = False
    only_for: Ids = ()

    @property
    def all_day(self) -> bool:
        """Whether it takes whole days."""
        return not isinstance(self.start, datetime)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.end is not None and self.minutes is not None:
            raise ValueError("give end or minutes, not both")
        if self.minutes is not None and self.all_day:
            raise ValueError("an all-day appointment has no minutes; give end as a date")
        if self.end is not None:
            if isinstance(self.end, datetime) != isinstance(self.start, datetime):
                raise ValueError("start and end are both dates or both times")
            if self.end <= self.start:
                raise ValueError("end must be after start; it is the first that does not belong")
        for moment in (self.start, self.end):
            if isinstance(moment, datetime) and moment.tzinfo is not None:
                raise ValueError("write local time, without an offset")
        return self


class Routine(Record):
    """A standing demand on a person's time, not worth a line on the page (`[[routines]]`)."""

    id: MaybeId = ""
    title: Title
    person: OneOrMore
    days: tuple[Weekday, ...] = tuple(Weekday)
    hours: Hours
    """From-to, as 07:30-08:30."""
    terms_only: bool = False


class Task(Record):
    """Something to do (`[[tasks]]`)."""

    id: MaybeId = ""
    title: Title
    area: Id | None = None
    person: Id | None = None
    due: date | None = None
    not_before: date | None = None
    estimate: Minutes | None = None
    """Minutes."""
    priority: Annotated[int, Field(ge=1, le=9)] | None = None
    """1 is highest, 9 lowest, as PRIORITY of RFC 5545 section 3.8.1.9."""
    day: date | None = None
    """The day it is planned for."""
    part: DayPart | None = None
    waits_for: str = ""
    repeats: RuleText | Literal[""] = ""
    """From `due` on."""
    carried: Annotated[int, Field(ge=0)] = 0
    """Over how many weeks it has been carried forward."""
    notes: str = ""
    """Markdown."""
    only_for: Ids = ()
    done: date | None = None
    dropped: date | None = None

    @property
    def open(self) -> bool:
        """Neither done nor dropped."""
        return self.done is None and self.dropped is None

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.repeats and self.due is None:
            raise ValueError("a repeating task needs due, the day it first falls on")
        if self.done is not None and self.dropped is not None:
            raise ValueError("a task is done or dropped, not both")
        return self


class MarkKind(StrEnum):
    """What one mark of a habit says."""

    YES_NO = "yes/no"
    COUNT = "count"
    MINUTES = "minutes"
    HOURS = "hours"
    SCALE = "scale"


class Pause(Record):
    """Days on which a habit rests; both days belong to it."""

    start: date
    end: date | None = None
    reason: str = ""


class Habit(Record):
    """Something to do again and again, or a daily figure to note (`[[habits]]`).

    Due on `days`, or `times_a_week` times on days of one's choice; neither means every day.
    """

    id: MaybeId = ""
    title: Title
    area: Id | None = None
    person: Id
    order: int = 100
    """Place in the order of the day, smallest first."""
    part: DayPart | None = None
    days: tuple[Weekday, ...] = ()
    times_a_week: Annotated[int, Field(ge=1, le=7)] | None = None
    kind: MarkKind = MarkKind.YES_NO
    unit: str = ""
    target: Annotated[float, Field(ge=0)] | None = None
    start: date | None = None
    end: date | None = None
    pauses: tuple[Pause, ...] = ()
    terms_only: bool = False
    share: bool = False
    health: bool = False
    """A health figure: never shared."""
    only_for: Ids = ()

    @model_validator(mode="after")
    def _one_rhythm(self) -> Self:
        if self.days and self.times_a_week is not None:
            raise ValueError("give days or times_a_week, not both")
        if self.share and self.health:
            raise ValueError("a health habit is never shared; take share away")
        return self


class BusinessDayRule(StrEnum):
    """Where a date goes that is no business day (2006 ISDA Definitions section 4.12)."""

    FOLLOWING = "following"
    MODIFIED_FOLLOWING = "modified following"
    PRECEDING = "preceding"
    NONE = "none"


class Paid(Record):
    """That a bill was paid: for which due date, when, and how much where it differed."""

    due: date
    on: date
    amount: int | None = None


class Bill(Record):
    """Money that goes out (`[[bills]]`), in minor units of its currency."""

    id: MaybeId = ""
    title: Title
    amount: int | None = None
    """Minor units, as 4250 for 42.50; left out where it is not known beforehand."""
    currency: Currency | None = None
    first: date
    """The first due date; `repeats` counts from it."""
    repeats: RuleText | Literal[""] = ""
    collected: bool = True
    """Collected by the payee; false: paid by hand."""
    rule: BusinessDayRule | None = None
    """Without it: following for collected bills, preceding for those paid by hand."""
    until: date | None = None
    business: bool = False
    paid: tuple[Paid, ...] = ()
    only_for: Ids = ()

    @property
    def day_rule(self) -> BusinessDayRule:
        """The rule that holds."""
        if self.rule is not None:
            return self.rule
        return BusinessDayRule.FOLLOWING if self.collected else BusinessDayRule.PRECEDING


class PayDay(Record):
    """Money that comes in (`[[pay_days]]`)."""

    id: MaybeId = ""
    title: Title
    amount: int | None = None
    currency: Currency | None = None
    first: date
    repeats: RuleText | Literal[""] = ""
    rule: BusinessDayRule = BusinessDayRule.PRECEDING
    until: date | None = None
    person: Id | None = None
    business: bool = False
    only_for: Ids = ()


class Goal(Record):
    """A sum to save in steps, one on each pay date (`[[goals]]`)."""

    id: MaybeId = ""
    title: Title
    amount: Annotated[int, Field(gt=0)]
    currency: Currency | None = None
    pay_day: Id
    """The id of the pay day whose dates carry the steps."""
    start: date
    end: date
    """Steps on pay dates from `start` to `end`, both included."""
    only_for: Ids = ()


class Term(Record):
    """A term of lessons (`[[terms]]`); both days belong to it."""

    id: Id
    name: Title
    start: date
    end: date


class TermBreak(Record):
    """Days without lessons inside or between terms (`[[breaks]]`); both days belong to it."""

    name: Title
    start: date
    end: date


class Lesson(Record):
    """A subject taught to a child on certain days of the terms (`[[lessons]]`).

    That a lesson took place is a mark under its id.
    """

    id: MaybeId = ""
    child: Id
    subject: Title
    days: tuple[Weekday, ...] = Field(min_length=1)
    minutes: Minutes | None = None
    terms: Ids = ()
    """The terms it is taught in; without it all."""
    not_on: tuple[date, ...] = ()
    make_up: tuple[date, ...] = ()
    """Days on which a missed lesson is made up."""


class _File(Record):
    format: Literal[1]


class AppointmentsFile(_File):
    """`appointments.toml`."""

    appointments: tuple[Appointment, ...] = ()


class RoutinesFile(_File):
    """`routines.toml`."""

    routines: tuple[Routine, ...] = ()


class TasksFile(_File):
    """`tasks.toml`, and `tasks-2027.toml` for those done in that year."""

    tasks: tuple[Task, ...] = ()


class HabitsFile(_File):
    """`habits.toml`."""

    habits: tuple[Habit, ...] = ()


class MoneyFile(_File):
    """`money.toml`; `currency` holds where an entry names none."""

    currency: Currency | None = None
    bills: tuple[Bill, ...] = ()
    pay_days: tuple[PayDay, ...] = ()
    goals: tuple[Goal, ...] = ()


class TermsFile(_File):
    """`terms.toml`."""

    terms: tuple[Term, ...] = ()
    breaks: tuple[TermBreak, ...] = ()
    lessons: tuple[Lesson, ...] = ()


class ChosenDay(Record):
    """What was chosen for one day of a week."""

    date: date
    priorities: tuple[str, ...] = ()
    """Ids of tasks, or words of one's own."""


class PlacedTask(Record):
    """A task put on a day, in a day part or at a time."""

    task: Id
    date: date
    part: DayPart | None = None
    start: time | None = None
    minutes: Minutes | None = None


class OwnRow(Record):
    """A row of one's own under the days, as meals; a cell a day, Markdown."""

    title: Title
    cells: dict[Weekday, str] = Field(default_factory=dict)


class PlannedBreak(Record):
    """A break that is planned, not waited for."""

    date: date
    start: time
    minutes: Minutes = 10
    what: str = ""
    person: Id | None = None


class LighterWeek(Record):
    """Days on which less is asked of a person."""

    person: OneOrMore
    start: date
    end: date
    reason: str = ""


class WeekFile(_File):
    """`weeks/2027-W12.toml`: what was chosen for that week."""

    notes: str = ""
    """Markdown."""
    days: tuple[ChosenDay, ...] = ()
    placed: tuple[PlacedTask, ...] = ()
    rows: tuple[OwnRow, ...] = ()
    breaks: tuple[PlannedBreak, ...] = ()
    lighter: tuple[LighterWeek, ...] = ()
