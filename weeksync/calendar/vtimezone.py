"""A VTIMEZONE of a calendar text as a clock of its own (RFC 5545 section 3.6.5).

Each text's rules make a clock that belongs to that text alone: two calendars may define one
TZID differently, and libraries that keep zones by name give the second the first one's rules.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import UTC, datetime, timedelta

from weeksync.calendar.clocks import Clock
from weeksync.calendar.lines import Lines, first, read_lines
from weeksync.calendar.rules import Rule, parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.values import later, written
from weeksync.calendar.walk import instances
from weeksync.lazy import dataclass

_MARK = re.compile(r"\n(BEGIN|END):(STANDARD|DAYLIGHT)[ \t]*(?=\n|\Z)", re.IGNORECASE)
_MOST_PARTS = 500
"""Of a zone's rules; one that has had two changes a year since 1900 and lists each has 254."""
_OFFSET = re.compile(r"([+-]?)(\d\d):?(\d\d):?(\d\d)?", re.ASCII)
_NAMES = frozenset({"DTSTART", "TZOFFSETFROM", "TZOFFSETTO", "RRULE", "RDATE", "EXDATE"})
_EARLIEST = datetime(1970, 1, 1)
"""Before this, only the very first onset of a rule is looked at: many begin in 1601."""
_STEPS = 20_000
"""A zone with two changes a year takes about a thousand."""
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, order=True)
class _Onset:
    """A change of offset at a naive UTC time."""

    at: datetime
    before: timedelta
    after: timedelta

    @property
    def wall(self) -> datetime:
        """The first wall time read with the new offset: past the gap, past the repeat."""
        return later(self.at, max(self.before, self.after))


class RulesClock:
    """The clock of a VTIMEZONE's own rules, good up to the day it was made for."""

    def __init__(self, name: str, onsets: list[_Onset]) -> None:
        self.name = name
        self._onsets = onsets
        self._at = [onset.at for onset in onsets]
        self._walls = [onset.wall for onset in onsets]

    def instant(self, local: datetime) -> datetime:
        """The UTC instant of a naive local time."""
        return later(local, -self._offset(bisect_right(self._walls, local))).replace(tzinfo=UTC)

    def local(self, instant: datetime) -> datetime:
        """The naive local time of a UTC instant."""
        moment = instant.astimezone(UTC).replace(tzinfo=None)
        return later(moment, self._offset(bisect_right(self._at, moment)))

    def _offset(self, passed: int) -> timedelta:
        return self._onsets[passed - 1].after if passed else self._onsets[0].before

    def agrees(self, other: Clock, low: datetime, high: datetime, steps: Steps) -> bool:
        """Whether both show the same time from `low` to `high`, from its first onset on.

        Looked at on every day and on both sides of every change it has itself. StepsSpent where
        `steps` do not reach for that.
        """
        begin = max(low, self._at[0].replace(tzinfo=UTC))
        moments = [begin + _DAY * day for day in range(max((high - begin).days, 0) + 1)]
        for at in self._at:
            change = at.replace(tzinfo=UTC)
            if begin < change < high:
                moments += [change - timedelta(seconds=1), change]
        steps.spend(4 * len(moments))
        return all(self.local(moment) == other.local(moment) for moment in moments)


def rules_clock(name: str, text: str, until: datetime, budget: Steps) -> RulesClock | None:
    """The clock of a VTIMEZONE text, reckoned up to the UTC instant `until`.

    None where it holds nothing that can be used; a part of it that cannot be read is left out.
    StepsSpent where its rules take more than `budget` has: half of them would be worse than none.
    """
    steps = Steps(_STEPS, budget)
    parts = [read_lines(part, _NAMES) for part in _parts(text)]
    steps.spend(_READING * len(parts))
    if len(parts) > _MOST_PARTS:
        raise StepsSpent
    onsets: set[_Onset] = set()
    for part in parts:
        with suppress(ValueError):
            onsets.update(_onsets(part, _old_offset(part, parts), until, steps))
    return RulesClock(name, sorted(onsets)) if onsets else None


_READING = 20
"""What reading a part costs, in steps."""


def _parts(text: str) -> Iterator[str]:
    """The lines of each STANDARD and DAYLIGHT that is ended."""
    begun, kind = 0, ""
    for mark in _MARK.finditer(text):
        if mark[1].upper() == "BEGIN":
            begun, kind = mark.end(), mark[2].upper()
        elif mark[2].upper() == kind:
            yield text[begun : mark.start()]
            kind = ""


def fixed_clock(offset: timedelta) -> RulesClock:
    """The clock that is always so far east of Greenwich, named `UTC+01:00`."""
    minutes = int(offset.total_seconds()) // 60
    sign = "-" if minutes < 0 else "+"
    name = f"UTC{sign}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}" if minutes else "UTC"
    return RulesClock(name, [_Onset(_EARLIEST, offset, offset)])


def _old_offset(part: Lines, parts: Sequence[Lines]) -> timedelta:
    """The offset before an onset; where none is given, that of the first part with another."""
    if (before := first(part, "TZOFFSETFROM")) is not None:
        return _offset(before.value)
    new = _new_offset(part)
    return next((found for one in parts if (found := _new_offset(one)) != new), new)


def _new_offset(part: Lines) -> timedelta:
    after = first(part, "TZOFFSETTO")
    if after is None:
        raise ValueError("an onset needs TZOFFSETTO")
    return _offset(after.value)


def _onsets(lines: Lines, old: timedelta, until: datetime, steps: Steps) -> Iterator[_Onset]:
    """The onsets of one STANDARD or DAYLIGHT, its DTSTART first; ValueError if unusable."""
    start, new = first(lines, "DTSTART"), _new_offset(lines)
    if start is None:
        raise ValueError("an onset needs DTSTART")
    opening = _wall(start.value, old)
    locals_ = {opening}
    for line in lines.get("RRULE", ()):
        locals_.update(_by_rule(parse_rule(line.value), opening, old, until, steps))
    locals_.update(_listed(lines, "RDATE", old))
    for local in locals_.difference(_listed(lines, "EXDATE", old)):
        yield _Onset(later(local, -old), old, new)


def _listed(lines: Lines, name: str, old: timedelta) -> Iterator[datetime]:
    for line in lines.get(name, ()):
        yield from (_wall(value.partition("/")[0], old) for value in line.value.split(","))


def _wall(text: str, old: timedelta) -> datetime:
    """A time of an onset, on the clock that it ends; in UTC it must not be, and is read."""
    moment = written(text)
    return later(moment.local, old) if moment.utc else moment.local


def _by_rule(
    rule: Rule, opening: datetime, old: timedelta, until: datetime, steps: Steps
) -> Iterator[datetime]:
    end = until.astimezone(UTC).replace(tzinfo=None)
    for local in instances(rule, opening, _EARLIEST, end, steps):
        if rule.until is not None:
            onset = later(local, -old) if rule.until.utc else local
            if onset > rule.until.local and not (
                rule.until.is_date and onset.date() == rule.until.local.date()
            ):
                return
        yield local


def _offset(text: str) -> timedelta:
    found = _OFFSET.fullmatch(text.strip())
    if found is None:
        raise ValueError(f"{text[:20]!r} is no UTC offset")
    size = timedelta(hours=int(found[2]), minutes=int(found[3]), seconds=int(found[4] or 0))
    if size >= _DAY:
        raise ValueError(f"{text[:20]!r} is no UTC offset")
    return -size if found[1] == "-" else size
