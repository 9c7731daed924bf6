"""How often something was done of the times it was due, and how sure that is."""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist

from weeksync.model.review import Rate

__all__ = ["LEAST", "LEVEL", "Rate", "rate", "wilson"]

LEVEL = 0.95
"""How often an interval of this kind holds the long-run rate."""

LEAST = 5
"""Days from which an interval is told; below it says little more than "somewhere". A choice of
ours: with 4 of 4 it would reach from 0.51 to 1."""


def rate(times: int, days: int, *, level: float = LEVEL) -> Rate:
    """The rate with its interval once there are enough days.

    ValueError where there are more times than days, or a number is negative.
    """
    if not 0 <= times <= days:
        raise ValueError(f"{times} of {days}")
    if days < LEAST:
        return Rate(times, days)
    return Rate(times, days, *wilson(times, days, level=level))


def wilson(times: int, days: int, *, level: float = LEVEL) -> tuple[float, float]:
    """The score interval of E. B. Wilson (J Am Stat Assoc 1927;22:209-212), two-sided.

    It is what NIST/SEMATECH, e-Handbook of Statistical Methods, section 7.2.4.1, recommends: it
    stays within 0 and 1 and holds for few days, too. `days` must be at least 1.
    """
    z = NormalDist().inv_cdf((1 + level) / 2)
    share = times / days
    middle = share + z * z / (2 * days)
    reach = z * sqrt(share * (1 - share) / days + z * z / (4 * days * days))
    whole = 1 + z * z / days
    low, high = (middle - reach) / whole, (middle + reach) / whole
    return (0.0 if times == 0 else low), (1.0 if times == days else high)
