"""The page on which a week is planned: one step at a time, the days of the week beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, Link, PersonMark
from weeksync.site.record.form import ServedPage
from weeksync.site.record.lines import EventLine, MoneyLine
from weeksync.site.record.plan import LoadLine, PlanBox


@dataclass(frozen=True, slots=True)
class EveningStep:
    """One of the steps, as the list of them has it."""

    id: str
    """`loose`, `marks`, `lessons`, `bills`, `questions`, `close`, `ahead`, `days`, `habits`,
    `rows` or `done`."""
    name: str
    """What it is called."""
    left: str
    """What is left in it, in words; "" where there is nothing to count."""
    is_done: bool
    """Nothing is left in it."""
    href: str
    """Its address, from the root on."""


@dataclass(frozen=True, slots=True)
class PlaceCell:
    """A button that puts the chosen task on a day."""

    value: str
    """What is sent, as `2027-03-30/morning`; without a part `2027-03-30`."""
    label: str
    """The day, the part, and how much room there is: for who cannot see the table."""
    text: str
    """The minutes that are left there; "" where that is not known."""
    is_full: bool
    """More is planned than the day holds."""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One line of the table of buttons: a day part over the days of the week."""

    name: str
    """Morning, Afternoon, Evening, Some time, or Priority."""
    kind: str
    """`morning`, `afternoon`, `evening`, `day` or `priority`."""
    cells: tuple[PlaceCell, ...]
    """One for each of the days that are to come."""


@dataclass(frozen=True, slots=True)
class EveningTask:
    """A task that a step is about."""

    id: str
    """Its permanent id."""
    anchor: str
    """An id for its element; a name for its fields."""
    value: str
    """What is sent for it: its id, and what stands for how it was when the page was made."""
    title: str
    """What is to be done."""
    area: AreaMark | None
    """The area of life it serves."""
    persons: tuple[PersonMark, ...]
    """Who does it."""
    facts: tuple[str, ...]
    """What helps to decide: how long, when due, how often carried, what it waits for."""
    place: str = ""
    """Where it stands in the week; "" where it has no place there."""
    proposed: str = ""
    """Where there is room for it, as "Wed 31 Mar 12:00–13:30"; "" where there is none."""
    reason: str = ""
    """Why there, or why nowhere."""
    is_late: bool = False
    """There it would be late."""
    is_due: bool = False
    """It has been carried as long as the household allows: a decision is due."""
    in_file: bool = True
    """False for a to-do of a calendar, which can only be put on a day."""
    repeats: bool = False
    """It repeats: it cannot be split or put off."""


@dataclass(frozen=True, slots=True)
class EveningPriority:
    """What matters on a day, chosen or proposed."""

    title: str
    """The task, or words of one's own."""
    value: str
    """What is sent to take it off the day, or to take it as proposed."""
    done: bool = False
    """It is done."""
    reason: str = ""
    """Why it is proposed; "" for one that is chosen."""


@dataclass(frozen=True, slots=True)
class EveningDay:
    """A day of the week that is planned."""

    date: str
    """As `2027-03-30`."""
    weekday: str
    """Tuesday."""
    short: str
    """Tue."""
    number: str
    """Its number in the month."""
    label: str
    """Tuesday 30 March 2027."""
    weekend: bool
    """It is one of the weekend."""
    over: bool
    """It lies before today: nothing can be put on it."""
    notes: tuple[str, ...]
    """Public holidays, breaks from lessons, and what is worth knowing about the day."""
    events: tuple[EventLine, ...]
    """What is fixed."""
    money: tuple[MoneyLine, ...]
    """Bills and pay; amounts only where a person has unlocked their pages."""
    lessons: str
    """How many lessons there are; "" for none."""
    priorities: tuple[EveningPriority, ...]
    """What matters on it."""
    proposed: tuple[EveningPriority, ...]
    """What could matter on it, where there is room for more."""
    tasks: tuple[EveningTask, ...]
    """What is placed on it."""
    loads: tuple[LoadLine, ...]
    """How full it is, a line a person."""


@dataclass(frozen=True, slots=True)
class EveningBlank:
    """A habit with days of the last week of which nobody wrote anything."""

    id: str
    """The habit."""
    title: str
    """What it is called."""
    person: PersonMark
    """Whose it is."""
    area: AreaMark | None
    """The area it serves."""
    days: str
    """The days, as a list."""
    can_be_done: bool
    """Its mark is a plain yes or no, so that all the days can be marked as done at once."""


@dataclass(frozen=True, slots=True)
class EveningLessonDay:
    """A day on which a lesson could be made up."""

    value: str
    """What is sent."""
    text: str
    """The day."""
    notes: tuple[str, ...]
    """A holiday or break, and how much of the day is left."""


@dataclass(frozen=True, slots=True)
class EveningLesson:
    """A subject of a child with lessons to make up."""

    id: str
    """The lesson."""
    was: str
    """Stands for how it was when the page was made."""
    child: PersonMark
    """Who is taught."""
    subject: str
    """What."""
    text: str
    """How many are to be made up."""
    days: tuple[EveningLessonDay, ...]
    """Days that it could be made up on."""
    minutes: str = ""
    """How long one takes; "" where nobody has said."""


@dataclass(frozen=True, slots=True)
class EveningBill:
    """A bill that is paid by hand and of which nobody has said that it is."""

    value: str
    """What is sent, as `milk/2027-03-26`."""
    anchor: str
    """A name for its fields."""
    was: str
    """Stands for how it was when the page was made."""
    title: str
    """What it is called."""
    when: str
    """When it was to be paid."""
    amount: str
    """How much, where a person has unlocked their pages; else ""."""
    currency: str
    """The currency, where the amount may be written; "" where pages are locked."""


