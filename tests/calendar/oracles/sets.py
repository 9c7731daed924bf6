"""What classes test of items that only one side has, and of those that differ as a whole."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.literal import Reading
from tests.calendar.oracles.moved import origin
from tests.calendar.oracles.process import Item
from tests.calendar.oracles.question import moment
from tests.calendar.oracles.sheet import UTC_ZONE, Event, Stamp
from tests.calendar.oracles.times import (
    GAPS,
    ends_at,
    gap_at,
    gaps,
    in_gap,
    is_fine,
    length_at_a_change,
    steps,
    unsure_length,
    wall_ends,
    wall_length,
    zone_of,
)

_DAY = timedelta(days=1)


def shifted_onto_another(difference: Difference, pair: Pair) -> bool:
    """Ours is missing in theirs: shifted by a gap it falls onto another one, or behind UNTIL."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.ours is None or zone is None or event.named is not None:
        return False
    here = zone.wall(moment(pair.ours[0]))
    walls = {zone.wall(moment(one[0])) for one in difference.theirs if "T" in one[0]}
    last = zone.wall(event.until) if event.until is not None else None
    return any(
        here + gap in walls or (last is not None and here + gap > last)
        for gap in gaps(zone, event.start.wall, here)
    )


def added_but_shifted(difference: Difference, pair: Pair) -> bool:
    """Theirs is a ruled instance that a gap has shifted off DTSTART, or off an RDATE for it."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.theirs is None or zone is None or event.named is not None:
        return False
    at = zone.wall(moment(pair.theirs[0]))
    listed = [event.start, *event.stamps("RDATE")]
    ruled = {zone.wall(one.instant) for one in listed if one.zone}.intersection(event.walls)
    return any(at - wall in gaps(zone, event.start.wall, wall) for wall in ruled)


def excepted_but_shifted(difference: Difference, pair: Pair) -> bool:
    """Theirs is an excepted instance that misses its exception, since a gap has shifted it."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.theirs is None or zone is None or event.named is not None:
        return False
    at = zone.wall(moment(pair.theirs[0]))
    gone = event.stamps("EXDATE")
    gone += [one.named for one in difference.sheet.overrides if one.named is not None]
    walls = {zone.wall(one.instant) for one in gone}
    return any(
        at - wall in gaps(zone, event.start.wall, wall)
        for wall in walls
        if timedelta(0) < at - wall <= _DAY
    )


def exception_read_otherwise(difference: Difference, pair: Pair) -> bool:
    """An EXDATE or RECURRENCE-ID is a skipped or repeated time: one side keeps what it names by
    one reading, the other what it names by the other."""
    event = difference.event(pair.only)
    if event.named is not None and not event.for_future:
        return False
    master, at = difference.sheet.master, origin(difference, pair.only)
    if master is None:
        return False
    home = master.start.zone or UTC_ZONE
    for one in _exceptions(difference, master):
        zone = one.zone or home
        others = {
            one.instant + by * sign
            for by in GAPS
            for sign in (1, -1)
            if zone.wall(one.instant + by) == one.wall
            or in_gap(zone, one.instant, one.instant - by)
        }
        if others and at in {one.instant, *others}:
            return True
    first = home.utc(home.wall(at))
    return first != at and any(one.instant == first for one in _exceptions(difference, master))


def _exceptions(difference: Difference, master: Event) -> list[Stamp]:
    """What EXDATEs and RECURRENCE-IDs name."""
    named = [one.named for one in difference.sheet.overrides if one.named is not None]
    return [*master.stamps("EXDATE"), *named]


