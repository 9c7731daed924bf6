"""What a class of explained differences tests, one function each."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from functools import lru_cache

from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.process import Item
from tests.calendar.oracles.question import moment
from tests.calendar.oracles.sheet import UTC_ZONE, Event
from tests.calendar.oracles.zones import Zone

_DAY = timedelta(days=1)


def _zone(difference: Difference, item: Item) -> Zone | None:
    return difference.event(item).start.zone


def start_in_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs is earlier by the gap, and ours stands within the first gap-length after it."""
    assert pair.whole is not None
    return _in_gap(_zone(difference, pair.whole[0]), *(moment(one[0]) for one in pair.whole))


def _in_gap(zone: Zone | None, mine: datetime, other: datetime) -> bool:
    if zone is None or other >= mine:
        return False
    gap = mine - other
    before, after = zone.offset(mine - gap - timedelta(seconds=1)), zone.offset(mine)
    return after - before == gap and zone.wall(mine) - zone.wall(other) >= gap


def start_in_fold(difference: Difference, pair: Pair) -> bool:
    """Theirs shows the same wall time, later."""
    assert pair.whole is not None
    zone = _zone(difference, pair.whole[0])
    mine, other = (moment(one[0]) for one in pair.whole)
    return zone is not None and other > mine and zone.wall(mine) == zone.wall(other)


