"""What is worked out about a week: who is busy when, what fits, what clashes, what comes up.

`weeksync.plan` makes these records; pages, commands and `show --json` show them. Nothing here
has been decided: a proposal is shown with its reason and changes no file until a person takes
it. Records that are `only_for` somebody are taken out of common pages by `weeksync.plan.views`,
which is why each of them says whom it concerns. What a crowded week has hundreds of are named
tuples: one is made in a tenth of the time of a frozen dataclass.
"""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.engagement import Clash, HandOver, SleepWindow, Worked
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.snapshot import SnapshotLine


class Gap(NamedTuple):
    """A free stretch of one person inside the planning hours, half-open, within one day part."""

    start: datetime
    end: datetime
    part: DayPart

    @property
    def minutes(self) -> int:
        """Its length: exact minutes, on a day on which the clocks change, too."""
        return int(self.end.timestamp() - self.start.timestamp()) // 60


class PartLoad(NamedTuple):
    """One day part of one person: free minutes, and estimates of what stands in it."""

    part: DayPart
    free: int
    planned: int


@dataclass(frozen=True, slots=True)
class DayLoad:
    """One day of one person, in minutes.

    `free` is what engagements and routines leave of the planning hours, buffers not taken off;
    `plannable` the share of it that may be filled; `planned` the estimates of the tasks that
    stand on the day. `over` is how much too much that is, and `to_move` the ids of the tasks
    whose moving would bring it under. `gaps` are the free stretches after the buffers.
    """

    person: str
    day: date
    free: int
    plannable: int
    planned: int
    parts: tuple[PartLoad, ...] = ()
    gaps: tuple[Gap, ...] = ()
    to_move: tuple[str, ...] = ()
    overlap: int = 0
    """How many engagements of the person lie at one moment at most: 2 or more is a clash."""

    @property
    def over(self) -> int:
        """Minutes planned beyond what is plannable, 0 where it fits."""
        return max(self.planned - self.plannable, 0)


@dataclass(frozen=True, slots=True)
class UnassignedTask:
    """An open task of a day that is in nobody's load, since nobody is named for it."""

    task: str
    title: str
    day: date
    minutes: int


class Standing(StrEnum):
    """How a task stands in the proposed week."""

    CHOSEN = "chosen"
    """A person put it there; a proposal never moves it."""
    PLACED = "placed"
    """Proposed for a time."""
    LATE = "late"
    """It does not fit before it is due."""
    UNPLACED = "unplaced"
    """Its minutes fit and no gap does, or it cannot be done yet."""


class Piece(NamedTuple):
    """A stretch of a task at a time, of at least the smallest piece worth starting."""

    start: datetime
    end: datetime
    part: DayPart


class ProposedTask(NamedTuple):
    """Where a task could go, and why; `pieces` is empty where it could go nowhere."""

    task: str
    title: str
    person: str
    standing: Standing
    reason: Message
    minutes: int
    guessed: bool = False
    """The minutes are the household's usual ones: it has no estimate."""
    due: date | None = None
    pieces: tuple[Piece, ...] = ()
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProposedPriority:
    """A task that could be one of the day's priorities, and why."""

    day: date
    task: str
    title: str
    reason: Message
    persons: tuple[str, ...] = ()
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProposedHabit:
    """Days on which an n-a-week habit would have most room, or a morning one after a night."""

    habit: str
    title: str
    person: str
    days: tuple[date, ...]
    reason: Message
    part: DayPart | None = None
    """The day part it moves to, where a night worked shifts it."""
    only_for: tuple[str, ...] = ()


class ProposedBreak(NamedTuple):
    """A short pause in a gap of a long stretch or in a task, never inside an engagement."""

    person: str
    start: datetime
    minutes: int
    what: str
    reason: Message
    only_for: tuple[str, ...] = ()
    """Not for everybody where a thing that is not stands beside it."""


@dataclass(frozen=True, slots=True)
class Move:
    """A difference between the proposal and what stands in the week: `before`, `after` or both."""

    task: str
    title: str
    before: tuple[Piece, ...] = ()
    after: tuple[Piece, ...] = ()
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proposal:
    """The proposed week: made for the days from `since` on."""

    since: datetime
    tasks: tuple[ProposedTask, ...] = ()
    priorities: tuple[ProposedPriority, ...] = ()
    habits: tuple[ProposedHabit, ...] = ()
    breaks: tuple[ProposedBreak, ...] = ()
    late: int = 0
    """The fewest tasks that must be late (Moore–Hodgson), of all persons, overdue ones included."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A task carried forward, with its decision where that is due."""

    task: str
    title: str
    weeks: int
    decision_due: bool
    persons: tuple[str, ...] = ()
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LighterDays:
    """A lighter week of one person as it works out: what rests, and what cannot wait."""

    person: str
    first: date
    last: date
    reason: str = ""
    habits: tuple[str, ...] = ()
    """Ids of the habits that rest."""
    lessons: tuple[tuple[str, date], ...] = ()
    """(lesson id, day) of the lessons to be made up afterwards."""
    pay_before: tuple[MoneyItem, ...] = ()
    """What falls due on these days and is paid by hand: to be paid before them, as long as they
    are to come. On a common page each item stands with the first who has lighter days only."""
    piled_up: tuple[str, ...] = ()
    """Ids of the tasks that fell due meanwhile and are open."""
    reserved: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """(id, persons who may see it) of the habits and tasks above that are not for everybody."""


