"""Lines of a day: events, tasks, money, lessons, priorities."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, PersonMark, Stamp
from weeksync.site.record.plan import MeetLine


@dataclass(frozen=True, slots=True)
class EventLine:
    """One occurrence on one day."""

    title: str
    """The title as the calendar has it; "no title" in the page's language where it has none."""
    start: str
    """ISO instant of its start, or the date of an all-day one."""
    end: str
    """ISO instant or date of its end, half-open."""
    times: str
    """The times to show on this day, as 10:00–10:40; "" where it takes the whole day."""
    elsewhere: tuple[str, ...]
    """Its start on other people's clocks, as "15:00 in St John's"."""
    area: AreaMark | None
    """The area of life it serves."""
    persons: tuple[PersonMark, ...]
    """Whose time it takes."""
    place: str
    """Where it is."""
    link: str
    """An address given with it, of scheme http, https, mailto, tel or geo; else ""."""
    from_before: bool
    """It began on an earlier day."""
    goes_on: bool
    """It ends on a later day."""
    tentative: bool
    """It is not certain yet."""
    cancelled: bool
    """It was called off and is shown struck through."""
    only_for: str
    """On a page of one's own: the names of those who may see it; always "" on the common site."""
    meets: tuple[MeetLine, ...] = ()
    """How it meets other events of this day."""
    own: str = ""
    """The permanent id of one that stands in `appointments.toml`; "" for a calendar's."""


@dataclass(frozen=True, slots=True)
class TaskLine:
    """A task on the week."""

    id: str
    """Its permanent id, or the one a calendar's list gave it."""
    title: str
    """What is to be done."""
    area: AreaMark | None
    """The area of life it serves."""
    persons: tuple[PersonMark, ...]
    """Who does it."""
    time: str
    """The time it was placed at, where it was."""
    estimate: str
    """How long it is thought to take, as "1 h 30 min"."""
    due: str
    """A word on its due date, where that is another day than the one it stands on."""
    carried: str
    """"carried 2 weeks", where it was."""
    waits_for: str
    """What it waits for."""
    overdue: bool
    """It was due before the day the page was made for."""
    done: bool
    """It is done."""
    dropped: bool
    """It was given up."""
    only_for: str
    """On a page of one's own: the names of those who may see it; always "" on the common site."""
    own: bool = False
    """It stands in `tasks.toml` and can be marked, dropped and put off."""
    repeats: bool = False
    """It is one due date of a task that repeats."""
    ticks: bool = False
    """A to-do of a calendar that is written back: it can be done, and open again."""


@dataclass(frozen=True, slots=True)
class MoneyLine:
    """Money that moves on a day."""

    kind: str
    """`bill`, `pay` or `step` (of a saving goal)."""
    label: str
    """The kind as a word."""
    title: str
    """What it is."""
    day: Stamp
    """The day it moves on."""
    moved: str
    """Where the business-day rule moved it: the date it was due."""
    by_hand: str
    """A word that it must be paid by hand; "" where it is collected, and for pay and steps."""
    paid: str
    """A word that it was paid; "" while that is not known."""
    amount: str
    """On a page of one's own: how much; always "" on the common site."""
    only_for: str
    """On a page of one's own: the names of those who may see it; always "" on the common site."""


@dataclass(frozen=True, slots=True)
class PriorityLine:
    """What matters on a day."""

    title: str
    """The task, or words of one's own."""
    done: bool
    """It is done."""


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A lesson of a child."""

    child: PersonMark
    """Who is taught."""
    subject: str
    """What."""
    minutes: str
    """How long."""
    make_up: str
    """A word that a missed lesson is made up."""
    state: str
    """`open` (not recorded), `done` or `missed`."""
    id: str = ""
    """Its permanent id."""
    raw: str = ""
    """The mark as the file of marks has it, `yes` or `no`; "" where nothing is recorded."""
    length: str = ""
    """How many minutes it takes, as a figure; "" where that is not said."""


@dataclass(frozen=True, slots=True)
class BreakLine:
    """A planned break. Where a template writes the record itself, its text is written."""

    text: str
    """When, how long and what, as "14:30, 10 min: walk to the quay (Ines)"."""
    id: str = ""
    """Its permanent id; "" where it has none yet."""
    raw: str = ""
    """The mark as the file of marks has it, `yes` or `no`; "" where nothing is recorded."""
    person: str = ""
    """The id of the person whose break it is; "" where it is everybody's."""

    def __str__(self) -> str:
        """The text."""
        return self.text