@dataclass(frozen=True, slots=True)
class EveningQuestion:
    """A question that is answered each week."""

    name: str
    """The name of its field."""
    question: str
    """What is asked."""
    answer: str
    """What stands there, where the person has unlocked their pages; else ""."""


@dataclass(frozen=True, slots=True)
class EveningLighter:
    """Days on which less is asked of somebody."""

    value: str
    """What is sent to take it away."""
    persons: tuple[PersonMark, ...]
    """Of whom."""
    text: str
    """When and why."""


@dataclass(frozen=True, slots=True)
class EveningHabit:
    """A habit and the days on which it is due or would have most room."""

    title: str
    """What it is called."""
    person: PersonMark
    """Whose it is."""
    area: AreaMark | None
    """The area it serves."""
    days: str
    """When it is due."""
    reason: str
    """Why these days, where they are proposed; else ""."""


@dataclass(frozen=True, slots=True)
class EveningCell:
    """What one's own row says of a day."""

    name: str
    """The name of its field."""
    label: str
    """The weekday."""
    text: str
    """What stands in the field, in Markdown."""
    was: str
    """What stands in the file; it is sent back with the field."""
    theirs: bool = False
    """`was` has been written meanwhile by somebody else, and what is in the field is not saved."""


@dataclass(frozen=True, slots=True)
class EveningRow:
    """A row of one's own, a cell a day."""

    name: str
    """The name of the field of its title."""
    title: str
    """What it is called, as Meals; "" for a new one."""
    cells: tuple[EveningCell, ...]
    """The days of the week."""


@dataclass(frozen=True, slots=True)
class EveningConflict:
    """What was sent, and cannot be done without a word: something has been changed meanwhile."""

    texts: tuple[str, ...]
    """What stands now."""
    wish: str
    """What was sent, in words."""
    fields: tuple[tuple[str, str], ...]
    """(name, value) that send it again on purpose; none where it cannot be done any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOverPage(ServedPage):
    """What is said of a week that cannot be planned."""

    text: str
    """Why."""
    ways: tuple[Link, ...]
    """Where to go instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanEveningPage(ServedPage):
    """The page on which a week is planned. Only the fields of its step have something in them."""

    action: str
    """Where its forms are sent, from the root on."""
    week: str
    """The week that is planned, as Week 13."""
    dates: str
    """Its days."""
    last_week: str
    """The week that is looked back on, as Week 12."""
    step: EveningStep
    """The step that is shown."""
    steps: tuple[EveningStep, ...]
    """All of them, in their order."""
    back: Link | None
    """The step before."""
    on: Link | None
    """The step after."""
    days: tuple[EveningDay, ...]
    """The days of the week that is planned."""
    places: tuple[PlaceRow, ...]
    """The table of buttons that put a task on a day; empty where nothing is placed."""
    proposed: int
    """How many tasks are proposed for days and not taken."""
    proposed_breaks: int
    """How many breaks are proposed."""
    person: PersonMark | None
    """Who has unlocked their pages; None where nobody has."""
    unlock: str
    """The address that asks for a PIN and leads back; "" where that is not needed."""
    loose: tuple[EveningTask, ...] = ()
    """The loose ends; the first of them is the one that is shown."""
    until: str = ""
    """A day to set something aside until, as `2027-04-25`."""
    soonest: str = ""
    """Today: no date can be given before it."""
    tasks: tuple[EveningTask, ...] = ()
    """The tasks that have no place in the week."""
    kept: str = ""
    """That some of them are proposed where they stood when the week was printed; else ""."""
    blanks: tuple[EveningBlank, ...] = ()
    """Habits with days of which nobody wrote anything."""
    enter: str = ""
    """The page on which the last week's marks are entered day by day; "" where there is none."""
    lessons: tuple[EveningLesson, ...] = ()
    """Lessons to make up."""
    bills: tuple[EveningBill, ...] = ()
    """Bills paid by hand of which nobody has said that they are paid."""
    questions: tuple[EveningQuestion, ...] = ()
    """The questions of the week."""
    people: tuple[PersonMark, ...] = ()
    """Who could be meant where the step asks for somebody."""
    early: str = ""
    """That the last week has not begun; "" where it has."""
    answered: str = ""
    """Who has answered the questions; "" for nobody."""
    seen_answers: str = ""
    """Stands for the file of answers as it was when the page was made."""
    most: int = 0
    """The most characters of an answer."""
    closing: str = ""
    """Whether the last week is closed, and since when, or from when on it can be."""
    can_close: bool = False
    """It can be closed now."""
    can_reopen: bool = False
    """It is closed, and can be opened again."""
    boxes: tuple[PlanBox, ...] = ()
    """What meets and what needs lead time in the week to come."""
    habits: tuple[EveningHabit, ...] = ()
    """Habits of the week to come."""
    lighter: tuple[EveningLighter, ...] = ()
    """Lighter days in it."""
    rows: tuple[EveningRow, ...] = ()
    """Rows of one's own, the last one new."""
    notes: EveningCell | None = None
    """The notes on the week, in Markdown."""
    summary: tuple[str, ...] = ()
    """What has been decided, for the last step."""
    agreed: str = ""
    """Since when the week's changes are counted; "" where nobody has agreed on it yet."""
    look: tuple[Link, ...] = ()
    """Where the finished week can be looked at or printed."""
    sheets: str = ""
    """The command that makes the sheets of the week for the binder."""
    at: str = ""
    """The id of the element that the page goes on with after something was done; else ""."""
    wrong: Mapping[str, str] = field(default_factory=dict)
    """What is wrong with what was typed, by the names of the fields."""
    typed: Mapping[str, str] = field(default_factory=dict)
    """What was typed into fields and could not be saved, by their names."""
    conflict: EveningConflict | None = None
    """What was sent and has to be sent again on purpose."""
