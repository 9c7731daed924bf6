"""The start page and the page of problems."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import Link, Page, Stamp


@dataclass(frozen=True, slots=True)
class WeekEntry:
    """A week in the list of the start page."""

    id: str
    """The ISO week."""
    href: str
    """Its page."""
    label: str
    """"Week 12"."""
    dates: str
    """From-to."""
    first: str
    """The first day, as `2027-03-22`."""
    last: str
    """The last day."""


@dataclass(frozen=True, slots=True)
class MonthEntry:
    """A month in the list of the start page, with the weeks whose Thursday lies in it."""

    id: str
    """As `2027-03`."""
    name: str
    """March 2027."""
    href: str
    """Its page; "" where there is none."""
    weeks: tuple[WeekEntry, ...]
    """Its weeks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexPage(Page):
    """The start page; also that of one's own pages (`kind` is `own-index`)."""

    current: WeekEntry | None
    """The week of the day the site was made for; the script corrects it. None without weeks."""
    months: tuple[MonthEntry, ...]
    """All weeks, by month."""
    counts: tuple[tuple[str, str], ...]
    """(section of the page of problems, words) of what waits there, as ("questions", "1 …")."""
    reviews: tuple[Link, ...] = ()
    """Pages that look back on the last weeks and months, as far as they have such a page."""


@dataclass(frozen=True, slots=True)
class ProblemLine:
    """One thing the user should know."""

    place: str
    """File and line, as `tasks.toml:14`, or the source."""
    what: str
    """What is wrong."""
    remedy: str
    """What to do; "" where nothing is."""


@dataclass(frozen=True, slots=True)
class ProblemGroup:
    """Problems of one kind."""

    kind: str
    """`question`, `source`, `mistake`, `object` or `notice`."""
    heading: str
    """The kind as a heading."""
    problems: tuple[ProblemLine, ...]
    """What there is of it."""


@dataclass(frozen=True, slots=True)
class LeftOutLine:
    """An occurrence that is on no page."""

    day: Stamp
    """When it would be."""
    title: str
    """Its title."""
    source: str
    """The name of the calendar that holds it."""


@dataclass(frozen=True, slots=True)
class LeftOutGroup:
    """Occurrences left out for one reason."""

    reason: str
    """The reason as a heading."""
    lines: tuple[LeftOutLine, ...]
    """The occurrences by day; at most as many as can be read."""
    more: str
    """"and 12 more" where not all are listed, else ""."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProblemsPage(Page):
    """What the user should know."""

    groups: tuple[ProblemGroup, ...]
    """Problems by kind, what needs an answer first; kinds without any are absent."""
    counts: tuple[tuple[str, str], ...]
    """(kind, words) of what has to be looked at, as on the start page; empty where all is well."""
    asked: Stamp | None
    """When the calendars were asked last, in a night or by hand; None where none ever was."""
    left_out: tuple[LeftOutGroup, ...]
    """What is on no page, by reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbsentPage(Page):
    """A week of which nothing is kept, beside a closed one that leads to it."""

    id: str
    """The ISO week, as `2027-W10`; it names the page."""
    dates: str
    """From-to, as 8–14 Mar 2027."""
    previous: Link | None
    """The week before, where it has a page."""
    next: Link | None
    """The week after, where it has a page."""
    text: str
    """That nothing is kept of it."""
    remedy: str
    """The commands that show it as far as it is known, and that keep it."""
