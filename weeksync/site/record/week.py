"""The week page: the spread on a screen."""

from __future__ import annotations

from markupsafe import Markup

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, Link, Page, PersonMark
from weeksync.site.record.lines import (
    BreakLine,
    EventLine,
    LessonLine,
    MoneyLine,
    PriorityLine,
    TaskLine,
)
from weeksync.site.record.plan import LessonBox, LoadLine, PlanBox, ProposedLine


@dataclass(frozen=True, slots=True)
class PartBox:
    """A day part of one day."""

    id: str
    """`morning`, `afternoon` or `evening`."""
    name: str
    """Its name."""
    events: tuple[EventLine, ...]
    """What starts in it, in order."""
    tasks: tuple[TaskLine, ...]
    """Tasks planned for it."""
    proposed: tuple[ProposedLine, ...] = ()
    """Pieces of tasks that are proposed for it, by time."""


@dataclass(frozen=True, slots=True)
class DayBox:
    """One day of a week page."""

    date: str
    """As `2027-03-22`."""
    weekday: str
    """Monday."""
    weekday_short: str
    """Mon."""
    weekday_narrow: str
    """M."""
    number: str
    """The day of the month."""
    month: str
    """The month's name on the first day shown and wherever a month begins; else ""."""
    label: str
    """The whole date in words, for those who do not see the page."""
    weekend: bool
    """It lies in the region's weekend."""
    holidays: tuple[str, ...]
    """Names of public holidays."""
    term: str
    """The term and its week, or the break from lessons."""
    notices: tuple[str, ...]
    """What is worth knowing about this day, as that the clocks change."""
    all_day: tuple[EventLine, ...]
    """What takes the whole day."""
    money: tuple[MoneyLine, ...]
    """Bills, pay and saving steps."""
    priorities: tuple[PriorityLine, ...]
    """One or two things that matter."""
    parts: tuple[PartBox, ...]
    """Morning, afternoon, evening, always all three."""
    tasks: tuple[TaskLine, ...]
    """Tasks of this day that have no day part."""
    lessons: tuple[LessonLine, ...]
    """Lessons of the children."""
    breaks: tuple[BreakLine, ...]
    """Breaks that are planned; written out they are "14:30, 10 min: walk to the quay"."""
    more: str
    """How many occurrences and tasks of the day are not listed, and where they are; "" if none."""
    loads: tuple[LoadLine, ...] = ()
    """How full the day is, a line a person."""
    proposed_priorities: tuple[ProposedLine, ...] = ()
    """What is proposed as a priority, beside those that were chosen."""
    proposed_breaks: tuple[str, ...] = ()
    """Breaks that are proposed, as the planned ones are written."""
    proposed_more: str = ""
    """How many more pieces of tasks are proposed, and where they are listed; "" if none."""


@dataclass(frozen=True, slots=True)
class HabitCell:
    """One day of a habit."""

    date: str
    """As `2027-03-22`."""
    state: str
    """`marked`, `missed`, `not-recorded`, `paused`, `not-due` or `open` (still to come)."""
    label: str
    """The state as words, with the value."""
    value: str
    """The figure that was noted, for kinds of mark that are no yes or no; else ""."""
    proposed: bool = False
    """The day is proposed for it; the label says so, too."""
    raw: str = ""
    """The mark as the file of marks has it, as `yes` or `7.5`; "" where nothing is recorded."""


@dataclass(frozen=True, slots=True)
class HabitLine:
    """A habit over the days of the week."""

    id: str
    """Its permanent id."""
    title: str
    """What it is."""
    area: AreaMark | None
    """The area of life it serves."""
    person: PersonMark
    """Whose it is."""
    part: str
    """The name of its day part; "" where it has none."""
    target: str
    """What is aimed at, as "4 times a week" or "8 glasses"; "" where nothing is."""
    cells: tuple[HabitCell, ...]
    """A cell a day, in the order of the days."""
    tally: str
    """Days marked of days due, as "3 of 4"; "" where none is due."""
    only_for: str
    """On a page of one's own: the names of those who may see it; always "" on the common site."""
    kind: str = "yes/no"
    """The kind of its marks: `yes/no`, `count`, `minutes`, `hours` or `scale`."""
    unit: str = ""
    """What is counted, as glasses."""
    aim: str = ""
    """The figure that is aimed at on a day, as a mark writes it; "" where none is."""


@dataclass(frozen=True, slots=True)
class RowLine:
    """A row of one's own under the days, as meals."""

    title: str
    """Its title."""
    cells: tuple[Markup, ...]
    """A cell a day, in the order of the days."""


@dataclass(frozen=True, slots=True)
class SmallWeek:
    """A row of the small month."""

    number: str
    """The week's number."""
    href: str
    """Its page; "" where there is none."""
    shown: bool
    """It is the week of this page."""
    days: tuple[tuple[str, str, bool], ...]
    """(date, day of the month, whether it lies in another month), seven of them."""


@dataclass(frozen=True, slots=True)
class SmallMonth:
    """A month in small."""

    name: str
    """March 2027."""
    href: str
    """Its page; "" where there is none."""
    weekdays: tuple[str, ...]
    """The narrow names of the weekdays, first one first."""
    weeks: tuple[SmallWeek, ...]
    """Its weeks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekPage(Page):
    """A week: the spread on a screen."""

    id: str
    """The ISO week, as `2027-W12`; it names the page."""
    number: str
    """The week's number as people of the household's territory count."""
    dates: str
    """From-to, as 22–28 Mar 2027."""
    first: str
    """The first day, as `2027-03-22`."""
    last: str
    """The last day."""
    previous: Link | None
    """The week before, where it has a page."""
    next: Link | None
    """The week after, where it has a page."""
    months: tuple[Link, ...]
    """The months the week lies in, where they have pages."""
    decisions: tuple[str, ...]
    """What needs a decision, most pressing first; clashes to come are among it."""
    decisions_more: str = ""
    """How many more there are, and where; "" if none."""
    days: tuple[DayBox, ...]
    """Seven days, in the order the household sees them."""
    habits: tuple[HabitLine, ...]
    """Habits in the order of the day."""
    rows: tuple[RowLine, ...]
    """Rows of one's own."""
    undated: tuple[TaskLine, ...]
    """Open tasks without a day; at most as many as a day lists."""
    undated_more: str
    """How many more there are, and where; "" if none."""
    notes: Markup
    """Notes on the week."""
    areas: tuple[AreaMark, ...]
    """All areas, to explain the letters."""
    persons: tuple[PersonMark, ...]
    """All persons, to explain the letters."""
    small_month: SmallMonth
    """The month that holds the week's Thursday."""
    boxes: tuple[PlanBox, ...] = ()
    """What is worked out about the week, for below the days."""
    lessons: LessonBox | None = None
    """The lessons of the term so far; None where there are none."""
    enter: Link | None = None
    """The page on which the week is entered from paper; None where it has not begun."""
    review: Link | None = None
    """The page that looks back on it; None where it has not begun, or is closed."""
    last_mark: str = ""
    """When the last of the marks on it was made, in whole ms since 1970 in UTC; "" without one."""
