"""The household folder as read: every file as records, with marks and check-ins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.files import Appointment, Habit, Lesson, Routine, Task, Term, TermBreak
from weeksync.model.money import Balance, Bill, Goal, PayDay
from weeksync.model.problem import Problem
from weeksync.model.snapshot import Snapshot
from weeksync.model.week import IsoWeek


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: what was recorded for the thing `id` on `day`.

    `value` is the text as written: `yes`, `no`, a number, or "" where an earlier mark was taken
    back and the day stands as not recorded. `person` may be empty.
    """

    id: str
    day: date
    person: str
    value: str
    recorded_at: datetime
    received_at: datetime
    device: str

    @property
    def counts_from(self) -> datetime:
        """When it was made; a clock in the future counts as the time of arrival."""
        return min(self.recorded_at, self.received_at)


TASK_WORDS = ("done", "dropped", "later")
"""What a mark says of a task: it is over, or off this week and carried to the next."""


@dataclass(frozen=True, slots=True)
class CheckIn:
    """A morning check-in; every part may be empty. `text` is Markdown as written."""

    day: date
    person: str
    feeling: str = ""
    energy: int | None = None
    why: str = ""
    help: str = ""
    gratitude: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class ReviewAnswer:
    """What a person answered to a question of their own, at the end of a week (`2027-W12`)."""

    week: str
    person: str
    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class HouseholdFiles:
    """Everything the household folder says, and what is wrong in it.

    `tasks` holds open and ended ones, those of the year files too. `marks` is every line ever
    recorded, in file order; `latest_marks` picks the one that holds. `digests` maps each file
    read (POSIX path from the household folder on) to the SHA-256 of its bytes in hex.
    """

    config: Config
    appointments: tuple[Appointment, ...] = ()
    routines: tuple[Routine, ...] = ()
    tasks: tuple[Task, ...] = ()
    habits: tuple[Habit, ...] = ()
    currency: str | None = None
    bills: tuple[Bill, ...] = ()
    pay_days: tuple[PayDay, ...] = ()
    goals: tuple[Goal, ...] = ()
    balances: tuple[Balance, ...] = ()
    terms: tuple[Term, ...] = ()
    term_breaks: tuple[TermBreak, ...] = ()
    lessons: tuple[Lesson, ...] = ()
    weeks: Mapping[IsoWeek, WeekFile] = field(default_factory=dict)
    snapshots: Mapping[IsoWeek, Snapshot] = field(default_factory=dict)
    marks: tuple[Mark, ...] = ()
    check_ins: tuple[CheckIn, ...] = ()
    answers: tuple[ReviewAnswer, ...] = ()
    problems: tuple[Problem, ...] = ()
    digests: Mapping[str, str] = field(default_factory=dict)


def latest_marks(marks: tuple[Mark, ...]) -> dict[tuple[str, date], Mark]:
    """The mark that holds for each (id, day): the latest made; of equals the last in the file.

    What is said of tasks is not among them: it stands in the entry of the task.
    """
    held: dict[tuple[str, date], Mark] = {}
    for mark in marks:
        if mark.value in TASK_WORDS:
            continue
        key = (mark.id, mark.day)
        if key not in held or mark.counts_from >= held[key].counts_from:
            held[key] = mark
    return held