def repeated_past_until(difference: Difference, pair: Pair) -> bool:
    """Ours is a repeated time before UNTIL, whose second reading lies behind it."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.ours is None or zone is None or event.until is None:
        return False
    at = moment(pair.ours[0])
    return any(zone.wall(at + by) == zone.wall(at) and at + by > event.until for by in GAPS)


def until_at_a_change(difference: Difference, pair: Pair) -> bool:
    """UNTIL lies within a day of a clock change, and the item within two hours of UNTIL."""
    master = difference.sheet.master
    if master is None or master.until is None or master.start.zone is None:
        return False
    zone, until = master.start.zone, master.until
    near = abs(origin(difference, pair.only) - until) <= timedelta(hours=2)
    return near and zone.offset(until - _DAY) != zone.offset(until + _DAY)


def excepted_after_another(difference: Difference, pair: Pair) -> bool:
    """Theirs is an instance that an EXDATE names, and there are other EXDATEs before that."""
    master = difference.sheet.master
    if pair.theirs is None or master is None or not _of_series(difference, pair.theirs):
        return False
    zone = master.start.zone or UTC_ZONE
    at = zone.wall(origin(difference, pair.theirs))
    gone = [zone.wall(one.instant) for one in master.stamps("EXDATE")]
    return at in gone and any(other <= at for other in gone if other != at or gone.count(at) > 1)


def start_excepted(difference: Difference, pair: Pair) -> bool:
    """Theirs is DTSTART itself, which an EXDATE names."""
    master = difference.sheet.master
    if pair.theirs is None or master is None or pair.theirs[3] != master.text("SUMMARY"):
        return False
    at = master.start.instant
    return moment(pair.theirs[0]) == at and any(
        one.instant == at for one in master.stamps("EXDATE")
    )


def counted_over_a_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs goes on behind our last one, by no more than a gap that the series has passed: COUNT
    is spent on each skipped time, or on the instant it falls together with only once."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.theirs is None or zone is None or event.named is not None or not is_fine(event):
        return False
    if "COUNT=" not in event.text("RRULE"):
        return False
    at = moment(pair.theirs[0])
    ours = [moment(one[0]) for one in difference.ours if one[3] == pair.theirs[3]]
    passed = [step for step in steps(zone, event.start.instant, at) if step > timedelta(0)]
    return bool(ours) and any(timedelta(0) < at - max(ours) <= step for step in passed)


def counted_from_a_gap(difference: Difference, pair: Pair) -> bool:
    """Ours is among the last of a counted series that begins in a gap, by no more than theirs has
    more on the first day: it has spent COUNT on times before DTSTART, which it shifts behind it."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.ours is None or zone is None or event.named is not None:
        return False
    if "COUNT=" not in event.text("RRULE") or not gap_at(zone, event.start.wall):
        return False
    ours, theirs = (
        [moment(one[0]) for one in items if one[3] == pair.ours[3] and "T" in one[0]]
        for items in (difference.ours, difference.theirs)
    )
    first = event.start.wall.date()
    more = sum(zone.wall(one).date() == first for one in theirs) - sum(
        zone.wall(one).date() == first for one in ours
    )
    return sum(one >= moment(pair.ours[0]) for one in ours) <= more


def before_a_start_in_a_gap(difference: Difference, pair: Pair) -> bool:
    """Theirs comes before DTSTART, which a gap has shifted, and after it by the clock alone."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if pair.theirs is None or zone is None or event.named is not None:
        return False
    at = moment(pair.theirs[0])
    return (
        bool(gap_at(zone, event.start.wall))
        and event.start.wall < zone.wall(at)
        and (at < event.start.instant)
    )


def hours_after_a_change(difference: Difference, pair: Pair) -> bool:
    """An hourly series has passed a change before the item that one side lacks."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if zone is None or not is_fine(event):
        return False
    found = steps(zone, event.start.instant, moment(pair.only[0]))
    return bool(found or gap_at(zone, event.start.wall))


def after_a_lost_day(difference: Difference, pair: Pair) -> bool:
    """The zone has passed over a whole day between DTSTART and the item."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    found = steps(zone, event.start.instant, moment(pair.only[0]))
    found |= {gap_at(zone, event.start.wall)}
    return any(abs(step) >= timedelta(hours=20) for step in found)


def skipped_time(difference: Difference, pair: Pair) -> bool:
    """One side has an instance of a skipped time, by either offset, that the other has not."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    at = moment(pair.only[0])
    read_after = any(
        at == zone.utc(wall) - gap_at(zone, wall) for wall in event.walls if gap_at(zone, wall)
    )
    return read_after or any(in_gap(zone, at, at - gap) for gap in GAPS)