def stuck_after_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs is later by a gap that the series' time of day has met on a day before it.

    It need not be a day of the series: libical walks over the days between as well.
    """
    assert pair.whole is not None
    zone, event = _zone(difference, pair.whole[0]), difference.event(pair.whole[0])
    mine, other = (moment(one[0]) for one in pair.whole)
    if zone is None or event.named is not None or event.rule is None:
        return False
    here = zone.wall(mine)
    return zone.wall(other) - here in _gaps(zone, event.start.wall, here)


@lru_cache(maxsize=2000)
def _gaps(zone: Zone, start: datetime, last: datetime) -> frozenset[timedelta]:
    """The gaps that the time of day of `last` meets from a month before `start` on."""
    days = (last - start).days + 32
    return frozenset(_gap_at(zone, last - timedelta(days=day)) for day in range(days)) - {
        timedelta(0)
    }


def excepted_but_shifted(difference: Difference, pair: Pair) -> bool:
    """Theirs is an excepted instance that misses its exception, since a gap has shifted it."""
    event, zone = difference.event(pair.only), _zone(difference, pair.only)
    if pair.theirs is None or zone is None or event.named is not None:
        return False
    at = zone.wall(moment(pair.theirs[0]))
    gone = event.stamps("EXDATE")
    gone += [one.named for one in difference.sheet.overrides if one.named is not None]
    walls = {zone.wall(one.instant) for one in gone}
    return any(
        at - wall in _gaps(zone, event.start.wall, wall)
        for wall in walls
        if timedelta(0) < at - wall <= _DAY
    )


def excepted_after_another(difference: Difference, pair: Pair) -> bool:
    """Theirs is an instance that an EXDATE names, and there are other EXDATEs before that."""
    event = difference.event(pair.only)
    if pair.theirs is None or event.named is not None:
        return False
    zone = event.start.zone or UTC_ZONE
    at = zone.wall(moment(pair.theirs[0]))
    gone = [zone.wall(one.instant) for one in event.stamps("EXDATE")]
    return at in gone and any(other <= at for other in gone if other != at or gone.count(at) > 1)


def hours_are_exact(difference: Difference, pair: Pair) -> bool:
    """Theirs is off by what the clock was changed since DTSTART, in an hourly series."""
    assert pair.whole is not None
    zone, event = _zone(difference, pair.whole[0]), difference.event(pair.whole[0])
    mine, other = (moment(one[0]) for one in pair.whole)
    if zone is None or event.named is not None or not _fine(event):
        return False
    steps = {*_steps(zone, event.start.instant, other), _gap_at(zone, event.start.wall)}
    apart = abs(zone.wall(other) - zone.wall(mine))
    return apart in {abs(step) for step in steps} - {timedelta(0)}


def hours_after_a_change(difference: Difference, pair: Pair) -> bool:
    """An hourly series has passed a change before the item that one side lacks."""
    event, zone = difference.event(pair.only), _zone(difference, pair.only)
    if zone is None or not _fine(event):
        return False
    steps = _steps(zone, event.start.instant, moment(pair.only[0]))
    return bool(steps or _gap_at(zone, event.start.wall))


def after_a_lost_day(difference: Difference, pair: Pair) -> bool:
    """The zone has passed over a whole day between DTSTART and the item."""
    event, zone = difference.event(pair.only), _zone(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    steps = _steps(zone, event.start.instant, moment(pair.only[0]))
    return any(abs(step) >= timedelta(hours=20) for step in steps)


def _steps(zone: Zone, start: datetime, end: datetime) -> set[timedelta]:
    """By how much the offset differs from that at `start`, but for nothing, up to `end`."""
    days = max(0, (end - start).days)
    looked_at = [start + timedelta(days=day) for day in range(days + 1)]
    opening = zone.offset(start)
    return {zone.offset(one) - opening for one in (*looked_at, end)} - {timedelta(0)}


def skipped_time(difference: Difference, pair: Pair) -> bool:
    """One side has an instance of a skipped time, by either offset, that the other has not."""
    event, zone = difference.event(pair.only), _zone(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    at = moment(pair.only[0])
    return any(
        at in (zone.utc(wall), zone.utc(wall) - _gap_at(zone, wall))
        for wall in event.walls
        if _gap_at(zone, wall)
    )


def day_excepted(difference: Difference, pair: Pair) -> bool:
    """The instance lies on a day that an EXDATE names as a date, in a timed series."""
    event, zone = difference.event(pair.only), _zone(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    at = moment(pair.only[0])
    days = {zone.wall(at).date(), at.date()}  # libical takes the day in UTC
    return any(one.zone is None and one.wall.date() in days for one in event.stamps("EXDATE"))


def _gap_at(zone: Zone, wall: datetime) -> timedelta:
    """The length of the gap that a wall time lies in; nothing where it lies in none."""
    return zone.wall(zone.utc(wall)) - wall


def _fine(event: Event) -> bool:
    return event.rule is not None and event.rule.freq in ("HOURLY", "MINUTELY")


def days_from_the_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs counts the days of DURATION from the skipped time, not from when it starts."""
    assert pair.whole is not None
    item, other = pair.whole
    zone, event = _zone(difference, item), difference.event(item)
    if zone is None or item[0] != other[0] or not event.text("DURATION").startswith("P"):
        return False
    start, by = moment(item[0]), moment(item[1]) - moment(other[1])
    return by > timedelta(0) and _in_gap(zone, start, start - by)


def period_without_length(difference: Difference, pair: Pair) -> bool:
    """The item starts with an RDATE that is a PERIOD, or is one that was moved along."""
    assert pair.whole is not None
    master = difference.sheet.master
    return master is not None and _origin(difference, pair.whole[0]) in master.periods


def _origin(difference: Difference, item: Item) -> datetime:
    """The instance an item was before RANGE=THISANDFUTURE moved it, or itself."""
    event, at = difference.event(item), moment(item[0])
    zone, named = event.start.zone, event.named
    if zone is None or named is None or not event.for_future:
        return at
    return zone.utc(zone.wall(at) - (event.start.wall - zone.wall(named.instant)))


def shifted_between_zones(difference: Difference, pair: Pair) -> bool:
    """Theirs moves wall times of several zones by their difference as if they were of one."""
    assert pair.whole is not None
    if moment(pair.whole[1][0]) in _shifted(difference, pair.whole[0]):
        return True
    return shifted_out_of_reach(difference, Pair(None, pair.whole[1]))