@dataclass(frozen=True, slots=True)
class LowestBalance:
    """The lowest balance of an account between two pays, in minor units of `currency`.

    `since` is the day of the one pay (or of the balance it starts from, where there is none
    before), `until` that of the next one, None where none is in sight. Balances are those at the
    end of a day. `currency` is "" where the household names none.
    """

    account: str
    currency: str
    since: date
    until: date | None
    day: date
    amount: int
    only_for: tuple[str, ...] = ()
    from_day: date | None = None
    """The day of the balance it was counted from, as the household wrote it down."""
    unknown: int = 0
    """How many items up to `day` have no amount, and so are not in it."""
    set_aside: int = 0
    """Steps of saving goals from `from_day` to `day`: they are still in it."""
    business: bool = False


@dataclass(frozen=True, slots=True)
class BusinessWeek:
    """In and out of the side business in a week, in minor units, by currency."""

    currency: str
    money_in: int
    money_out: int
    unknown: int = 0
    """How many items have no amount."""
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LessonTally:
    """Lessons of one child in one subject of one term, up to and with the week shown.

    `to_make_up` are those whose day is over and whose mark says no, and those that a lighter week
    sent on, less what was made up. A day over without a mark is `not_recorded`, which is not "no".
    """

    child: str
    subject: str
    term: str
    planned: int
    done: int
    to_make_up: int
    not_recorded: int


@dataclass(frozen=True, slots=True)
class Attendance:
    """Days of one child in one term, up to and with the week shown, as far as they are over.

    `days` with lessons, `attended` with at least one done, `not_recorded` of which nobody can
    tell; what is left are days on which every lesson is marked no.
    """

    child: str
    term: str
    days: int
    attended: int
    not_recorded: int


@dataclass(frozen=True, slots=True)
class ComingUp:
    """Something that needs lead time: it is on `day`, and to be begun by `begin`.

    `what` is what is to be done beforehand, "" where it is the thing itself.
    """

    day: date
    begin: date
    title: str
    what: str = ""
    persons: tuple[str, ...] = ()
    area: str | None = None
    task: str = ""
    only_for: tuple[str, ...] = ()


class ChangeKind(StrEnum):
    """What became of a line since the week was last printed or confirmed."""

    NEW = "new"
    GONE = "gone"
    MOVED = "moved"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class Change:
    """One difference from the snapshot of the week; `before` and `after` are lines of text.

    `day` is where the line stands now, or stood where it is gone. `was` and `now` are the same
    lines in their parts, for who writes times and days as a locale has them.
    """

    kind: ChangeKind
    day: date
    title: str
    before: str = ""
    after: str = ""
    persons: tuple[str, ...] = ()
    money: MoneyKind | None = None
    only_for: tuple[str, ...] = ()
    was: SnapshotLine | None = None
    now: SnapshotLine | None = None


@dataclass(frozen=True, slots=True)
class WeekPlan:
    """Everything that is worked out about one week."""

    loads: tuple[DayLoad, ...] = ()
    unassigned: tuple[UnassignedTask, ...] = ()
    clashes: tuple[Clash, ...] = ()
    hand_overs: tuple[HandOver, ...] = ()
    worked: tuple[Worked, ...] = ()
    sleep: tuple[SleepWindow, ...] = ()
    proposal: Proposal | None = None
    """None in a week that is over, and in one further ahead than the household looks."""
    carried: tuple[Carried, ...] = ()
    lighter: tuple[LighterDays, ...] = ()
    balances: tuple[LowestBalance, ...] = ()
    business: tuple[BusinessWeek, ...] = ()
    lessons: tuple[LessonTally, ...] = ()
    attendance: tuple[Attendance, ...] = ()
    coming_up: tuple[ComingUp, ...] = ()
    confirmed: datetime | None = None
    """When the snapshot that `changes` are counted from was taken; None where there is none."""
    changes: tuple[Change, ...] = ()