def override_of_skipped(difference: Difference, pair: Pair) -> bool:
    """Ours replaces an instance at a skipped or repeated time, which stands in theirs read the
    other way."""
    if pair.ours is None:
        return False
    named, master = difference.event(pair.ours).named, difference.sheet.master
    if named is None or master is None or master.start.zone is None:
        return False
    zone, at = master.start.zone, named.instant
    starts = {moment(one[0]) for one in difference.theirs if "T" in one[0]}
    later = {at + by for by in GAPS if zone.wall(at + by) == zone.wall(at)}
    return bool(later & starts) or any(in_gap(zone, at, one) for one in starts)


def day_excepted(difference: Difference, pair: Pair) -> bool:
    """The instance lies on a day that an EXDATE names as a date, in a timed series."""
    event, zone = difference.event(pair.only), zone_of(difference, pair.only)
    if zone is None or event.named is not None:
        return False
    at = moment(pair.only[0])
    days = {zone.wall(at).date(), at.date()}  # libical takes the day in UTC
    return any(one.zone is None and one.wall.date() in days for one in event.stamps("EXDATE"))


def period_without_length(difference: Difference, pair: Pair) -> bool:
    """An RDATE that is a PERIOD starts within a day of the item: RIE looks for its wall time in
    UTC, misses the instance that is meant and finds another one."""
    assert pair.whole is not None
    master = difference.sheet.master
    if master is None:
        return False
    at = origin(difference, pair.whole[0])
    return any(abs(one - at) <= timedelta(hours=26) for one in master.periods)


def override_of_none(difference: Difference, pair: Pair) -> bool:
    """Ours is an override whose RECURRENCE-ID is no instance of the series."""
    if pair.ours is None:
        return False
    event, master = difference.event(pair.ours), difference.sheet.master
    return event.named is not None and master is not None and not master.has(event.named)


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
            # Named in the series' own zone, it may replace an RDATE that is written in another.
            if pair.theirs is not None and named is not None and _added_elsewhere(master, named):
                return moment(pair.theirs[0]) == named.instant
            continue
        if pair.ours is not None and pair.ours[3] == one.text("SUMMARY"):
            return not one.for_future or moment(pair.ours[0]) == one.start.instant
        if pair.theirs is not None and origin(difference, pair.theirs) == named.instant:
            return True
        # It is looked for by its wall time, as if that were one of the series' own zone.
        if pair.ours is not None and master.start.zone.wall(moment(pair.ours[0])) == named.wall:
            return True
    return False


def named_alike(difference: Difference, pair: Pair) -> bool:
    """Ours is an override whose instance the series' clock shows at the wall time by which another
    one is named in a third zone; or theirs is what that one moves, moved as this one is."""
    master = difference.sheet.master
    if master is None or master.start.zone is None:
        return False
    event, home = difference.event(pair.only), master.start.zone
    if event.named is None or event.named.zone is None:
        return False
    own = ("UTC", home.name)
    alike = [
        one
        for one in difference.sheet.overrides
        if one.named is not None
        and one.named.zone is not None
        and one.named.zone.name not in own
        and one.named.wall == home.wall(event.named.instant)
        and one.named.instant != event.named.instant
    ]
    if pair.ours is not None:
        return bool(alike) and moment(pair.ours[0]) == event.start.instant
    zone, by = event.start.zone, event.start.wall - event.named.wall
    begins = [one.named.instant for one in alike if one.for_future and one.named is not None]
    return zone is not None and any(
        zone.utc(wall + by) == moment(pair.only[0])
        for wall in master.walls
        if any(home.utc(wall) >= begin for begin in begins)
    )


