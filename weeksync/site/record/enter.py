"""The page for entering a week from paper."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import Link, Page, PersonMark


@dataclass(frozen=True, slots=True)
class EnterBox:
    """A box of a row on one day."""

    number: int
    """Its number in the row, from 1: what is typed for it."""
    date: str
    """As `2027-03-22`."""
    name: str
    """The date in words, for those who do not see the page."""
    weekday: str
    """M."""
    due: bool
    """It can be filled once its day has come; else it is no box."""
    value: str
    """What is recorded, as marks have it: `yes`, `no`, `7.5`; "" where nothing is."""
    said: str
    """The same in words; the figure in the digits of the language."""


@dataclass(frozen=True, slots=True)
class EnterRow:
    """A habit's row as it stands on paper."""

    id: str
    """The habit's permanent id."""
    title: str
    """What it is."""
    person: PersonMark
    """Whose it is."""
    column: int
    """The column of that person, from 1."""
    kind: str
    """`yes/no`, `count`, `minutes`, `hours` or `scale`."""
    unit: str
    """What is noted in its boxes, as "ticks" or "glasses"."""
    weekly: bool
    """It is so many times a week: an empty box in it says nothing."""
    boxes: tuple[EnterBox, ...]
    """Seven of them, in the order of the days."""
    only_for: str
    """On a page of one's own: the names of those who may see it; always "" on the common site."""


@dataclass(frozen=True, slots=True)
class EnterItem:
    """A lesson or a task on the list of a day."""

    number: int
    """Its number in the list, from 1: what is typed for it."""
    id: str
    """Its permanent id."""
    title: str
    """What it is."""
    person: PersonMark | None
    """The child, or whose task it is."""
    task: bool
    """It is a task, and no lesson."""
    repeats: bool
    """It is one due date of a task that repeats: it cannot be dropped."""
    todo: bool
    """It is a calendar's to-do: it cannot be dropped either."""
    value: str
    """What is recorded of a lesson; "" where nothing is, and for a task."""
    said: str
    """The same in words; the figure in the digits of the language."""


@dataclass(frozen=True, slots=True)
class EnterList:
    """What stands on a day, or on none."""

    date: str
    """The day its ticks are for; "" for what has no day: today, or the last day of the week."""
    heading: str
    """The day in words."""
    items: tuple[EnterItem, ...]
    """Lessons, then tasks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EnterPage(Page):
    """A week to be entered from paper: the rows in the order printed, then the lists."""

    id: str
    """The ISO week, as `2027-W12`; it is what `weeksync mark` is told, too."""
    dates: str
    """From-to, as 22–28 Mar 2027."""
    first: str
    """The first day, as `2027-03-22`."""
    last: str
    """The last day, as `2027-03-28`."""
    week: Link
    """The week's own page."""
    columns: tuple[PersonMark, ...]
    """The persons with a row, a column each."""
    persons: tuple[PersonMark, ...]
    """Everybody who has something on the page."""
    rows: tuple[EnterRow, ...]
    """The rows in the order printed."""
    lists: tuple[EnterList, ...]
    """The lists in the order of the days, what has no day at the end."""
    signs: tuple[str, ...]
    """How rows are typed, a line each."""
    words: tuple[tuple[str, str], ...]
    """(key, sentence) of what the script says, places still empty, as `{number}`."""
