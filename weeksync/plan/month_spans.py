"""What lies over several days of a month, as stretches in its rows of weeks."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby

from weeksync.lazy import dataclass
from weeksync.model.spread import Day, MonthSpan

_DAY = timedelta(days=1)


@dataclass(slots=True)
class _Run:
    """Days next to each other in a row that show the same."""

    span: MonthSpan
    weight: int
    """0 for a break from lessons, which is the ground the others lie on, else 1."""


def month_spans(days: Sequence[Day], break_name: Callable[[date], str]) -> tuple[MonthSpan, ...]:
    """The stretches of one row of days: all-day events over more than one day, and breaks.

    `break_name` gives the break from lessons of any day, "" for none.

    One that lies over several days of the calendar is there even where only one of them is in
    the row. Lanes are as few as they can be: each stretch, by its first day, takes the lowest lane
    that is free (interval partitioning: Kleinberg & Tardos, Algorithm Design, section 4.1).
    """
    runs = [*_breaks(days, break_name), *_events(days)]
    runs.sort(key=lambda run: (run.span.first, run.weight, -_length(run.span), run.span.title))
    placed = _in_lanes([run.span for run in runs])
    return tuple(sorted(placed, key=lambda span: (span.lane, span.first)))


def _length(span: MonthSpan) -> int:
    return (span.last - span.first).days


def _breaks(days: Sequence[Day], break_name: Callable[[date], str]) -> Iterator[_Run]:
    first, last = days[0].date, days[-1].date
    for title, group in groupby(days, key=lambda day: day.term_break):
        its = [day.date for day in group]
        if title:
            span = MonthSpan(
                title,
                its[0],
                its[-1],
                0,
                from_before=its[0] == first and break_name(first - _DAY) == title,
                goes_on=its[-1] == last and break_name(last + _DAY) == title,
            )
            yield _Run(span, 0)


def _events(days: Sequence[Day]) -> Iterable[_Run]:
    found: dict[object, _Run] = {}
    for day in days:
        for one in day.occurrences:
            is_long = one.part is None and (one.from_before or one.goes_on)
            if not is_long or one.occurrence.journal:
                continue
            run = found.get(one.occurrence)
            if run is None:
                span = MonthSpan(
                    one.occurrence.title,
                    day.date,
                    day.date,
                    0,
                    from_before=one.from_before,
                    goes_on=one.goes_on,
                    occurrence=one.occurrence,
                )
                found[one.occurrence] = _Run(span, 1)
            else:
                run.span = replace(run.span, last=day.date, goes_on=one.goes_on)
    return found.values()


def _in_lanes(spans: Iterable[MonthSpan]) -> Iterator[MonthSpan]:
    """The spans, which come by their first day, each in the lowest lane that is free."""
    free: list[int] = []
    busy: list[tuple[date, int]] = []
    lanes = 0
    for span in spans:
        while busy and busy[0][0] < span.first:
            heapq.heappush(free, heapq.heappop(busy)[1])
        if free:
            lane = heapq.heappop(free)
        else:
            lane, lanes = lanes, lanes + 1
        heapq.heappush(busy, (span.last, lane))
        yield replace(span, lane=lane)
