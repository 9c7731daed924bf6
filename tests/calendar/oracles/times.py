"""What classes test of the times of an item that both sides have."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from zoneinfo import available_timezones

from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.process import Item
from tests.calendar.oracles.question import moment
from tests.calendar.oracles.sheet import UTC_ZONE, Event
from tests.calendar.oracles.zones import Zone, iana

FOLDS = tuple(timedelta(minutes=minutes) for minutes in (30, 60, 120))
GAPS = (*FOLDS, timedelta(days=1))
"""By how much clocks are changed."""


def zone_of(difference: Difference, item: Item) -> Zone | None:
    """The zone of the component an item comes from; None where it takes whole days."""
    return difference.event(item).start.zone


def _zones_of(difference: Difference, item: Item) -> list[Zone]:
    """The zones its start may be written in: that of its component, that of an RDATE for it."""
    event, at = difference.event(item), moment(item[0])
    added = [one.zone for one in event.stamps("RDATE") if one.instant == at]
    return [zone for zone in (event.start.zone, *added) if zone is not None]


def start_in_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs is earlier by the gap, and ours stands within the first gap-length after it."""
    assert pair.whole is not None
    mine, other = (moment(one[0]) for one in pair.whole)
    return any(in_gap(zone, mine, other) for zone in _zones_of(difference, pair.whole[0]))


def in_gap(zone: Zone | None, mine: datetime, other: datetime) -> bool:
    """Whether the two are the readings of one skipped time, `other` with the offset after it."""
    if zone is None or other >= mine:
        return False
    gap = mine - other
    before, after = zone.offset(mine - gap - timedelta(seconds=1)), zone.offset(mine)
    return after - before == gap and zone.wall(mine) - zone.wall(other) >= gap


def start_in_fold(difference: Difference, pair: Pair) -> bool:
    """Theirs shows the same wall time, later."""
    assert pair.whole is not None
    mine, other = (moment(one[0]) for one in pair.whole)
    return other > mine and any(
        zone.wall(mine) == zone.wall(other) for zone in _zones_of(difference, pair.whole[0])
    )


def stuck_after_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs is later by a gap that the series' time of day has met on a day before it.

    It need not be a day of the series: libical walks over the days between as well.
    """
    assert pair.whole is not None
    zone, event = zone_of(difference, pair.whole[0]), difference.event(pair.whole[0])
    mine, other = (moment(one[0]) for one in pair.whole)
    if zone is None or event.named is not None or event.rule is None:
        return False
    here = zone.wall(mine)
    return zone.wall(other) - here in gaps(zone, event.start.wall, here)


@lru_cache(maxsize=2000)
def gaps(zone: Zone, start: datetime, last: datetime) -> frozenset[timedelta]:
    """The gaps that the time of day of `last` meets from a month before `start` on, to a year
    after: libical reckons a whole year, or month, before it gives its first instance."""
    walls = [last - timedelta(days=day) for day in range(-366, (last - start).days + 32)]
    return frozenset(gap_at(zone, wall) for wall in (start, *walls)) - {timedelta(0)}


def hours_are_exact(difference: Difference, pair: Pair) -> bool:
    """Theirs is off by what the clock was changed since DTSTART, in an hourly series."""
    assert pair.whole is not None
    zone, event = zone_of(difference, pair.whole[0]), difference.event(pair.whole[0])
    mine, other = (moment(one[0]) for one in pair.whole)
    if zone is None or event.named is not None or not is_fine(event):
        return False
    found = {*steps(zone, event.start.instant, other), gap_at(zone, event.start.wall)}
    apart = abs(zone.wall(other) - zone.wall(mine))
    return apart in {abs(step) for step in found} - {timedelta(0)}


def steps(zone: Zone, start: datetime, end: datetime) -> set[timedelta]:
    """By how much the offset differs from that at `start`, but for nothing, up to `end`."""
    days = max(0, (end - start).days)
    looked_at = [start + timedelta(days=day) for day in range(days + 1)]
    opening = zone.offset(start)
    return {zone.offset(one) - opening for one in (*looked_at, end)} - {timedelta(0)}


def gap_at(zone: Zone, wall: datetime) -> timedelta:
    """The length of the gap that a wall time lies in; nothing where it lies in none."""
    return zone.wall(zone.utc(wall)) - wall


def is_fine(event: Event) -> bool:
    """Whether its rule steps by hours or minutes."""
    return event.rule is not None and event.rule.freq in ("HOURLY", "MINUTELY")


def days_from_the_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs counts the days of DURATION from the skipped time, not from when it starts."""
    assert pair.whole is not None
    item, other = pair.whole
    zone, event = zone_of(difference, item), difference.event(item)
    if zone is None or item[0] != other[0] or not event.text("DURATION").startswith("P"):
        return False
    start, by = moment(item[0]), moment(item[1]) - moment(other[1])
    return by > timedelta(0) and in_gap(zone, start, start - by)


