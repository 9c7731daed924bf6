"""A year at a glance, and what closed weeks say in words: both made from spreads.

A `YearWeek` is what of a week stands on the page of its year; a `Text` is a title or a note that
can be searched for. Both hold everything: who may see it is said by each part.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import NamedTuple

from weeksync.lazy import dataclass
from weeksync.model.week import IsoWeek


class YearHabit(NamedTuple):
    """A habit in one week; `cells` has a sign of `CELLS` for each of its seven days."""

    id: str
    title: str
    person: str
    area: str | None
    cells: str
    health: bool = False
    only_for: tuple[str, ...] = ()


class YearLesson(NamedTuple):
    """Lessons of a child in a subject in one week.

    `made_up` are lessons done in place of earlier ones: they are in neither `planned` nor `done`.
    """

    child: str
    subject: str
    planned: int
    done: int
    made_up: int = 0
    not_recorded: int = 0


class YearMoney(NamedTuple):
    """In and out of the side business in one week, in minor units; `unknown` items had no amount.

    What is only for the same persons stands together: sums are made by who sees them.
    """

    currency: str
    money_in: int
    money_out: int
    unknown: int = 0
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class YearWeek:
    """A week of a year; `terms` are (name, number of the week in it), `holidays` (day, name)."""

    week: IsoWeek
    first: date
    closed: bool = False
    terms: tuple[tuple[str, int | None], ...] = ()
    breaks: tuple[str, ...] = ()
    holidays: tuple[tuple[date, str], ...] = ()
    habits: tuple[YearHabit, ...] = ()
    lessons: tuple[YearLesson, ...] = ()
    money: tuple[YearMoney, ...] = ()


@dataclass(frozen=True, slots=True)
class Year:
    """The weeks of an ISO 8601 year, in order."""

    number: int
    weeks: tuple[YearWeek, ...]


class TextKind(StrEnum):
    """What a text is the title of; a note is a text beside one."""

    EVENT = "event"
    TASK = "task"
    PRIORITY = "priority"
    HABIT = "habit"
    LESSON = "lesson"
    MONEY = "money"
    BREAK = "break"
    ROW = "row"
    NOTE = "note"


class Text(NamedTuple):
    """A title or a note of a week; `day` is the first day on which it stands, None for none.

    `common` says whether it stands on a common page; `persons` are whose it is, () nobody's in
    particular.
    """

    kind: TextKind
    text: str
    day: date | None
    common: bool
    persons: tuple[str, ...] = ()
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hit:
    """A text that has all the words, and the closed week it stands in."""

    week: IsoWeek
    text: Text
