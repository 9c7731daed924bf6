"""How a series goes over the weeks: smoothed, and whether it rises or falls."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean, median


def moving_average(values: Sequence[float | None], span: int) -> list[float | None]:
    """The mean of each value and those before it, `span` together; None before the first.

    NIST/SEMATECH, e-Handbook of Statistical Methods, section 6.4.2.1. What is missing is left
    out of its means; where more than half of a span is missing there is none.
    """
    if span < 1:
        raise ValueError(span)
    found: list[float | None] = []
    for end in range(1, len(values) + 1):
        here = [one for one in values[max(0, end - span) : end] if one is not None]
        found.append(fmean(here) if end >= span and 2 * len(here) >= span else None)
    return found


def smoothed(values: Sequence[float | None], weight: float) -> list[float | None]:
    """Single exponential smoothing: each place is what was to be expected before its value.

    NIST/SEMATECH, section 6.4.3.1, where the first smoothed value is the first one observed and
    stands at the second place. `weight`, above 0 and up to 1, is how much a new value counts;
    what is missing changes nothing.
    """
    if not 0 < weight <= 1:
        raise ValueError(weight)
    found: list[float | None] = []
    level: float | None = None
    for value in values:
        found.append(level)
        if value is not None:
            level = value if level is None else weight * value + (1 - weight) * level
    return found


def slope(points: Sequence[tuple[float, float]]) -> float | None:
    """The median of the slopes between all points (P. K. Sen, J Am Stat Assoc 1968;63:1379-1389).

    One odd day does not turn it. None where there are no two points at different places.
    """
    found = [
        (y2 - y1) / (x2 - x1)
        for place, (x1, y1) in enumerate(points)
        for x2, y2 in points[place + 1 :]
        if x1 != x2
    ]
    return median(found) if found else None
