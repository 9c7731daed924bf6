"""The recurrence set of one UID: which instances it has in a window (RFC 5545 section 3.8.5).

Set logic of our own over the rules in `walk`; `recurring-ical-events` is not used here but held
against it in the tests. It matches exceptions by wall time as well as by instant, keeps the
wall duration over a clock change where the RFC wants the exact one, and stops for a whole
calendar at one bad value.

Choices, where the RFC is silent, each with a test:

- Instances are told apart by their UTC instant, whole days by their date. An EXDATE or
  RECURRENCE-ID that is a date, on a timed series, means all instances of that local day; one
  that is a time, on a series of whole days, means its day.
- An override is shown even where the series has no such instance, or an EXDATE takes it away:
  an appointment shown too often is seen, one shown too seldom is missed.
- RANGE=THISANDFUTURE moves each later instance by the wall-clock difference between the
  override's start and its RECURRENCE-ID, and gives it the override's length and text, up to the
  next such override; its identity stays that of the series.
- EXRULE, dropped in RFC 5545, is still honoured as RFC 2445 had it.
- No rule gives an instance before DTSTART, also where that is a skipped time and the clock shows
  later times before it.
- An UNTIL that is a date ends a timed series with that local day; one without Z is local time.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from weeksync.calendar.clocks import Clock
from weeksync.calendar.entries import Entry, Key, Stamp, end_of
from weeksync.calendar.rules import Rule
from weeksync.calendar.steps import Steps
from weeksync.calendar.values import Length, later
from weeksync.calendar.walk import instances
from weeksync.calendar.window import Window
from weeksync.lazy import dataclass

_EDGE = timedelta(hours=26)
"""No clock change is larger: Apia and Kwajalein once passed over a whole day."""
_DAY = timedelta(days=1)
_STEPS = 3
"""What a time that a rule gives costs more than one that is only looked at, in steps."""


@dataclass(frozen=True, slots=True)
class Instance:
    """One time of an entry: UTC instants, or dates; `identity` as in Occurrence."""

    entry: Entry
    identity: str
    start: Key
    end: Key
    cancelled: bool = False


@dataclass(frozen=True, slots=True)
class _Place:
    """An instance of the master before overrides: its wall time, its name, its own length."""

    local: datetime
    key: Key
    length: Length | None


@dataclass(frozen=True, slots=True)
class _Shift:
    """An override for this and future instances: it applies to keys after `key`."""

    key: Key
    by: timedelta
    entry: Entry


class _Keys:
    """A set of instances, named by instant, by date, or by a date that means a whole day."""

    def __init__(self) -> None:
        self._exact: set[Key] = set()
        self._days: set[date] = set()

    def add(self, stamp: Stamp, *, timed: bool) -> None:
        """Take in what `stamp` names in a series that is timed or of whole days."""
        if not timed:
            self._exact.add(stamp.local.date())
        elif stamp.clock is None:
            self._days.add(stamp.local.date())
        else:
            self._exact.add(stamp.key)

    def add_key(self, key: Key) -> None:
        """Take in one instance."""
        self._exact.add(key)

    def __contains__(self, place: _Place) -> bool:
        return place.key in self._exact or place.local.date() in self._days


def instances_of(
    master: Entry | None, overrides: Iterable[Entry], window: Window, steps: Steps
) -> Iterator[Instance]:
    """The instances that touch the window, overrides first; StepsSpent where it is too much.

    `master` is the entry without RECURRENCE-ID, if there is one; entries without a start are
    not given here.
    """
    overrides = _told_apart(master, overrides)
    for one in overrides:
        for found in _single(one, _override_name(one, master), window):
            yield replace(found, cancelled=True) if _called_off(one, master) else found
    if master is None or master.start is None:
        return
    if not master.repeats:
        start, gone = master.start, bool(master.exceptions or overrides)
        if gone and _Place(start.local, start.key, None) in _taken(master, overrides):
            return
        yield from _single(master, "", window)
        return
    yield from _repeated(master, overrides, window, steps)


def _repeated(
    master: Entry, overrides: tuple[Entry, ...], window: Window, steps: Steps
) -> Iterator[Instance]:
    shifts = _shifts(master, overrides)
    low, high = _reach(master, shifts, window)
    gone = _taken(master, overrides)
    for rule in master.ex_rules:
        for place in _by_rule(master, rule, low, high, steps):
            gone.add_key(place.key)
    seen: set[Key] = set()
    for place in _places(master, low, high, steps):
        if place.key in seen or place in gone:
            continue
        seen.add(place.key)
        entry, start, end = _placed(master, place, shifts)
        if window.meets(start, end):
            cancelled = entry.cancelled or master.cancelled
            yield Instance(entry, named(place.key), start, end, cancelled)


def _called_off(override: Entry, master: Entry | None) -> bool:
    """Whether the series was cancelled as a whole since (RFC 5546 section 3.2.5)."""
    return master is not None and master.cancelled and master.rank >= override.rank


def _single(entry: Entry, identity: str, window: Window) -> Iterator[Instance]:
    if entry.start is None:
        return
    start = entry.start.key
    end = end_of(start, entry.start.clock, entry.length)
    if window.meets(start, end):
        yield Instance(entry, identity, start, end, entry.cancelled)


def _told_apart(master: Entry | None, overrides: Iterable[Entry]) -> tuple[Entry, ...]:
    """The overrides that count: two times of one day are versions of one in a series of days."""
    found: dict[str, Entry] = {}
    for one in overrides:
        name = _override_name(one, master)
        if name not in found or one.rank >= found[name].rank:
            found[name] = one
    return tuple(found.values())


def _override_name(override: Entry, master: Entry | None) -> str:
    stamp = override.recurrence_id
    if stamp is None:
        return ""
    if master is None or not master.whole or master.start is None:
        return named(stamp.key)  # half a series does not say how whole times of it are to be read
    return named(stamp.local.date() if master.start.clock is None else stamp.key)


def named(key: Key) -> str:
    """The identity of an instance: `20270322T103000Z`, or `20270322` for whole days."""
    if isinstance(key, datetime):
        moment = key.astimezone(UTC)
        day = f"{moment.year:04}{moment.month:02}{moment.day:02}"
        return f"{day}T{moment.hour:02}{moment.minute:02}{moment.second:02}Z"
    return f"{key.year:04}{key:%m%d}"


def _taken(master: Entry, overrides: tuple[Entry, ...]) -> _Keys:
    """What EXDATE takes away and overrides replace."""
    gone = _Keys()
    timed = master.start is not None and master.start.clock is not None
    for stamp in master.exceptions:
        gone.add(stamp, timed=timed)
    for one in overrides:
        if one.recurrence_id is not None:
            gone.add(one.recurrence_id, timed=timed)
    return gone


def _shifts(master: Entry, overrides: tuple[Entry, ...]) -> list[_Shift]:
    """The overrides for this and future instances, by the instance they begin at."""
    found = []
    clock = master.start.clock if master.start is not None else None
    for one in overrides:
        stamp = one.recurrence_id
        if not one.and_future or stamp is None or one.start is None:
            continue
        local = clock.local(_instant(stamp, clock)) if clock is not None else stamp.local
        key: Key = clock.instant(local) if clock is not None else local.date()
        found.append(_Shift(key, one.start.local - local, one))
    return sorted(found, key=lambda shift: shift.key)


def _instant(stamp: Stamp, clock: Clock) -> datetime:
    return (stamp.clock or clock).instant(stamp.local)


def _placed(master: Entry, place: _Place, shifts: list[_Shift]) -> tuple[Entry, Key, Key]:
    """(entry, start, end) of an instance, as the last shift before it has it."""
    entry, start = master, place.key
    clock = master.start.clock if master.start is not None else None
    passed = bisect_left(shifts, place.key, key=lambda shift: shift.key)
    if passed and (opening := shifts[passed - 1].entry.start) is not None:
        entry, clock = shifts[passed - 1].entry, opening.clock
        start = Stamp(later(place.local, shifts[passed - 1].by), clock).key
    length = entry.length
    if entry is master and place.length is not None:
        length = place.length
    return entry, start, end_of(start, clock, length)


def _reach(master: Entry, shifts: list[_Shift], window: Window) -> tuple[datetime, datetime]:
    """The wall times between which an instance can begin that touches the window."""
    lengths = [master.length, *(extra.length for extra in master.extras)]
    lengths += [shift.entry.length for shift in shifts]
    longest = max((one.most for one in lengths if one is not None), default=timedelta(0))
    moved = max((abs(shift.by) + _EDGE for shift in shifts), default=timedelta(0))
    clock = master.start.clock if master.start is not None else None
    if clock is None:
        low, high = _midnight(window.start), _midnight(window.end)
    else:
        low, high = clock.local(window.low), clock.local(window.high)
    edge = _EDGE
    if clock is not None and not shifts and not any(one.days for one in lengths if one is not None):
        # Lengths are exact then, and where the clock is not changed near the window neither the
        # instances of a day before it need be looked at: of seconds they are a hundred thousand.
        before = later(window.low, -longest - _EDGE)
        if clock.local(before) == later(low, -longest - _EDGE):
            edge = timedelta(0)
    return later(low, -longest - moved - edge), later(high, moved + _EDGE)


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time())


def _places(master: Entry, low: datetime, high: datetime, steps: Steps) -> Iterator[_Place]:
    """RDATEs, DTSTART and what the rules give, with repetitions: the first of equals counts."""
    start = master.start
    if start is None:
        return
    for extra in sorted(master.extras, key=lambda one: one.length is None):  # periods first
        stamp = extra.start
        if (stamp.clock is None) != (start.clock is None):
            stamp = _alike(stamp, start)
        local = stamp.local
        if start.clock is not None and isinstance(stamp.key, datetime):
            local = start.clock.local(stamp.key)
        yield _Place(local, stamp.key, extra.length)
    yield _Place(start.local, start.key, None)  # behind a period that gives it another length
    for rule in master.rules:
        yield from _by_rule(master, rule, low, high, steps)


def _alike(stamp: Stamp, start: Stamp) -> Stamp:
    """An RDATE of the wrong kind: a day gets the series' time, a time loses its own."""
    if start.clock is None:
        return Stamp(_midnight(stamp.local.date()), None)
    return Stamp(datetime.combine(stamp.local.date(), start.local.time()), start.clock)


def _by_rule(
    master: Entry, rule: Rule, low: datetime, high: datetime, steps: Steps
) -> Iterator[_Place]:
    start = master.start
    if start is None:
        return
    clock = start.clock
    last = _last(rule, clock)
    if last is not None:
        wall = clock.local(last) if clock is not None and isinstance(last, datetime) else last
        if not isinstance(wall, datetime):
            wall = _midnight(wall)
        high = min(high, later(wall, _DAY))  # a repeated hour can lie behind the wall time
    for local in instances(rule, start.local, low, high, steps):
        steps.spend(_STEPS)
        key = clock.instant(local) if clock is not None else local.date()
        # From a DTSTART in a gap on, the clock still shows times that come before it.
        if key >= start.key and (last is None or key <= last):
            yield _Place(local, key, None)


def _last(rule: Rule, clock: Clock | None) -> Key | None:
    """UNTIL as the last instance there may be."""
    until = rule.until
    if until is None:
        return None
    if clock is None:
        return until.local.date()
    if until.is_date:
        return later(clock.instant(later(until.local, _DAY)), -timedelta(seconds=1))
    return until.local.replace(tzinfo=UTC) if until.utc else clock.instant(until.local)
