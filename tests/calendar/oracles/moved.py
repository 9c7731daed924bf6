"""What classes test of instances that RANGE=THISANDFUTURE has moved."""

from __future__ import annotations

from datetime import datetime, timedelta

from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.process import Item
from tests.calendar.oracles.question import moment
from tests.calendar.oracles.sheet import Event
from tests.calendar.oracles.times import FOLDS, gap_at

_FAR = timedelta(days=6)
"""What is drawn is moved by three days at most, and zones are a day apart."""


def origin(difference: Difference, item: Item) -> datetime:
    """The instance an item was before RANGE=THISANDFUTURE moved it, or itself."""
    event, at = difference.event(item), moment(item[0])
    zone, named = event.start.zone, event.named
    if named is None or not event.for_future:
        return at
    if zone is None:
        return at if named.zone is not None else at - (event.start.wall - named.wall)
    return zone.utc(zone.wall(at) - (event.start.wall - zone.wall(named.instant)))


def _shifted(difference: Difference, item: Item) -> set[datetime]:
    """Where an item of ours can stand if wall times are moved whichever zone they are of."""
    event = difference.event(item)
    return _moved_along(difference, event, origin(difference, item))


def _moved_along(
    difference: Difference, event: Event, origin: datetime, written: datetime | None = None
) -> set[datetime]:
    """Where the range can move the instance to; `written` is its wall time, in a gap another."""
    master = difference.sheet.master
    zone, named = event.start.zone, event.named
    if zone is None or named is None or master is None or not event.for_future:
        return set()
    home = master.start.zone or zone
    walls = {one.wall for one in master.stamps("RDATE") if one.instant == origin}
    walls |= {zone.wall(origin), home.wall(origin)}
    walls |= {written} if written is not None else set()
    names = {named.wall, zone.wall(named.instant), home.wall(named.instant)}
    exact = event.start.instant - named.instant
    shifts = {exact, *(event.start.wall - name for name in names)}
    found = {origin + exact, *(zone.utc(wall + by) for wall in walls for by in shifts)}
    again = {one + by for one in found for by in FOLDS if zone.wall(one + by) == zone.wall(one)}
    moved = {wall + by for wall in walls for by in shifts}
    before = {zone.utc(wall) - gap_at(zone, wall) for wall in moved}  # with the offset after a gap
    return found | again | before


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
    zone, at = master.start.zone, moment(pair.only[0])
    here = zone.wall(at)
    near = [wall for wall in master.walls if abs(wall - here) <= _FAR]
    near += [zone.wall(one.instant) for one in master.stamps("RDATE")]
    return any(at in _moved_along(difference, event, zone.utc(wall), wall) for wall in near)


def repeated_into_range(difference: Difference, pair: Pair) -> bool:
    """Ours is a repeated time before the first of a range, whose second reading lies behind it."""
    event = difference.event(pair.only)
    zone = event.start.zone
    if pair.ours is None or zone is None or event.named is not None:
        return False
    at = moment(pair.ours[0])
    later = [at + by for by in FOLDS if zone.wall(at + by) == zone.wall(at)]
    begins = [
        one.named.instant for one in difference.sheet.overrides if one.for_future and one.named
    ]
    return any(at < begin <= one for one in later for begin in begins)


def moved_from_a_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs is off by the gap in which the instance lay, or the one that the range begins with."""
    assert pair.whole is not None
    event, master = difference.event(pair.whole[0]), difference.sheet.master
    zone = event.start.zone
    if zone is None or event.named is None or master is None or not event.for_future:
        return False
    mine, other = (zone.wall(moment(one[0])) for one in pair.whole)
    shift = event.start.wall - zone.wall(event.named.instant)
    meant = {event.named.instant, origin(difference, pair.whole[0])}
    walls = [*master.walls, *(one.wall for one in master.stamps("RDATE") if one.zone == zone)]
    return any(
        gap_at(zone, wall) == abs(other - mine)
        and (
            zone.utc(wall) in meant
            or {wall + shift, zone.wall(zone.utc(wall)) + shift} & {mine, other}
        )
        for wall in walls
        if gap_at(zone, wall)
    )
