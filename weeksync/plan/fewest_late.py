"""Which tasks fit before they are due: the fewest late, and among those the least lateness.

One person does one thing at a time, so the minutes that can be planned are a single machine and
the tasks its jobs. Fewest late is Moore's algorithm with Hodgson's change (J. M. Moore, Management
Science 15, 1968, 102-109); the order by due date gives the least of the greatest latenesses
(J. R. Jackson, UCLA Research Report 43, 1955). Neither knows a day before which a job cannot be
begun: where there is one the count is the fewest that can be hoped for.
"""

from __future__ import annotations

import heapq
from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate
from typing import NamedTuple


class Job(NamedTuple):
    """A task as it is weighed: what it takes, and the minutes there are until it is due.

    `number` is the caller's own name of it. Of two that take equally long the one of the higher
    `rank` is given up first.
    """

    number: int
    minutes: int
    deadline: int
    rank: int = 0


def by_due(jobs: Iterable[Job]) -> list[Job]:
    """Earliest deadline first; equal ones by rank, the shorter before the longer."""
    return sorted(jobs, key=lambda job: (job.deadline, job.rank, job.minutes, job.number))


def fewest_late(jobs: Iterable[Job]) -> tuple[list[Job], list[Job]]:
    """(those that are in time, those that must be late), each earliest deadline first.

    Jobs are taken by deadline; whenever one ends too late the longest taken so far is given up.
    """
    ordered = by_due(jobs)
    kept: list[tuple[int, int, int]] = []
    total = 0
    given_up: set[int] = set()
    for place, job in enumerate(ordered):
        heapq.heappush(kept, (-job.minutes, -job.rank, -place))
        total += job.minutes
        if total > job.deadline:
            minutes, _, dropped = heapq.heappop(kept)
            total += minutes
            given_up.add(-dropped)
    in_time = [job for place, job in enumerate(ordered) if place not in given_up]
    return in_time, [ordered[place] for place in sorted(given_up)]


def least_lateness(jobs: Iterable[Job]) -> int:
    """The greatest lateness of any job where the greatest is least; below 0 there is slack.

    Of no jobs it is 0.
    """
    ended = 0
    worst: list[int] = []
    for job in by_due(jobs):
        ended += job.minutes
        worst.append(ended - job.deadline)
    return max(worst, default=0)


class Missing:
    """How many minutes more late jobs would need, beside those that are in time."""

    def __init__(self, in_time: Iterable[Job]) -> None:
        ordered = by_due(in_time)
        self._deadlines = [job.deadline for job in ordered]
        self._totals = list(accumulate(job.minutes for job in ordered))
        short = [total - job.deadline for total, job in zip(self._totals, ordered, strict=True)]
        self._worst = list(accumulate(reversed(short), max))[::-1]

    def of(self, job: Job) -> int:
        """The least number of minutes more before its deadline with which nobody is late."""
        at = bisect_right(self._deadlines, job.deadline)
        before = self._totals[at - 1] if at else 0
        later = self._worst[at] if at < len(self._worst) else -job.deadline
        return job.minutes + max(before - job.deadline, later)
