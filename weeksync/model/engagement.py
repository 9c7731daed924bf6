"""Engagements of persons, how they meet, and what follows from them for work and sleep."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from weeksync.lazy import dataclass
from weeksync.message import Message


class Engagement(NamedTuple):
    """A busy stretch of one person, half-open, in aware times of the household's zone.

    A named tuple: a crowded week has hundreds, and one is made in a tenth of the time.

    `start` and `end` hold the way there and back; `begins` and `ends` are the event's own.
    `work` where it counts as hours worked. What takes whole days engages nobody by itself.
    """

    person: str
    title: str
    start: datetime
    end: datetime
    begins: datetime
    ends: datetime
    source: str = ""
    uid: str = ""
    identity: str = ""
    area: str | None = None
    work: bool = False
    only_for: tuple[str, ...] = ()


class ClashKind(StrEnum):
    """How two engagements of one person meet."""

    CLASH = "clash"
    TIGHT = "tight"
    TOUCHING = "touching"


class Clash(NamedTuple):
    """Two engagements of one person that overlap, touch, or lie closer than the buffer.

    `at` is where the overlap begins or the first one ends; `minutes` how long the overlap or
    the gap is (0 where they touch).
    """

    kind: ClashKind
    person: str
    day: date
    at: datetime
    minutes: int
    first: Engagement
    second: Engagement
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HandOver:
    """One who looks after the children is engaged from the moment, or nearly, another is free.

    `minutes` is the slack between the end of `first` and the start of `second`, below the buffer.
    """

    day: date
    at: datetime
    minutes: int
    first: Engagement
    second: Engagement
    only_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Worked:
    """Minutes that a person works in the week: exact ones, clock changes counted."""

    person: str
    minutes: int


@dataclass(frozen=True, slots=True)
class SleepWindow:
    """The latest bedtime for the hours a person aims at, before the next day's first engagement.

    `day` is the day the evening belongs to; where it leads into a night of engagement the
    bedtime lies after that. `first` may be a routine (its `source` is "", its `uid` the
    routine's id). `note` is information with its source, never advice and never a grade; None
    where there is nothing to say.
    """

    person: str
    day: date
    bedtime: datetime
    first: Engagement
    hours: float
    note: Message | None = None
    only_for: tuple[str, ...] = ()
    room: int | None = None
    """Minutes left for sleep, where what is on before leaves fewer than aimed at; else None."""
