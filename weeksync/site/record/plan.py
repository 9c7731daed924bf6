"""What is worked out about a week: load, proposals, what meets, and the boxes below the days."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, PersonMark


@dataclass(frozen=True, slots=True)
class MeetLine:
    """That an event overlaps, touches or nearly touches another one, or is a hand-over."""

    kind: str
    """`clash`, `tight`, `touching` or `hand-over`."""
    word: str
    """The kind as a word, for where there is room for no more, as on paper."""
    persons: tuple[PersonMark, ...]
    """Whose engagements meet, where the event is not theirs alone."""
    text: str
    """How, and with what, as "clash, 10 min, with “Call with Nana Brice”"."""


@dataclass(frozen=True, slots=True)
class LoadLine:
    """How full the day of one person is, in minutes."""

    person: PersonMark
    """Whose day it is."""
    free: int
    """What engagements and routines leave of the planning hours."""
    plannable: int
    """The share of it that may be planned."""
    planned: int
    """The estimates of the tasks that stand on the day."""
    over: int
    """How much of them is too much; 0 where it fits."""
    scale: int
    """The length of the longest measure of the week: all measures are drawn to one scale."""
    text: str
    """The minutes in words, as "240 of 387 min planned, 645 free (morning 195, afternoon 450)"."""
    too_much: str
    """How much is too much; "" where it fits."""
    move: str
    """Which tasks to move; "" where none is named, and on days that are over."""
    brief: str = ""
    """What is planned of what may be, as "240 of 387 min"."""


@dataclass(frozen=True, slots=True)
class ProposedLine:
    """A piece of a task, or a priority, as it is proposed: nobody has chosen it yet."""

    id: str
    """The id of the task."""
    title: str
    """What is to be done."""
    area: AreaMark | None
    """The area of life it serves."""
    persons: tuple[PersonMark, ...]
    """Who would do it."""
    times: str
    """From-to; "" for a priority."""
    piece: str
    """Which of its pieces this is, as "piece 2 of 3"; "" where it stays whole."""
    late: bool
    """It would be late."""
    reason: str
    """Why it is proposed there; "" for all pieces but the first one of the week."""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A line of a box."""

    text: str
    """What it says."""
    persons: tuple[PersonMark, ...] = ()
    """Whose it is, where the text does not name them."""
    note: str = ""
    """The reason, or the names of those who may see it."""
    kind: str = ""
    """In `meets` the kind of `MeetLine`, in `changes` `new`, `gone`, `moved` or `changed`, in
    `without-place` `late` or `unplaced`, in `carried` `to-decide` where that is due, in
    `lighter` `head` for whose days they are; else ""."""


@dataclass(frozen=True, slots=True)
class PlanBox:
    """A named box of what is worked out; one that would say nothing is not there."""

    id: str
    """`meets`, `proposed`, `without-place`, `carried`, `worked`, `lighter`, `coming-up` or
    `changes`; on pages of one's own `sleep`, `money`, `lighter`, and the others with `own-`
    before them."""
    heading: str
    """Its heading."""
    lines: tuple[PlanLine, ...]
    """What it says; at most as many as can be read at a glance."""
    more: str = ""
    """How many more there are, and where; "" if none."""
    caution: str = ""
    """What the lines are not: no advice; "" where nothing needs that."""


@dataclass(frozen=True, slots=True)
class LessonRow:
    """The lessons of a child in a subject, from the start of the term up to this week."""

    child: PersonMark
    """Who is taught."""
    subject: str
    """What."""
    planned: str
    """How many lessons were planned."""
    done: str
    """How many were held."""
    to_make_up: str
    """How many are to be made up."""
    not_recorded: str
    """Of how many nobody wrote down whether they were held: not the same as missed."""


@dataclass(frozen=True, slots=True)
class LessonBox:
    """Lessons by child and subject, and days attended."""

    rows: tuple[LessonRow, ...]
    """A row a child and subject."""
    more: str
    """How many more rows there are, and where; "" if none."""
    attendance: tuple[str, ...]
    """A sentence a child, as "Pell: lessons on 15 of 31 days, 16 not recorded"."""
