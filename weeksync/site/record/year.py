"""The page of a year: every week of it, its marks as rows of small cells."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, Link, Page, PersonMark


@dataclass(frozen=True, slots=True)
class YearHead:
    """A habit, at the head of its column."""

    id: str
    """The habit's id."""
    title: str
    """What it is called."""
    person: PersonMark
    """Whose it is."""
    area: AreaMark | None
    """The area of life it serves."""
    total: str
    """How many days of the year stand in which state, those to come aside; "" where none does."""


@dataclass(frozen=True, slots=True)
class YearCells:
    """A habit in one week: seven cells side by side, as paths in a `viewBox` of 70 by 10."""

    label: str
    """How many days stand in which state, in words; "" where the habit is not due."""
    filled: str
    """The path that is filled: days marked, paused, and not recorded."""
    drawn: str
    """The path that is drawn: days missed."""
    to_come: str
    """The path that is drawn faintly: days still to come."""


@dataclass(frozen=True, slots=True)
class YearLine:
    """A week of the year."""

    id: str
    """`2027-W12`."""
    number: str
    """Its number as people of the territory count."""
    label: str
    """Week 12, with its first day."""
    day: str
    """Its first day, short."""
    first: str
    """Its first day, as 2027-03-22; by it and the last the browser finds the week that it is."""
    last: str
    """Its last day."""
    href: str
    """Its page; "" where it has none."""
    closed: bool
    """It is closed."""
    month: str
    """The name of the month where the week holds its first day, else ""."""
    term: str
    """The term with the number of the week in it, and breaks; "" outside of terms."""
    holidays: str
    """Holidays by day."""
    cells: tuple[YearCells, ...]
    """One for each of the page's habits."""
    lessons: str
    """Lessons done of those planned, or that none was recorded; "" where there are none."""
    money: str
    """In and out of the side business; always "" on common pages."""


@dataclass(frozen=True, slots=True)
class YearTotal:
    """A line of the year's totals."""

    head: str
    """What it is about."""
    text: str
    """What is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YearPage(Page):
    """A year: `year-2027.html`. Its weeks are those whose Thursday lies in it (ISO 8601)."""

    id: str
    """`2027`."""
    dates: str
    """From-to."""
    previous: Link | None
    """The year before."""
    next: Link | None
    """The year after."""
    review: Link | None
    """Looking back on the year."""
    search: Link | None
    """Where words of closed weeks are looked for; None in pages of one's own."""
    private: bool
    """Whether it is a page of one's own: with amounts."""
    heads: tuple[YearHead, ...]
    """The habits, in the order of the day."""
    weeks: tuple[YearLine, ...]
    """Every week of the year."""
    with_lessons: bool
    """Whether any week has lessons."""
    with_money: bool
    """Whether any week has money of the side business; never on common pages."""
    lessons: tuple[YearTotal, ...]
    """Lessons of the year by child and subject."""
    money: tuple[YearTotal, ...]
    """The side business by currency."""
    counted: str
    """How many of the weeks are closed."""
