"""TZID → clock, for all texts of one source (RFC 5545 section 3.2.19).

The rules of a text's own VTIMEZONE win over the zone of that name where the two differ in the
window, and the user is told; else the name decides: an IANA name in whatever case, a Windows
name (CLDR), or an IANA name at the end of a vendor's path. A name that says nothing, without
rules in the text, is a problem, and its times are read in the household's zone.
X-WR-TIMEZONE is the zone of a calendar's floating times and of nothing else.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from weeksync import zones
from weeksync.calendar import report
from weeksync.calendar.clocks import Clock, IanaClock, iana_clock
from weeksync.calendar.steps import Steps
from weeksync.calendar.text import CalendarText
from weeksync.calendar.values import later
from weeksync.calendar.vtimezone import RulesClock, rules_clock
from weeksync.model.problem import Problem

_MARGIN = timedelta(days=400)
_STEPS = 500_000
"""For all zone rules of a source together: several hundred zones."""


class Clocks:
    """The clocks of one source; `problems` gathers what there is to say, once per name."""

    def __init__(self, source: str, household: ZoneInfo, low: datetime, high: datetime) -> None:
        self._source = source
        self._low, self._high = low, high
        self._until = later(high, _MARGIN)
        self._budget = Steps(_STEPS)
        self._floating = IanaClock("", household)
        self._utc = iana_clock(ZoneInfo("UTC"))
        self._known: dict[tuple[str, str], Clock] = {}
        self._problems: dict[str, Problem] = {}

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was found so far."""
        return tuple(self._problems.values())

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
        tzid = tzid.strip().strip('"')
        key = (tzid, calendar.zones.get(tzid, ""))
        if key not in self._known:
            self._known[key] = self._find(*key)
        return self._known[key]

    def _find(self, tzid: str, text: str) -> Clock:
        zone = zone_called(tzid)
        own = rules_clock(tzid, text, self._until, self._budget) if text else None
        if zone is not None:
            named = iana_clock(zone)
            if own is None or own.agrees(named, self._low, self._high):
                return named
            return self._own(tzid, own)
        if own is not None:
            return own
        self._problems.setdefault(
            tzid, report.unknown_zone(self._source, tzid, self._floating.tz.key)
        )
        return self._floating

    def _own(self, tzid: str, own: RulesClock) -> Clock:
        self._problems.setdefault(tzid, report.own_rules(self._source, tzid))
        return own


def zone_called(tzid: str) -> ZoneInfo | None:
    """The IANA zone a TZID names in one way or another, or None."""
    for name in (tzid, *_tails(tzid)):
        found = zones.find_zone(name) if name else None
        if found is None and name:
            found = _respelt(name)
        if found is not None:
            return found
    return None


def _tails(tzid: str) -> list[str]:
    """What a vendor's path may end in: America/Indiana/Knox, Europe/Lisbon, UTC."""
    pieces = [piece for piece in tzid.split("/") if piece]
    return ["/".join(pieces[-count:]) for count in (3, 2, 1) if count <= len(pieces)]


def _respelt(name: str) -> ZoneInfo | None:
    folded = name.casefold()
    found = _spellings().get(folded) or _windows().get(folded)
    return zones.find_zone(found) if found else None


@cache
def _spellings() -> dict[str, str]:
    return {name.casefold(): name for name in sorted(available_timezones())}


@cache
def _windows() -> dict[str, str]:
    # Imported here: the package takes as long to import as a small household to expand.
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    return {name.casefold(): zone for name, zone in WINDOWS_TO_OLSON.items()}
