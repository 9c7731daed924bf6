"""TZID → clock, for all texts of one source (RFC 5545 section 3.2.19).

The rules of a text's own VTIMEZONE win over the zone of that name where the two differ in the
window, and the user is told; else the name decides, as `zone_names` reads it, or a hint that the
VTIMEZONE gives beside its rules (X-LIC-LOCATION, TZURL). A name that says nothing, without rules
in the text, is a problem, and its times are read in the household's zone; where it gives an
offset, though no place, they are read by that. X-WR-TIMEZONE is the zone of a calendar's
floating times and of nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from weeksync.calendar import report, report_bounds
from weeksync.calendar.clocks import Clock, IanaClock, iana_clock
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.text import CalendarText
from weeksync.calendar.values import later
from weeksync.calendar.vtimezone import RulesClock, fixed_clock, rules_clock
from weeksync.calendar.window import Window
from weeksync.calendar.zone_names import display_zone, offset_called, offset_said, zone_called
from weeksync.model.expanded import ZoneChoice
from weeksync.model.problem import Problem
from weeksync.zones import find_zone

_MARGIN = timedelta(days=400)
_STEPS = 400_000
"""For all zone rules of a source together: a hundred zones and more."""
MOST_ZONES = 300
"""Names of zones, each with its rules, that are looked up for one source."""
_HINT = re.compile(r"\n(?:X-LIC-LOCATION|TZURL)(?:;[^:\n]*)?:([^\n]*)", re.IGNORECASE)


class Clocks:
    """The clocks of one source; `news` has what there is to say, once per name.

    `chosen` are the choices that were made before for the same days, of which there was nothing to
    say: rules that were held against a zone of the database need not be held against it again.
    """

    def __init__(
        self,
        source: str,
        household: ZoneInfo,
        low: datetime,
        high: datetime,
        chosen: Iterable[ZoneChoice] = (),
    ) -> None:
        self._source = source
        self._chosen = {(one.tzid, one.rules): one for one in chosen}
        self._low, self._high = low, high
        self._until = later(high, _MARGIN)
        self._budget = Steps(_STEPS)
        self._floating = IanaClock("", household)
        self._utc = iana_clock(ZoneInfo("UTC"))
        self._known: dict[tuple[str, str], Clock] = {}
        self._cost: dict[tuple[str, str], int] = {}
        self.full = False
        """Whether there were more names than MOST_ZONES."""
        self._told: set[str] = set()
        self._news: list[Problem] = []

    def news(self) -> list[Problem]:
        """What was found since this was asked last."""
        news, self._news = self._news, []
        return news

    @property
    def plain(self) -> bool:
        """Whether there was nothing to say, so that it does not matter who asks first."""
        return not (self.full or self._told)

    def choices(self) -> tuple[ZoneChoice, ...]:
        """Which clock each name was found to be."""
        return tuple(
            ZoneChoice(*key, called(clock), self._cost[key]) for key, clock in self._known.items()
        )

    @property
    def utc(self) -> Clock:
        """The clock of times that end in Z."""
        return self._utc

    def floating(self, calendar: CalendarText) -> Clock:
        """The clock of times with no zone: the household's, or the calendar's X-WR-TIMEZONE."""
        if not calendar.default_zone:
            return self._floating
        return self.named(calendar.default_zone, calendar)

    def named(self, tzid: str, calendar: CalendarText) -> Clock:
        """The clock of a TZID of that calendar."""
        tzid = tzid.strip().strip('"').strip()
        key = (tzid, calendar.rules_of(tzid))
        found = self._known.get(key)
        if found is None:
            if len(self._known) >= MOST_ZONES:
                self.full = True
                return self._floating
            left = self._budget.left
            found = self._known[key] = self._find(*key)
            self._cost[key] = left - self._budget.left
        return found

    def _find(self, tzid: str, text: str) -> Clock:
        # Not once something was odd: what is tried in vain there, is work of no budget.
        plain = self._plain(tzid, text) if self.plain else None
        if plain is not None and plain[1] <= self._budget.left:
            self._budget.spend(plain[1])
            return plain[0]
        try:
            return self._reckoned(tzid, text)
        except StepsSpent:
            self._tell(tzid, report_bounds.busy_zone(self._source, tzid))
            return self._reckoned(tzid, "")

    def _plain(self, tzid: str, text: str) -> tuple[Clock, int] | None:
        chosen = self._chosen.get((tzid, text))
        if chosen is not None:
            kind, _, name = chosen.clock.partition(" ")
            zone = find_zone(name) if kind == IanaClock.__name__ else None
            if zone is not None:
                return iana_clock(zone), chosen.steps
        return _plainly(tzid, text, self._low, self._high)

    def _reckoned(self, tzid: str, text: str) -> Clock:
        zone = zone_called(tzid)
        if zone is None and offset_called(tzid) is None:
            zone = display_zone(tzid, self._low.year)
        own = rules_clock(tzid, text, self._until, self._budget) if text else None
        if own is not None:
            return self._or_own(tzid, own, zone, _hinted(text))
        if zone is None and (offset := offset_called(tzid)) is not None:
            return fixed_clock(offset)
        zone = zone or _hinted(text)
        return iana_clock(zone) if zone is not None else self._unknown(tzid)

    def _or_own(
        self, tzid: str, own: RulesClock, zone: ZoneInfo | None, hint: ZoneInfo | None
    ) -> Clock:
        """The zone that is meant where its own rules agree with it, else those rules."""
        for named in (iana_clock(one) for one in (zone, hint) if one is not None):
            if own.agrees(named, self._low, self._high, self._budget):
                return named
        if zone is not None:
            self._tell(tzid, report.own_rules(self._source, tzid))
        return own

    def _unknown(self, tzid: str) -> Clock:
        offset = offset_said(tzid)
        used = fixed_clock(offset) if offset is not None else self._floating
        shown = used.name or self._floating.tz.key
        self._tell(tzid, report.unknown_zone(self._source, tzid, shown))
        return used

    def _tell(self, tzid: str, problem: Problem) -> None:
        if tzid not in self._told:
            self._told.add(tzid)
            self._news.append(problem)


def _hinted(text: str) -> ZoneInfo | None:
    found = (zone_called(hint.strip().removesuffix(".ics")) for hint in _HINT.findall(text))
    return next((zone for zone in found if zone is not None), None)


@lru_cache(maxsize=200)
def _plainly(tzid: str, text: str, low: datetime, high: datetime) -> tuple[Clock, int] | None:
    """The clock and what it costs, where nothing is to be said of it and no budget is in the way.

    Most calendars of a household have the same few zones with the same rules.
    """
    clocks = Clocks("", ZoneInfo("UTC"), low, high)
    try:
        found = clocks._reckoned(tzid, text)
    except StepsSpent:
        return None
    return (found, _STEPS - clocks._budget.left) if clocks.plain else None


def settled(
    choices: Iterable[ZoneChoice], start: date, end: date, tz: ZoneInfo
) -> tuple[ZoneChoice, ...] | None:
    """The same names in the days [start, end) of `tz`; None where one is another clock then."""
    window = Window.of(start, end, tz)
    found = []
    for one in choices:
        plain = _plainly(one.tzid, one.rules, window.low, window.high)
        if plain is None or called(plain[0]) != one.clock:
            return None
        found.append(replace(one, steps=plain[1]))
    return tuple(found)


def called(clock: Clock) -> str:
    """What tells the clocks of one name apart."""
    return f"{type(clock).__name__} {clock.name}"


def together(*found: Iterable[ZoneChoice]) -> tuple[ZoneChoice, ...] | None:
    """All of them, as one run would have found them; None where that would be too many."""
    names = {(one.tzid, one.rules): one for choices in found for one in choices}
    if len(names) >= MOST_ZONES or sum(one.steps for one in names.values()) > _STEPS:
        return None
    return tuple(names.values())
