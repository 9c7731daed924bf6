"""Hand-overs of the children: where one who looks after them has to leave as another comes."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import NamedTuple

from weeksync.model.config import Config
from weeksync.model.engagement import HandOver
from weeksync.plan.clashes import seen_by
from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Busy, Engagements
from weeksync.plan.intervals import Span, covers, meets, united

_MINUTE = 60


def hand_overs(
    config: Config, engaged: Engagements, hours: DayHours, week: Span
) -> tuple[HandOver, ...]:
    """The hand-overs of a week with less slack than the buffer, by time.

    Between two who look after the children: the one was engaged until the moment, or nearly,
    that the other's engagement begins, way included. None where a third is free from the buffer
    before to the buffer after, where all the children take part in one of the two engagements,
    or where all of them are engaged or have a routine themselves meanwhile. It belongs to the
    week in which the second engagement begins.
    """
    children = {one.id for one in config.people if one.child}
    carers = [one.id for one in config.people if one.looks_after_children]
    if not children or len(carers) < 2:
        return ()
    buffer = max(config.planning.buffer_minutes * _MINUTE, 1)
    stretches = {carer: _stretches(engaged.of(carer)) for carer in carers}
    engaged_at = {one: united(busy.span for busy in engaged.of(one)) for one in carers}
    own = [
        united(busy.span for busy in (*engaged.of(child), *engaged.routines(child)))
        for child in sorted(children)
    ]
    found = []
    for leaving, coming in permutations(carers, 2):
        others = [engaged_at[one] for one in carers if one not in (leaving, coming)]
        for first, second in _meeting(stretches[coming], stretches[leaving], buffer):
            bridge, moment = (second.start - buffer, first.end + buffer), (first.end, second.start)
            if (
                week[0] <= second.start < week[1]
                and all(meets(spans, bridge) for spans in others)
                and not (children <= set(first.persons) or children <= set(second.persons))
                and not all(covers(spans, moment) for spans in own)
            ):
                found.append((first, second))
    found.sort(key=lambda pair: (pair[1].start, pair[0].end, pair[1].engagement.person))
    return tuple(one for pair in found for one in _record(*pair, hours))


class _Stretch(NamedTuple):
    """An unbroken time of one person's engagements: the first of it, and the one that ends it."""

    start: int
    end: int
    opens: Busy
    closes: Busy


def _stretches(busy: Sequence[Busy]) -> list[_Stretch]:
    """The engagements, in order of their starts, as unbroken stretches."""
    found: list[_Stretch] = []
    for one in busy:
        if one.end <= one.start:
            continue
        last = found[-1] if found else None
        if last is None or one.start > last.end:
            found.append(_Stretch(one.start, one.end, one, one))
        elif one.end > last.end:
            found[-1] = _Stretch(last.start, one.end, last.opens, one)
    return found


def _meeting(
    coming: Sequence[_Stretch], leaving: Sequence[_Stretch], buffer: int
) -> Iterator[tuple[Busy, Busy]]:
    """(what ends, what begins) wherever less than the buffer lies between."""
    ends = [one.end for one in coming]
    for one in leaving:
        at = bisect_right(ends, one.start) - 1
        if at < 0 or one.start - ends[at] >= buffer:
            continue
        if at + 1 < len(coming) and coming[at + 1].start <= one.start:
            continue  # engaged again already, who was to come
        yield coming[at].closes, one.opens


def _record(first: Busy, second: Busy, hours: DayHours) -> Iterator[HandOver]:
    only_for = seen_by(first.engagement, second.engagement)
    if only_for is not None:
        yield HandOver(
            day=hours.day_of(second.start),
            at=hours.moment(second.start),
            minutes=(second.start - first.end) // _MINUTE,
            first=first.engagement,
            second=second.engagement,
            only_for=only_for,
        )
