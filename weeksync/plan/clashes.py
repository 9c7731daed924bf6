"""Engagements of one person that overlap, touch, or lie too close; and the hours worked."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from weeksync.model.engagement import Clash, ClashKind, Engagement, Worked
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Busy, Engagements
from weeksync.plan.intervals import Span, length, united, within

MOST_OVERLAPPED = 4
"""An engagement is told of with so many others at most that it runs into; where more lie at one
moment those that last longest count. So the clashes grow with the engagements, not their square;
how many there are at once is the day's `overlap`."""

_MINUTE = 60


def clashes(
    persons: Iterable[str],
    engaged: Engagements,
    hours: DayHours,
    days: Sequence[date],
    buffer: int,
) -> tuple[Clash, ...]:
    """The clashes of a week, tight and touching engagements among them, person by person.

    Between engagements with the way there and back, `buffer` in minutes. Each is told of once:
    in the week that holds the moment where the overlap begins or the first one ends.
    """
    starts = [hours.bounds(day)[0] for day in days]
    week = starts[0], hours.bounds(days[-1])[1]
    found = []
    for person in persons:
        for kind, at, seconds, first, second in meetings(engaged.of(person), buffer * _MINUTE):
            if week[0] <= at < week[1]:
                only_for = seen_by(first.engagement, second.engagement)
                if only_for is not None:
                    overlap = kind is ClashKind.CLASH
                    found.append(
                        Clash(
                            kind=kind,
                            person=person,
                            day=days[bisect_right(starts, at) - 1],
                            at=second.engagement.start if overlap else first.engagement.end,
                            minutes=seconds // _MINUTE,
                            first=first.engagement,
                            second=second.engagement,
                            only_for=only_for,
                        )
                    )
    return tuple(found)


def seen_by(first: Engagement, second: Engagement) -> tuple[str, ...] | None:
    """Who may see that two engagements meet: () for everybody, None where nobody may see both."""
    if not first.only_for or not second.only_for:
        return first.only_for or second.only_for
    both = tuple(one for one in first.only_for if one in second.only_for)
    return both or None


_Meeting = tuple[ClashKind, int, int, Busy, Busy]
"""(how they meet, the UTC second where, the seconds of overlap or gap, the two)."""


def meetings(busy: Sequence[Busy], buffer: int) -> Iterator[_Meeting]:
    """How the engagements of one person, in order of their starts, meet; `buffer` in seconds.

    Half-open: one that ends where the next starts touches it. A gap is one where nothing else
    of the person fills it, so of several that end before a start only the last one counts. What
    takes no time meets nothing.
    """
    running: list[Busy] = []
    last: Busy | None = None
    for one in busy:
        if one.end <= one.start:
            continue
        running = [other for other in running if other.end > one.start]
        for other in running:
            until = min(other.end, one.end)
            yield ClashKind.CLASH, one.start, until - one.start, other, one
        if not running and last is not None and one.start - last.end < max(buffer, 1):
            gap = one.start - last.end
            yield ClashKind.TIGHT if gap else ClashKind.TOUCHING, last.end, gap, last, one
        running.append(one)
        if len(running) > MOST_OVERLAPPED:
            running.remove(min(running, key=lambda other: other.end))
        if last is None or one.end > last.end:
            last = one


def worked(persons: Iterable[str], engaged: Engagements, week: Span) -> tuple[Worked, ...]:
    """The minutes that each person works in the week, who works at all.

    Exact ones, also in a night on which the clocks change; the way there is none, and what
    overlaps is counted once.
    """
    found = []
    for person in persons:
        own = united(one.own for one in engaged.of(person) if one.engagement.work)
        minutes = length(within(own, week)) // _MINUTE
        if minutes:
            found.append(Worked(person, minutes))
    return tuple(found)
