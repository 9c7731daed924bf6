"""The month overview."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import AreaMark, Link, Page
from weeksync.site.record.plan import PlanBox


@dataclass(frozen=True, slots=True)
class MonthEvent:
    """A line in a day of the month overview."""

    times: str
    """When it starts, as 10:00; "" where it takes the whole day."""
    title: str
    """Its title."""
    area: AreaMark | None
    """The area of life it serves."""
    from_before: bool
    """It began on an earlier day."""
    cancelled: bool = False
    """It was on the confirmed week and is called off since."""


@dataclass(frozen=True, slots=True)
class MonthRibbon:
    """Something over several days, as it touches one day of a week of the month overview."""

    title: str
    """Its title."""
    area: AreaMark | None
    """The area of life it serves."""
    days: int
    """How many days of the week it takes from this one on; 0 on days after its first one."""
    from_before: bool
    """It began before the first day of the week."""
    goes_on: bool
    """It goes on after the last day of the week."""
    ground: bool
    """It is a break from lessons, on which the rest lies."""
    cancelled: bool = False
    """It was on the confirmed week and is called off since."""


@dataclass(frozen=True, slots=True)
class MonthDay:
    """A day of the month overview."""

    date: str
    """As `2027-03-22`."""
    number: str
    """The day of the month."""
    weekday: str
    """The name of its weekday, for narrow screens."""
    label: str
    """The whole date in words."""
    href: str
    """The day on its week page; "" where that has no page."""
    outside: bool
    """It lies in another month."""
    weekend: bool
    """It lies in the region's weekend."""
    holidays: tuple[str, ...]
    """Names of public holidays."""
    term: str
    """The term and its week where one starts, or the break from lessons."""
    money: tuple[tuple[str, str], ...]
    """(kind, words) of bills, pay and saving steps, without amounts."""
    all_day: tuple[MonthEvent, ...]
    """What takes the whole day."""
    events: tuple[MonthEvent, ...]
    """What has a time, in order; at most as many as fit."""
    more: str
    """"+3 more" where not all is shown, else ""."""
    lanes: tuple[MonthRibbon | None, ...] = ()
    """What lies over several days, in the lanes of its week; None where a lane is free."""


@dataclass(frozen=True, slots=True)
class MonthWeek:
    """A row of the month overview."""

    id: str
    """The ISO week."""
    number: str
    """The week's number as people count."""
    label: str
    """"Week 12"."""
    href: str
    """Its page; "" where there is none."""
    days: tuple[MonthDay, ...]
    """Its seven days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthPage(Page):
    """A month on one sheet."""

    id: str
    """As `2027-03`; it names the page."""
    previous: Link | None
    """The month before, where it has a page."""
    next: Link | None
    """The month after, where it has a page."""
    weekdays: tuple[tuple[str, str], ...]
    """(name, short name) of the weekdays, first one first."""
    weeks: tuple[MonthWeek, ...]
    """Its weeks."""
    areas: tuple[AreaMark, ...]
    """All areas, to explain the letters."""
    review: Link | None = None
    """The page that looks back on it; None where it has not begun."""
    coming_up: PlanBox | None = None
    """What is to be begun in the month or soon after; None where there is nothing."""
