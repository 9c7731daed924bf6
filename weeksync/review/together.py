"""Whether two things that are marked day by day go together: never why.

Below `SHOWN` days with both nothing is said, below `LEAST` there are points only. From there on
it is Spearman's rank correlation with an interval, widened for the number of pairs looked at:
whoever compares twenty pairs finds one that goes together by chance. Days resemble the days
before them, so that an interval as of independent days is too narrow: the number of days is taken
as fewer by how much both series resemble themselves a day later (Bartlett, J R Stat Soc 1935;98:
536-543; the formula from memory). The bounds 14 and 28 are choices of weeksync.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atanh, sqrt, tanh
from statistics import NormalDist, StatisticsError, correlation

from weeksync.model.review import Together

__all__ = ["LEAST", "LEVEL", "SHOWN", "Together", "interval", "ranks", "spearman", "together"]

SHOWN = 14
LEAST = 28
LEVEL = 0.95

Series = Sequence[float | None]


def together(first: Series, second: Series, *, pairs: int = 1, level: float = LEVEL) -> Together:
    """How the two go together; both hold a value for each day in order, None for none.

    `pairs` is how many comparisons are made altogether (Bonferroni). ValueError where the two
    are of different length.
    """
    both = [(a, b) for a, b in zip(first, second, strict=True) if a is not None and b is not None]
    if len(both) < SHOWN:
        return Together(len(both), pairs=pairs)
    points = tuple(both)
    if len(both) < LEAST:
        return Together(len(both), points, pairs=pairs)
    rho = spearman([one for one, _ in both], [one for _, one in both])
    if rho is None:
        return Together(len(both), points, pairs=pairs)
    days = _as_independent(first, second, len(both))
    low, high = interval(rho, days, level=1 - (1 - level) / max(pairs, 1))
    return Together(len(both), points, rho, low, high, pairs)


def spearman(first: Sequence[float], second: Sequence[float]) -> float | None:
    """The rank correlation, ties with their mean rank; None where one of the two never changes."""
    try:
        return correlation(ranks(first), ranks(second))
    except StatisticsError:
        return None


def ranks(values: Sequence[float]) -> list[float]:
    """The place of each value from 1 on, the smallest first; equal ones share their mean place."""
    order = sorted(range(len(values)), key=values.__getitem__)
    found = [0.0] * len(values)
    start = 0
    while start < len(order):
        end = start
        while end < len(order) and values[order[end]] == values[order[start]]:
            end += 1
        for place in order[start:end]:
            found[place] = (start + end + 1) / 2
        start = end
    return found


def interval(rho: float, days: float, *, level: float = LEVEL) -> tuple[float, float]:
    """The bounds of a rank correlation over so many independent days, at least 4.

    Fisher's z with the variance (1 + rho²/2) / (n - 3) of Bonett and Wright, Psychometrika 2000;
    65:23-28 (from memory).
    """
    if abs(rho) >= 1:
        return rho, rho
    reach = NormalDist().inv_cdf((1 + level) / 2) * sqrt((1 + rho * rho / 2) / max(days - 3, 1))
    return tanh(atanh(rho) - reach), tanh(atanh(rho) + reach)


def _as_independent(first: Series, second: Series, days: int) -> float:
    """How many independent days so many are worth, where each resembles the one before."""
    alike = _a_day_later(first) * _a_day_later(second)
    return min(float(days), max(4.0, days * (1 - alike) / (1 + alike)))


def _a_day_later(values: Series) -> float:
    """How a series goes together with itself a day later; 0 where that cannot be said."""
    pairs = [(a, b) for a, b in pairwise(values) if a is not None and b is not None]
    if len(pairs) < SHOWN:
        return 0.0
    return spearman([a for a, _ in pairs], [b for _, b in pairs]) or 0.0
