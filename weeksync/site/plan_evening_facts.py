"""`Evening`: all that the page on which a week is planned is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, datetime
from pathlib import Path

from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.files import Lesson
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import Day, HabitRow, PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import ProposedTask

MARKS = "marks"
"""What is settled once it has been asked about the blanks of a week."""


@dataclass(frozen=True, slots=True)
class LooseEnd:
    """A task that is left over; `due`: a decision is due. See `workflow.carry.LeftOver`."""

    task: PlanTask
    due: bool
    proposed: ProposedTask | None
    in_file: bool
    repeats: bool


@dataclass(frozen=True, slots=True)
class Blank:
    """A habit and the days of the last week of which nobody wrote anything."""

    row: HabitRow
    days: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class ToMakeUp:
    """How many lessons of a subject are to be made up, and the days that could take one."""

    lesson: Lesson
    count: int
    days: tuple[Day, ...]


@dataclass(frozen=True, slots=True)
class Answers:
    """What is asked each week, and what stands there of `person`; others are only counted."""

    questions: tuple[str, ...] = ()
    held: Mapping[str, str] = field(default_factory=dict)
    seen: str = ""
    by: tuple[str, ...] = ()
    """The persons who have answered."""


@dataclass(frozen=True, slots=True)
class Closing:
    """How the last week stands: closed at a moment on the household's clock, or closable."""

    at: datetime | None = None
    is_possible: bool = False
    day: date | None = None
    """Its last day."""
    ends_today: bool = False
    is_bare: bool = False
    """Nobody has planned or marked anything in it, as before a household was there."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What was sent and could not be saved: it stands in the fields again.

    `fields` are those of the request, `mistakes` a sentence by the name of its field, `stale`
    what has been changed meanwhile; `wish` says what was asked for by a button.
    """

    fields: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    mistakes: Mapping[str, Message] = field(default_factory=dict)
    stale: tuple[Message, ...] = ()
    wish: Message | None = None
    again: bool = False
    """It can be sent again on purpose."""

    def of(self, name: str, stands: str = "") -> str:
        """What was typed into a field, else what stands there."""
        values = self.fields.get(name, ())
        return values[-1] if values else stands


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """One household's evening, as far as `person` may see it; None: what everybody may.

    `before` is the week that is looked back on, `spread` the one that is planned. `was` has a
    digest by what it stands for (`task:…`, `lesson:…`, `bill:…`). `in_file` are the ids of tasks
    that stand in the household's files. `pages` are the weeks that have a page of their own.
    `is_kept`: some of the proposal is where it stood when the week was printed or confirmed.
    """

    config: Config
    language: Language
    templates: Path | None
    today: date
    week: IsoWeek
    last: IsoWeek
    person: str | None
    can_unlock: bool
    before: Spread
    spread: Spread
    written: WeekFile
    open_tasks: tuple[PlanTask, ...]
    loose: tuple[LooseEnd, ...]
    is_kept: bool
    blanks: tuple[Blank, ...]
    to_make_up: tuple[ToMakeUp, ...]
    bills: tuple[MoneyItem, ...]
    answers: Answers
    closing: Closing
    was: Mapping[str, str]
    in_file: frozenset[str]
    pages: frozenset[IsoWeek]
