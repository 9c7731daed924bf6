"""Half-open stretches of time as pairs of whole numbers: united, cut, counted.

A span is (start, end), as UTC seconds or minutes after midnight; it holds its start and not its
end, so two that touch do not overlap, and one that ends where it starts holds nothing. Lists of
spans are in order and without overlap wherever a function says "united".
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence

Span = tuple[int, int]


def united(spans: Iterable[Span]) -> list[Span]:
    """The spans in order, those that overlap or touch as one; empty ones are left out."""
    found: list[Span] = []
    for start, end in sorted(span for span in spans if span[1] > span[0]):
        if found and start <= found[-1][1]:
            if end > found[-1][1]:
                found[-1] = (found[-1][0], end)
        else:
            found.append((start, end))
    return found


def without(spans: Sequence[Span], taken: Sequence[Span]) -> list[Span]:
    """What `taken` leaves of `spans`; both united, and so is the result."""
    found: list[Span] = []
    at = 0
    for start, end in spans:
        while at < len(taken) and taken[at][1] <= start:
            at += 1
        here = at
        while here < len(taken) and taken[here][0] < end:
            if taken[here][0] > start:
                found.append((start, taken[here][0]))
            start = max(start, taken[here][1])
            here += 1
        if start < end:
            found.append((start, end))
    return found


def within(spans: Iterable[Span], bounds: Span) -> list[Span]:
    """The spans cut to `bounds`; what lies outside is left out. The order is kept."""
    low, high = bounds
    return [(max(start, low), min(end, high)) for start, end in spans if start < high and end > low]


def cut(spans: Sequence[Span], bounds: Span) -> list[Span]:
    """The united `spans` cut to `bounds`; found by bisection."""
    low, high = bounds
    first = bisect_left(spans, (low + 1,))
    if first and spans[first - 1][1] > low:
        first -= 1
    found = list(spans[first : bisect_left(spans, (high,))])
    if found and found[0][0] < low:
        found[0] = (low, found[0][1])
    if found and found[-1][1] > high:
        found[-1] = (found[-1][0], high)
    return [span for span in found if span[0] < span[1]]


def length(spans: Iterable[Span]) -> int:
    """How long the spans are together, in their unit."""
    return sum(end - start for start, end in spans)


def most_at_once(spans: Iterable[Span]) -> int:
    """How many spans hold one moment at most.

    A sweep over the sorted ends and starts, an end before a start at the same moment (Kleinberg
    & Tardos, Algorithm Design, section 4.1: as many rooms as lectures at once).
    """
    turns = sorted(turn for start, end in spans if end > start for turn in ((start, 1), (end, -1)))
    most = now = 0
    for _, step in turns:
        now += step
        most = max(most, now)
    return most


def covers(spans: Sequence[Span], bounds: Span) -> bool:
    """Whether one of the united `spans` holds all of `bounds`; empty bounds are one moment."""
    low, high = bounds
    at = bisect_left(spans, (low + 1,)) - 1
    return at >= 0 and low < spans[at][1] and high <= spans[at][1]


def meets(spans: Sequence[Span], bounds: Span) -> bool:
    """Whether one of the united `spans` holds a moment of `bounds`."""
    low, high = bounds
    at = bisect_left(spans, (high,)) - 1
    return at >= 0 and spans[at][1] > low