def _added_elsewhere(master: Event, named: Stamp) -> bool:
    """Whether it names an RDATE that is written in another zone."""
    return any(
        one.instant == named.instant
        and one.zone is not None
        and (named.zone is None or one.zone.name != named.zone.name)
        for one in master.stamps("RDATE")
    )


def same_wall_time(difference: Difference, pair: Pair) -> bool:
    """Ours has an instance on the day of an EXDATE or RECURRENCE-ID, as some clock shows it, or
    an override whose instance the clocks of its zone and of UTC show at an EXDATE's time."""
    if pair.ours is None or "T" not in pair.ours[0]:
        return False
    event, master = difference.event(pair.ours), difference.sheet.master
    if master is None or master.start.zone is None:
        return False
    if event.named is not None and not event.for_future:
        shown = _walls(master, event.named)
        gone = [one for one in master.stamps("EXDATE") if one.zone is not None]
        return any(shown & {one.wall, UTC_ZONE.wall(one.instant)} for one in gone)
    named = master.stamps("EXDATE")
    named += [one.named for one in difference.sheet.overrides if one.named is not None]
    zone, at = master.start.zone, origin(difference, pair.ours)
    days = {zone.wall(at).date(), at.date()}
    return any(days & {wall.date() for wall in _walls(master, one)} for one in named)


def _walls(master: Event, named: Stamp) -> set[datetime]:
    """What clocks show at a time: those of the zone it is written in, of the series', of UTC."""
    home = master.start.zone or UTC_ZONE
    return {named.wall, home.wall(named.instant), UTC_ZONE.wall(named.instant)}


def at_odd_until(difference: Difference, pair: Pair) -> bool:
    """UNTIL is local or a date in a timed series, and the item starts within a day of it; ours
    are up to that local time, or to the end of that day."""
    master = difference.sheet.master
    if master is None or master.start.zone is None:
        return False
    until = re.search(r"UNTIL=([\dTZ]+)", master.text("RRULE"))
    if until is None or until[1].endswith("Z"):
        return False
    last = master.start.zone.utc(datetime.fromisoformat(until[1]))
    event = difference.event(pair.only)
    at = origin(difference, pair.only)
    if event.named is not None and not event.for_future:
        at = event.named.instant  # the override goes with its instance
    near = abs(at - last) <= timedelta(hours=38)
    return near and _is_read(master, at) == (pair.ours is not None)


def start_off_rule(difference: Difference, pair: Pair) -> bool:
    """It is DTSTART itself, in theirs perhaps at the rule's first time of that day, or of its week
    if its months do not count there; or with COUNT the last one of either side."""
    master = difference.sheet.master
    if master is None or master.rule is None or master.rule.on_rule():
        return False
    if pair.ours is not None and _replaces(difference.event(pair.ours), master):
        return True
    at = origin(difference, pair.only)
    if not _of_series(difference, pair.only):
        return False
    if _is_read(master, at) != (pair.ours is not None):  # ours is the literal reading
        return False
    if at == master.start.instant or _in_another_week(master, at):
        return True
    wall = (master.start.zone or UTC_ZONE).wall(at)
    if pair.theirs is not None and wall in (master.rule.first_time(), _without_months(master)):
        return True
    if "COUNT=" not in master.text("RRULE"):
        return False
    added = {one.instant for one in master.stamps("RDATE")} - {at}
    side = difference.ours if pair.ours is not None else difference.theirs
    return pair.only[0] == max(
        one[0]
        for one in side
        if _of_series(difference, one) and origin(difference, one) not in added
    )


def _without_months(master: Event) -> datetime | None:
    """The first time in the week of DTSTART that a weekly rule gives if its months are left out:
    where ical.js begins, in place of DTSTART."""
    parts = master.text("RRULE").split(";")
    if "FREQ=WEEKLY" not in parts or not any(one.startswith("BYMONTH=") for one in parts):
        return None
    left = [one for one in parts if not one.startswith(("BYMONTH=", "COUNT=", "UNTIL="))]
    start = master.start.wall
    found = Reading(";".join(left), start).instances(start + timedelta(days=7))
    return next((one for one in found if one != start), None)