def wall_length(difference: Difference, pair: Pair) -> bool:
    """Theirs ends where the wall clock shows the start plus the length, ours as the RFC says.

    For an RDATE it is the clock of the zone it is written in, where the length is exact.
    """
    assert pair.whole is not None
    item, other = pair.whole
    event = difference.event(item)
    zone = event.start.zone
    if zone is None or "T" not in item[1] or "T" not in other[1] or not _ends_rightly(event, item):
        return False
    ends = wall_ends(event, zone, moment(other[0]))
    if any(_shown_at(zone, end, moment(other[1])) for end in ends):
        return True
    return not event.length[0] and _ends_by_added(event, pair.whole)


def wall_ends(event: Event, zone: Zone, start: datetime) -> list[datetime]:
    """The wall times at which an instance ends if its length is one of the wall clock."""
    lengths = {event.hours}
    end = event.stamp("DTEND")
    if end is not None and end.zone is not None:
        lengths.add(zone.wall(end.instant) - event.start.wall)
    return [wall + length for wall in _written(zone, start) for length in lengths]


def _written(zone: Zone, start: datetime) -> list[datetime]:
    """The wall times that an instance may be written with: as it shows, or skipped, read with
    either offset."""
    shown = zone.wall(start)
    skipped = (shown + by * sign for by in GAPS for sign in (-1, 1))
    return [shown, *(wall for wall in skipped if gap_at(zone, wall) == abs(wall - shown))]


def days_of_added(difference: Difference, pair: Pair) -> bool:
    """Theirs counts the days of DURATION in the zone an RDATE is written in, ours in DTSTART's."""
    assert pair.whole is not None
    event = difference.event(pair.whole[0])
    if event.start.zone is None or not event.length[0]:
        return False
    return _ends_rightly(event, pair.whole[0]) and _ends_by_added(event, pair.whole)


def _ends_rightly(event: Event, item: Item) -> bool:
    """Whether the days of its length are counted by the calendar, and the rest exactly."""
    start, end = (moment(one) for one in item[:2])
    return ends_at(event, start) == end


def ends_at(event: Event, start: datetime) -> datetime:
    """When an instance ends: the days of its length by the calendar, and the rest exactly."""
    days, exact = event.length
    zone = event.start.zone or UTC_ZONE
    return (zone.utc(zone.wall(start) + days) if days else start) + exact


def _ends_by_added(event: Event, whole: tuple[Item, Item]) -> bool:
    """Whether theirs is an RDATE and ends where the clock of its zone shows the start plus the
    length."""
    start, end = (moment(one) for one in whole[1][:2])
    return any(
        one.zone is not None and _shown_at(one.zone, one.wall + event.hours, end)
        for one in event.stamps("RDATE")
        if one.instant == start
    )


def length_by_name(difference: Difference, pair: Pair) -> bool:
    """Ours is as long as it is in the zone of that name, with which its own rules agree on each
    day of the window; theirs is as long as by these, exactly or by the wall clock."""
    assert pair.whole is not None
    event, question = difference.event(pair.whole[0]), difference.question
    zone, end = event.start.zone, event.stamp("DTEND")
    if zone is None or zone.name not in question.own or zone.name not in available_timezones():
        return False
    if end is None or end.zone != zone:
        return False
    named = iana(zone.name, event.start.wall.year)
    days = range((question.high - question.low).days + 1)
    if any(zone.offset(one) != named.offset(one) for one in _days_from(question.low, days)):
        return False
    mine, other = (moment(one[1]) - moment(one[0]) for one in pair.whole)
    by_name = named.utc(end.wall) - named.utc(event.start.wall)
    return mine == by_name and other in (event.hours, end.wall - event.start.wall)


def _days_from(low: datetime, days: range) -> list[datetime]:
    return [low + timedelta(days=day) for day in days]


def length_at_a_change(difference: Difference, pair: Pair) -> bool:
    """DTSTART or DTEND is a skipped or repeated time, and the lengths differ by that much, theirs
    exactly or by the wall clock."""
    assert pair.whole is not None
    event = difference.event(pair.whole[0])
    if not _ends_rightly(event, pair.whole[0]):
        return False
    mine, other = (moment(one[1]) - moment(one[0]) for one in pair.whole)
    lengths, zone = {other}, event.start.zone
    if zone is not None:
        start, end = (zone.wall(moment(one)) for one in pair.whole[1][:2])
        lengths.add(end - start)
    return any(abs(one - mine) in unsure_length(event) for one in lengths)


def unsure_length(event: Event) -> set[timedelta]:
    """By how much its length differs if DTSTART or DTEND is the other reading of its time."""
    read = [one for one in (event.start, event.stamp("DTEND")) if one is not None]
    return {by for one in read if one.zone for by in _unsure(one.zone, one.wall)}


def _unsure(zone: Zone, wall: datetime) -> set[timedelta]:
    """By how much the readings of a skipped or repeated wall time are apart."""
    at = zone.utc(wall)
    later = {by for by in FOLDS if zone.wall(at + by) == wall}
    return later | ({gap_at(zone, wall)} - {timedelta(0)})


def _shown_at(zone: Zone, wall: datetime, at: datetime) -> bool:
    """Whether an instant is a reading of a wall time, in a gap by either offset."""
    if zone.wall(at) == wall:
        return True
    mine = zone.utc(wall)
    return zone.wall(mine) != wall and (mine == at or in_gap(zone, mine, at))


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
