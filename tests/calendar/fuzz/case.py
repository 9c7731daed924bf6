"""What the relations share: one text with what is said about it, and ways to ask again."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from operator import attrgetter
from zoneinfo import ZoneInfo

from tests.calendar.fuzz.texts import CalendarLines, well_formed
from tests.calendar.support import LONDON, stored
from weeksync.calendar import Expansion, index_object, report, report_bounds
from weeksync.calendar.expand import expand
from weeksync.calendar.text import unfolded
from weeksync.calendar.window import Window
from weeksync.model.limits import ExpandLimits, ReadLimits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.pulled import IndexedObject, RawObject

SMALL = ExpandLimits(per_uid=50, per_source=400, steps_per_uid=3_000, steps_per_source=20_000)
_START, _DAYS = date(2027, 2, 1), 89
_DTSTART = re.compile(rb"DTSTART[^:\n]*:(\d{4})(\d\d)(\d\d)")
_SOURCE_BUDGETS = frozenset({
    report_bounds.no_room("", 1, 0).what.text,
    report_bounds.no_steps("", 1).what.text,
    report_bounds.object_full("", "", 0, ReadLimits()).what.text,
    report_bounds.source_full("", 1, 0).what.text,
    report_bounds.heavy_zones("", "", "", 1).what.text,
    report_bounds.busy_zone("", "").what.text,
    report_bounds.more("", 1).what.text,
})  # fmt: skip
_BUDGETS = _SOURCE_BUDGETS | {
    report_bounds.too_many("", "", "", 0).what.text,
    report_bounds.too_many_versions("", "", "", 1).what.text,
    report_bounds.too_many_dates("", "", "", "", 0).what.text,
}
_OWN_RULES = report.own_rules("", "").what.text
_UNKNOWN_ZONE = report.unknown_zone("", "", "").what.text
_FIELDS = attrgetter(
    "collection", "title", "zone", "busy", "cancelled", "tentative", "journal",
    "classification", "place", "notes", "link", "categories", "attendees", "sequence", "stamp",
)  # fmt: skip

Fact = tuple[object, ...]


class Case:
    """One text, the window it is looked at in, and what was found there.

    The window is that of early 2027, or, where the text does not name that year, the weeks
    from its last DTSTART on: all years can be had, and a smaller text keeps its window.
    """

    def __init__(self, content: bytes) -> None:
        self.content = content
        self._known: dict[tuple[object, ...], Expansion] = {}
        self.start = _window_start(content)
        self.end = self.start + timedelta(days=_DAYS)

    @cached_property
    def base_window(self) -> Window:
        """The window of `base`."""
        return Window.of(self.start, self.end, LONDON)

    @cached_property
    def text(self) -> str:
        """The unfolded text."""
        return unfolded(self.content)

    @cached_property
    def base(self) -> Expansion:
        """What is found."""
        return self.ask(self.content)

    @cached_property
    def index(self) -> IndexedObject:
        """What the index says."""
        return index_object("test", RawObject("a.ics", "", self.content))[0]

    @property
    def bounds(self) -> dict[str, tuple[date | None, date | None]]:
        """The days that the index gives to each UID."""
        return {one.uid: (one.first_day, one.last_day) for one in self.index.groups}

    @cached_property
    def calendars(self) -> list[CalendarLines] | None:
        """The text in its parts, where it is well-formed."""
        return well_formed(self.text)

    @cached_property
    def named(self) -> bool:
        """Whether all components have a UID: one made from the text changes with the text."""
        return not any(group.uid.startswith("no-uid-") for group in self.index.groups)

    def ask(
        self,
        *contents: bytes | str,
        start: date | None = None,
        end: date | None = None,
        tz: ZoneInfo = LONDON,
    ) -> Expansion:
        """What other contents, or other circumstances, give; what was asked before is known."""
        data = tuple(one if isinstance(one, bytes) else one.encode() for one in contents)
        question = data, start or self.start, end or self.end, tz
        if question not in self._known:
            self._known[question] = self.ask_anew(*question)
        return self._known[question]

    def ask_anew(
        self,
        contents: Iterable[bytes],
        start: date,
        end: date,
        tz: ZoneInfo,
        limits: ExpandLimits = SMALL,
    ) -> Expansion:
        """What these contents give."""
        objects = [stored(content, f"{at}.ics") for at, content in enumerate(contents)]
        return expand(objects, start, end, tz, limits)


def _window_start(content: bytes) -> date:
    found = None if b"2027" in content else [*_DTSTART.finditer(content)][-1:]
    try:
        wanted = date(*(int(part) for part in found[0].groups())) if found else _START
        return min(wanted, date(9999, 9, 1))
    except ValueError:
        return _START


def bounded(*found: Expansion) -> bool:
    """Whether a budget left something out: then only budgets are compared."""
    return _says(_BUDGETS, found)


def source_bounded(*found: Expansion) -> bool:
    """Whether a budget of the whole source left something out, so that one event cost another."""
    return _says(_SOURCE_BUDGETS, found)


def own_rules(*found: Expansion) -> bool:
    """Whether a zone's rules were judged by the window."""
    return _says({_OWN_RULES}, found)


def unknown_zone(*found: Expansion) -> bool:
    """Whether the household's zone was used in place of one that is not known."""
    return _says({_UNKNOWN_ZONE}, found)


def _says(texts: Iterable[str], found: Iterable[Expansion]) -> bool:
    return any(problem.what.text in texts for one in found for problem in one.problems)


def moment(one: datetime | date | None) -> str:
    """A time with its offset, or a day."""
    return one.isoformat() if one is not None else ""


def instant(one: datetime | date) -> str:
    """A time in UTC, or a day."""
    return moment(one.astimezone(UTC) if isinstance(one, datetime) else one)


def fact(one: Occurrence) -> Fact:
    """An occurrence as something to compare: equal times of other offsets are not equal.

    A UID that was made from the bytes of the text changes with them.
    """
    return (_uid(one.uid), one.identity, moment(one.start), moment(one.end), *_FIELDS(one))


def todo_fact(one: TodoItem) -> Fact:
    """A to-do as something to compare."""
    return (_uid(one.uid), one.identity, moment(one.start), moment(one.due), replace(one, uid=""))


def _uid(uid: str) -> str:
    return "no-uid" if uid.startswith("no-uid-") else uid


def facts(found: Expansion) -> Counter[Fact]:
    """All that was found, in no order."""
    return Counter([*map(fact, found.occurrences), *map(todo_fact, found.todos)])


def same(first: Counter[Fact], second: Counter[Fact], what: str) -> None:
    """Assert that both are equal, and show what is only in one of them."""
    if first != second:
        lost, new = [*(first - second)][:3], [*(second - first)][:3]
        raise AssertionError(f"{what}: lost {lost}, new {new}")


def same_problems(first: Expansion, second: Expansion, what: str) -> None:
    """Assert that both say the same is wrong, whatever the values are written like."""
    said = [
        Counter((problem.kind, problem.what.text) for problem in one.problems)
        for one in (first, second)
    ]
    if said[0] != said[1]:
        raise AssertionError(f"{what}: said {[*(said[0] - said[1])]}, now {[*(said[1] - said[0])]}")