def of_the_rule(difference: Difference, pair: Pair) -> bool:
    """Whether another reading of the rule can have led to it: ours are the literal instances, or
    overrides; theirs are others, ours once more, or excepted: ical.js walks along EXDATEs beside
    the rule."""
    master = difference.sheet.master
    if master is None or ("start" not in pair.differences() and pair.whole is not None):
        return False
    mine, other = pair.ours, pair.theirs
    read = mine is None or (
        not _of_series(difference, mine) or _is_read(master, origin(difference, mine))
    )
    if other is None:
        return read
    at = origin(difference, other)
    gone = any(one.instant == at for one in master.stamps("EXDATE"))
    more = other[0] in {one[0] for one in difference.ours if one[3] == other[3]}
    return read and (gone or more or not _is_read(master, at))


def _is_read(master: Event, at: datetime) -> bool:
    """Whether the rule, read word by word, has an instance then, DTSTART among them."""
    if master.until is not None and at > max(master.until, master.start.instant):
        return False
    zone = master.start.zone or UTC_ZONE
    return any(zone.utc(wall) == at for wall in master.walls)


def _in_another_week(master: Event, at: datetime) -> bool:
    """Whether INTERVAL alone decides on an instance: its first week or month is undefined, too."""
    assert master.rule is not None
    if int(master.rule.parts.get("INTERVAL", "1")) == 1:
        return False
    free = ";".join(
        part
        for part in master.text("RRULE").split(";")
        if not part.startswith(("INTERVAL=", "COUNT=", "UNTIL="))
    )
    wall = (master.start.zone or UTC_ZONE).wall(at)
    try:
        return wall in Reading(free, master.start.wall).instances(wall + timedelta(seconds=1))
    except OverflowError:  # too long to be read word by word: then nothing is explained by it
        return False


def longer_into_the_window(difference: Difference, pair: Pair) -> bool:
    """It begins before the window and reaches into it on one side only, where DTSTART or DTEND
    is a skipped or repeated time: theirs is longer than it is exactly, or too short."""
    if "T" not in pair.only[0]:
        return False
    low = difference.question.low
    event, start = difference.event(pair.only), moment(pair.only[0])
    end = ends_at(event, start)
    if start >= low or not (event.named or _is_read(event, start)):
        return False
    mine = (pair.only[0], f"{end:%Y-%m-%dT%H:%M:%SZ}", *pair.only[2:])
    if pair.theirs is not None:
        whole = Pair(mine, pair.theirs)
        longer = length_at_a_change(difference, whole) or wall_length(difference, whole)
        return end <= low and longer
    return mine == pair.ours and any(end - by <= low for by in unsure_length(event))


def shorter_than_the_window(difference: Difference, pair: Pair) -> bool:
    """Ours begins before the window and reaches into it; by the wall clock it ends before that."""
    if pair.ours is None or "T" not in pair.ours[0]:
        return False
    low, (start, end) = difference.question.low, (moment(one) for one in pair.ours[:2])
    event, zone = difference.event(pair.ours), zone_of(difference, pair.ours)
    if zone is None or start >= low or ends_at(event, start) != end:
        return False
    return any(zone.utc(wall) <= low for wall in wall_ends(event, zone, start))


def period_begun_before(difference: Difference, pair: Pair) -> bool:
    """Ours is an RDATE that is a PERIOD, begun before the window and reaching into it."""
    master = difference.sheet.master
    if pair.ours is None or master is None:
        return False
    begun = moment(pair.ours[0]) < difference.question.low
    return begun and origin(difference, pair.ours) in master.periods


def _of_series(difference: Difference, item: Item) -> bool:
    """Whether the rule gave it, wherever RANGE=THISANDFUTURE has moved it."""
    event = difference.event(item)
    return event.named is None or event.for_future


def _replaces(event: Event, master: Event) -> bool:
    """Whether it is an override of DTSTART."""
    return event.named is not None and event.named.instant == master.start.instant
