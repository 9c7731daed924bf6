"""Pages of one's own, apart from the common site."""

from __future__ import annotations

from collections.abc import Mapping

from markupsafe import Markup

from weeksync.lazy import dataclass
from weeksync.site.record.base import Link, Page, PersonMark, Stamp
from weeksync.site.record.lines import EventLine, MoneyLine, TaskLine
from weeksync.site.record.plan import PlanBox
from weeksync.site.record.week import HabitLine


@dataclass(frozen=True, slots=True)
class CheckInBox:
    """A morning check-in."""

    day: Stamp
    """The day."""
    person: PersonMark
    """Whose it is."""
    feeling: str
    """How the morning feels, in one's own word."""
    energy: str
    """Energy on the scale of one's own."""
    why: str
    """Why."""
    help: str
    """What would help."""
    gratitude: str
    """What one is grateful for."""
    text: Markup
    """The rest."""


@dataclass(frozen=True, slots=True)
class NoteBox:
    """Notes on a task or an appointment."""

    title: str
    """The task or appointment."""
    text: Markup
    """The notes."""


@dataclass(frozen=True, slots=True)
class JournalBox:
    """An entry of a calendar's journal."""

    day: Stamp
    """The day."""
    title: str
    """Its title; "no title" in the page's language where it has none."""
    text: str
    """What was written, plain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnWeekPage(Page):
    """What of a week is on no common page: check-ins, amounts, notes, and what is only for some."""

    id: str
    """The ISO week; it names the page."""
    dates: str
    """From-to."""
    previous: Link | None
    """The week before."""
    next: Link | None
    """The week after."""
    decisions: tuple[str, ...]
    """What needs a decision and is only for some."""
    check_ins: tuple[CheckInBox, ...]
    """Check-ins by day."""
    money: tuple[MoneyLine, ...]
    """Bills, pay and saving steps with their amounts, by day."""
    events: tuple[tuple[str, EventLine], ...]
    """(day, occurrence) of what is only for some."""
    tasks: tuple[TaskLine, ...]
    """Tasks that are only for some."""
    habits: tuple[HabitLine, ...]
    """Habits that are only for some."""
    weekdays: tuple[str, ...]
    """Short names of the days, to head the habits."""
    enter: Link | None
    """The page on which the week is entered from paper."""
    review: Link | None
    """The page that looks back on it; None where it has not begun, or is closed."""
    notes: Markup
    """Notes on the week."""
    task_notes: tuple[NoteBox, ...]
    """Notes on its tasks."""
    appointment_notes: tuple[NoteBox, ...]
    """Notes on appointments that were entered by hand."""
    journal: tuple[JournalBox, ...]
    """Entries of the calendars' journals, by day."""
    boxes: tuple[PlanBox, ...] = ()
    """What is worked out and is on no common page: bedtimes, balances, what is only for some."""
    last_mark: str = ""
    """When the last of the marks on it was made, in whole ms since 1970 in UTC; "" without one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckInPage(Page):
    """The form of a check-in: five questions, each of which may be left out."""

    person: PersonMark | None
    """Whose it is; None where the form asks."""
    people: tuple[PersonMark, ...]
    """Everybody it may be."""
    day: Stamp | None
    """The day it is for; None where the script fills in today."""
    feeling: str
    """What stands there, as in `CheckInBox`; and so the next four."""
    energy: int | None
    """From 1 to 5; None where nothing is said."""
    why: str
    """Why."""
    help: str
    """What would help."""
    gratitude: str
    """What one is grateful for."""
    seen: str
    """Stands for the file as it was read: it goes back with the answers."""
    steps: tuple[tuple[int, str], ...]
    """(step, how it is written) of the scale of energy."""
    most: Mapping[str, int]
    """The most characters of each text, by its field."""
    texts: tuple[tuple[str, str], ...]
    """(name, sentence) of what the script says."""
    caution: tuple[str, ...]
    """Whom to turn to; the same whatever is written."""