def shifted_out_of_reach(difference: Difference, pair: Pair) -> bool:
    """The same where the two are further apart than belongs together, or outside the window."""
    event, master = difference.event(pair.only), difference.sheet.master
    if not event.for_future or master is None or master.start.zone is None:
        return False
    if pair.ours is not None:
        return bool(_shifted(difference, pair.ours) - {moment(pair.ours[0])})
    zone = master.start.zone
    instants = [zone.utc(wall) for wall in master.walls]
    instants += [one.instant for one in master.stamps("RDATE")]
    at = moment(pair.only[0])
    return any(at in _moved_along(difference, event, one) for one in instants)


def _shifted(difference: Difference, item: Item) -> set[datetime]:
    """Where an item of ours can stand if wall times are moved whichever zone they are of."""
    event = difference.event(item)
    return _moved_along(difference, event, _origin(difference, item))


def _moved_along(difference: Difference, event: Event, origin: datetime) -> set[datetime]:
    master = difference.sheet.master
    zone, named = event.start.zone, event.named
    if zone is None or named is None or master is None or not event.for_future:
        return set()
    home = master.start.zone or zone
    walls = {one.wall for one in master.stamps("RDATE") if one.instant == origin}
    walls |= {zone.wall(origin), home.wall(origin)}
    names = {named.wall, zone.wall(named.instant), home.wall(named.instant)}
    return {zone.utc(wall + (event.start.wall - name)) for wall in walls for name in names}


def override_of_none(difference: Difference, pair: Pair) -> bool:
    """Ours is an override whose RECURRENCE-ID is no instance of the series."""
    if pair.ours is None:
        return False
    event, master = difference.event(pair.ours), difference.sheet.master
    return event.named is not None and master is not None and not master.has(event.named)


def wall_length(difference: Difference, pair: Pair) -> bool:
    """Theirs ends where the wall clock shows the start plus the length; a change lies between."""
    assert pair.whole is not None
    item, other = pair.whole
    event = difference.event(item)
    zone = event.start.zone
    if zone is None or "T" not in item[1] or "T" not in other[1]:
        return False
    start = moment(other[0])
    lengths = {timedelta(seconds=event.seconds)}
    end = event.stamp("DTEND")
    if end is not None and end.zone is not None:
        lengths.add(zone.wall(end.instant) - event.start.wall)
    return any(_shown_at(zone, zone.wall(start) + length, moment(other[1])) for length in lengths)


def length_at_a_change(difference: Difference, pair: Pair) -> bool:
    """DTSTART or DTEND is a skipped or repeated time, and the lengths differ by that much."""
    assert pair.whole is not None
    event = difference.event(pair.whole[0])
    mine, other = (moment(one[1]) - moment(one[0]) for one in pair.whole)
    read = [one for one in (event.start, event.stamp("DTEND")) if one is not None]
    return abs(other - mine) in {
        by for one in read if one.zone for by in _unsure(one.zone, one.wall)
    }


def _unsure(zone: Zone, wall: datetime) -> set[timedelta]:
    """By how much the readings of a skipped or repeated wall time are apart."""
    at = zone.utc(wall)
    later = {by for by in _FOLDS if zone.wall(at + by) == wall}
    return later | ({_gap_at(zone, wall)} - {timedelta(0)})


_FOLDS = tuple(timedelta(minutes=minutes) for minutes in (30, 60, 120))


def _shown_at(zone: Zone, wall: datetime, at: datetime) -> bool:
    """Whether an instant is a reading of a wall time, in a gap by either offset."""
    if zone.wall(at) == wall:
        return True
    mine = zone.utc(wall)
    return zone.wall(mine) != wall and (mine == at or _in_gap(zone, mine, at))


