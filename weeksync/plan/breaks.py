"""Breaks: short pauses proposed in the gaps of long stretches, and between pieces of tasks.

An engagement cannot be interrupted, a task can: a pause never lies inside an engagement, and may
lie where two pieces of tasks meet, or inside a long one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, time
from typing import NamedTuple

from weeksync.message import counted
from weeksync.model.config import Breaks, Config
from weeksync.model.spread import Day
from weeksync.model.week_plan import Proposal, ProposedBreak
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Engagements, planned_people
from weeksync.plan.intervals import cut, meets, united, without

_MINUTE = 60
_NEVER = -(2**62)
"""Before all seconds of the calendar."""
_EVER = 2**62
"""After all of them."""


class _Item(NamedTuple):
    """What takes a person's time, in UTC seconds; a `pause` is a break or a routine.

    A `task` can be interrupted: it is a piece of one, without what else lies on its time.
    """

    start: int
    end: int
    pause: bool = False
    only_for: tuple[str, ...] = ()
    task: bool = False


def propose_breaks(
    config: Config, days: Sequence[Day], engaged: Engagements, hours: DayHours, proposal: Proposal
) -> tuple[ProposedBreak, ...]:
    """The breaks proposed for the days of the week that remain, by time; none without ideas.

    Engagements and the pieces of tasks that lie less than `after_minutes` apart are one stretch.
    In it a pause is proposed at the beginning of each gap that takes one, once so many minutes
    have gone by without any. A task can be interrupted: before a piece of one no gap is needed,
    and inside a piece a pause is proposed where half of `after_minutes` or more of it would
    follow; else it waits for the end of the piece. Planned breaks are pauses, and where one lies
    less than half of `after_minutes` away none is proposed; routines, as meals, are pauses, too.
    The ideas are taken in turn, from day to day and within the day.
    """
    if not config.breaks.ideas:
        return ()
    since = proposal.since.timestamp()
    starts, end = [hours.bounds(day.date)[0] for day in days], hours.bounds(days[-1].date)[1]
    found = []
    for person in planned_people(config):
        items = _items(person.id, days, engaged, hours, proposal)
        count: dict[date, int] = defaultdict(int)
        for start, minutes, only_for in _pauses(items, config.breaks, int(since)):
            if not starts[0] <= start < end:
                continue
            day = days[bisect_right(starts, start) - 1].date
            found.append(
                ProposedBreak(
                    person=person.id,
                    start=hours.moment(start),
                    minutes=config.breaks.minutes,
                    what=_idea(config.breaks.ideas, day, count[day]),
                    reason=counted(
                        "after {count} minute without a pause",
                        "after {count} minutes without a pause",
                        minutes,
                    ),
                    only_for=only_for,
                )
            )
            count[day] += 1
    return tuple(sorted(found, key=lambda one: one.start.timestamp()))


def _idea(ideas: Sequence[str], day: date, number: int) -> str:
    return ideas[(day.toordinal() + number) % len(ideas)]


def _items(
    person: str, days: Sequence[Day], engaged: Engagements, hours: DayHours, proposal: Proposal
) -> list[_Item]:
    """What the person does and where they pause, by start; a pause first."""
    found = [
        _Item(one.start, one.end, False, one.engagement.only_for)
        for one in engaged.of(person)
        if one.end > one.start
    ]
    found += [_Item(one.start, one.end, pause=True) for one in engaged.routines(person)]
    found += [
        _Item(start, start + one.minutes * _MINUTE, pause=True)
        for day in days
        for one in day.breaks
        if one.person in (None, person)
        for start in [_start(one.start, day.date, hours)]
    ]
    taken = united((one.start, one.end) for one in found)
    found += [
        _Item(*span, False, task.only_for, task=True)
        for task in proposal.tasks
        if task.person == person
        for piece in task.pieces
        for at in [(hours.seconds(piece.start), hours.seconds(piece.end))]
        for span in (without([at], cut(taken, at)) if meets(taken, at) else [at])
    ]
    return sorted(found, key=_by_start)


def _by_start(one: _Item) -> tuple[int, bool, int]:
    return one.start, not one.pause, one.end


def _start(clock: str, day: date, hours: DayHours) -> int:
    at = time.fromisoformat(clock)
    return hours.clock(day, at.hour * 60 + at.minute)


def _pauses(
    items: Sequence[_Item], limits: Breaks, since: int
) -> Iterator[tuple[int, int, tuple[str, ...]]]:
    """(UTC second, minutes gone by without a pause, who may see it) of each pause."""
    after, long = limits.after_minutes * _MINUTE, limits.minutes * _MINUTE
    pauses = [(one.start, one.end) for one in items if one.pause]
    begun = until = _NEVER
    reserved: tuple[str, ...] = ()
    place = 0
    for one in items:
        if one.pause:
            continue
        while place < len(pauses) and pauses[place][0] < one.start:
            begun = max(begun, pauses[place][1])
            place += 1
        if one.start - until >= after:
            begun, reserved = max(begun, one.start), ()
        following = pauses[place][0] if place < len(pauses) else _EVER
        latest = min(one.end if one.task else one.start, following - after // 2) - long
        start = _next_minute(until if until > since else since)
        if one.start < until + after and begun + after <= start <= latest:
            yield start, (start - begun) // _MINUTE, reserved or one.only_for
            begun, reserved = start + long, ()
        while one.task:
            start = _next_minute(max(begun + after, one.start, since))
            if start > min(latest, one.end - long - after // 2):
                break
            yield start, (start - begun) // _MINUTE, one.only_for
            begun, reserved = start + long, ()
        until, reserved = max(until, one.end), reserved or one.only_for


def _next_minute(second: int) -> int:
    return -(-second // _MINUTE) * _MINUTE
