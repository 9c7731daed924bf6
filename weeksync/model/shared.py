"""A week as strangers may see it, and for the household alone why it looks like that.

`SharedWeek` is all that templates, pictures and files of a shared week are made from. It is built
from nothing, by an allow-list (`weeksync.redact`): what no rule lets through is not in it, not even
as a gap, a count or a number. Nothing in it comes from an id, a UID, a source, a file, the name of
the household or of a person, a place, a note, a link, an amount, a check-in or a zone, and every
text in it stands in `config.toml` or in the entry of what was released, as the household wrote it:
never as a feed spelt it.

Whatever has an order is ordered by what can be seen of it, and what looks the same stands there
once: neither tells of what is hidden. The days begin with Monday, wherever the household lives.
"""

from __future__ import annotations

from dataclasses import field
from datetime import date, datetime
from enum import StrEnum

from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.fields import DayPart

FORMAT = 1


class ShownAs(StrEnum):
    """What stands on the shared page for something."""

    NOTHING = "nothing"
    BUSY = "busy"
    AREA = "area"
    WORD = "word"
    TITLE = "title"


@dataclass(frozen=True, slots=True, order=True)
class SharedArea:
    """An area of life that something on the page may be seen to serve.

    Tells: that the household has it. Areas with nothing on the page are not there.
    """

    name: str
    """The word for shared pages that `config.toml` has for it, else its name."""
    letter: str
    """The first letter of that word, never the letter of the household's own pages."""
    colour: str
    """The name of its tint, one of `model.config.COLOURS`."""


@dataclass(frozen=True, slots=True)
class SharedEvent:
    """Something of a day that takes time, or takes place.

    Tells: that something of the kind was on that weekday, and when as far as `times` goes. Never
    how many of the same look there were, whether it recurs, was moved, is tentative, who else
    takes part, or whether it took whole days where times are left out.
    """

    shown_as: ShownAs
    """`busy`, `area`, `word` or `title`."""
    label: str
    """The released title, the word in its place, or the area's word; "" for `busy`."""
    area: SharedArea | None = None
    """Only with `area` and `title`."""
    roles: tuple[str, ...] = ()
    """Words for persons, each once, in the order of the alphabet; () where persons are left out.

    Tells nothing of how many persons a role stands for, nor of persons without one.
    """
    part: DayPart | None = None
    """The day part of its start on that day; None for whole days and where times are left out."""
    start: str = ""
    """Its start on that day as 09:00, exact or rounded down to the hour; "" where not shown."""
    end: str = ""
    """Its end on that day as 10:00, or 24:00; exact or rounded up to the hour, "" as `start`.

    What runs into the next day ends at 24:00 and begins there at 00:00.
    """
    all_day: bool = False
    """It takes the whole day; always False where times are left out."""


@dataclass(frozen=True, slots=True)
class SharedTask:
    """A released task on its day.

    Tells: that it was on that weekday, and whether it was done by the end of the week. Never its
    estimate, due date, priority, what it waits for, nor how long it has been carried; what was
    dropped or put off is not there.
    """

    shown_as: ShownAs
    """`area`, `word` or `title`."""
    label: str
    """Its title, the word in its place, or the area's word."""
    area: SharedArea | None = None
    """Only with `area` and `title`."""
    roles: tuple[str, ...] = ()
    """As of an event."""
    part: DayPart | None = None
    """Its day part; None where it has none and where times are left out."""
    done: bool = False
    """It was done."""


@dataclass(frozen=True, slots=True)
class SharedDay:
    """A day of the week; it says neither its date nor how many hours it had.

    Tells: nothing but what stands in it. A day with nothing on it, one of which everything is
    hidden, and one on which everybody was away look the same.
    """

    weekday: int
    """0 for Monday to 6 for Sunday."""
    events: tuple[SharedEvent, ...] = ()
    """Whole days first, then by start, day part and words as far as they are shown."""
    tasks: tuple[SharedTask, ...] = ()
    """By day part and words as far as they are shown."""


@dataclass(frozen=True, slots=True)
class SharedHabit:
    """A released habit over the days, none of them marked as health.

    Tells: the days on which it was marked. A day missed, not recorded, paused, not due, or before
    the habit began looks the same: blank. Never a figure, a unit, a target or a tally.
    """

    shown_as: ShownAs
    """`area`, `word` or `title`."""
    label: str
    """Its title, the word in its place, or the area's word."""
    marked: tuple[bool, ...]
    """Seven, Monday first: whether it was marked, and reached what was aimed at."""
    area: SharedArea | None = None
    """Only with `area` and `title`."""
    role: str = ""
    """A word for the person; "" where persons are left out."""


@dataclass(frozen=True, slots=True, order=True)
class BusyPeriod:
    """A stretch in which somebody is engaged, half-open, in UTC.

    Tells: the date, and with the page beside it how far from UTC the household lives. For the
    file of busy times only; never for a page.
    """

    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class SharedWeek:
    """A week that is over, as strangers may see it.

    Tells: the language it is written in, without its region, and the week where `dates` says so.
    """

    language: str
    """Language and script of the words, without the region: `en`, `zh_Hant`."""
    days: tuple[SharedDay, ...]
    """Always seven, Monday first."""
    habits: tuple[SharedHabit, ...] = ()
    """By their words."""
    week: str = ""
    """The ISO week as `2027-W12`; "" where dates are left out."""
    areas: tuple[SharedArea, ...] = ()
    """The areas that stand on the page, by their words, each once."""
    busy: tuple[BusyPeriod, ...] | None = None
    """Merged busy times in order, without any away times; None where not switched on."""


class ItemKind(StrEnum):
    """What a decision is about."""

    EVENT = "event"
    APPOINTMENT = "appointment"
    TASK = "task"
    TODO = "to-do"
    HABIT = "habit"
    PRIORITY = "priority"
    MONEY = "money"
    LESSON = "lesson"
    BREAK = "break"
    CHECK_IN = "check-in"
    ROW = "row"
    NOTES = "notes"
    HOLIDAY = "holiday"
    TERM = "term"


@dataclass(frozen=True, slots=True)
class Decision:
    """What became of one thing of the week, and why: for the household's own terminal alone.

    It holds what is hidden; it never goes into a template, a file, or a published folder.
    """

    kind: ItemKind
    title: str
    """What it is called at home; "" where it has no title."""
    days: tuple[date, ...]
    """The days of the week it stands on; () for what belongs to the whole week."""
    shown_as: ShownAs
    label: str = ""
    """What stands on the shared page; "" for `busy` and `nothing`."""
    why: Message = field(default_factory=lambda: Message(""))
    """By which rule it is shown so, or why it is left out."""
    release: str = ""
    """What `share --release` takes to let its title through; "" where that is of no use."""
    only_for: tuple[str, ...] = ()
    """Who may see it at home."""


@dataclass(frozen=True, slots=True)
class Redacted:
    """What redaction gives: the shared week, and beside it what was decided about each thing."""

    shared: SharedWeek
    decisions: tuple[Decision, ...]
    """In the order of the week; nothing of the week is without one."""
    let_through: frozenset[str] = frozenset()
    """Every text of the household that stands on the page, for the audit; never rendered."""