def again(difference: Difference, pair: Pair) -> bool:
    """Theirs has one more of an item that both have, or that an EXDATE takes away once."""
    if pair.theirs is None:
        return False
    if any((one[0], one[3]) == (pair.theirs[0], pair.theirs[3]) for one in difference.ours):
        return True
    event, at = difference.event(pair.theirs), moment(pair.theirs[0])
    zone = event.start.zone or UTC_ZONE
    walls, gone = (
        {zone.wall(one.instant) for one in event.stamps(name)} for name in ("RDATE", "EXDATE")
    )
    return zone.wall(at) in walls & gone


def override_of_excepted(difference: Difference, pair: Pair) -> bool:
    """Ours has an override whose instance an EXDATE names."""
    if pair.ours is None:
        return False
    event, master = difference.event(pair.ours), difference.sheet.master
    return event.named is not None and master is not None and _excepted(master, event)


def _excepted(master: Event, override: Event) -> bool:
    assert override.named is not None
    wall = master.start.zone or override.named.zone
    for one in master.stamps("EXDATE"):
        if one.zone is not None or master.start.zone is None:
            if one.instant == override.named.instant:
                return True
        elif wall is not None and wall.wall(override.named.instant).date() == one.wall.date():
            return True
    return False


def named_elsewhere(difference: Difference, pair: Pair) -> bool:
    """The override is not in theirs; the instance it replaces is."""
    master = difference.sheet.master
    if master is None or master.start.zone is None:
        return False
    for one in difference.sheet.overrides:
        named = one.named
        if (
            named is None
            or named.zone is None
            or named.zone.name in ("UTC", master.start.zone.name)
        ):
            continue
        if pair.ours is not None and pair.ours[3] == one.text("SUMMARY"):
            return not one.for_future or moment(pair.ours[0]) == one.start.instant
        if pair.theirs is not None and _origin(difference, pair.theirs) == named.instant:
            return True
    return False


def same_wall_time(difference: Difference, pair: Pair) -> bool:
    """Ours has an instance on the day of an EXDATE or RECURRENCE-ID, as some clock shows it."""
    if pair.ours is None or "T" not in pair.ours[0]:
        return False
    event, master = difference.event(pair.ours), difference.sheet.master
    if master is None or master.start.zone is None:
        return False
    if event.named is not None and not event.for_future:
        return False
    named = master.stamps("EXDATE")
    named += [one.named for one in difference.sheet.overrides if one.named is not None]
    zone, at = master.start.zone, _origin(difference, pair.ours)
    shown = {zone.wall(at).date(), at.date()}
    return any(shown & {one.wall.date(), zone.wall(one.instant).date()} for one in named)


def at_odd_until(difference: Difference, pair: Pair) -> bool:
    """UNTIL is local or a date in a timed series, and the item starts within a day of it."""
    event = difference.event(pair.only)
    until = re.search(r"UNTIL=([\dTZ]+)", event.text("RRULE"))
    if until is None or until[1].endswith("Z") or event.start.zone is None:
        return False
    last = event.start.zone.utc(datetime.fromisoformat(until[1]))
    return abs(moment(pair.only[0]) - last) <= timedelta(hours=38)


def start_off_rule(difference: Difference, pair: Pair) -> bool:
    """It is DTSTART itself, or with COUNT the last one of either side."""
    event = difference.event(pair.only)
    if event.rule is None or event.rule.on_rule():
        return False
    if moment(pair.only[0]) == event.start.instant:
        return True
    if "COUNT=" not in event.text("RRULE"):
        return False
    both = [one for one in (*difference.ours, *difference.theirs) if one[3] == pair.only[3]]
    return pair.only[0] == max(one[0] for one in both)


def master_cancelled(difference: Difference, pair: Pair) -> bool:
    """Ours is an override that goes with its cancelled series."""
    assert pair.whole is not None
    master = difference.sheet.master
    return (
        pair.whole[0][2]
        and difference.event(pair.whole[0]).named is not None
        and master is not None
        and master.text("STATUS") == "CANCELLED"
    )
