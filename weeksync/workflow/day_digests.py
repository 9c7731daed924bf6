"""What the calendars hold on each day as digests: what is made of a day need be made again only
where its digest has changed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import expanded, window_of


@dataclass(frozen=True, slots=True)
class DayDigests:
    """The calendars of a window of days, before doubles are merged.

    `days` has a digest for each day that `gather` reads for the same first and last day, its
    margins included: it stands for all occurrences of all sources that touch that day. Equal
    digests are equal occurrences, whatever else changed.
    `rest` stands for what has no place in time: to-dos and problems of the calendars' texts.
    Neither covers the settings, the zone data, or what `store.states` has.
    """

    days: Mapping[date, bytes]
    rest: bytes


def day_digests(context: Context, store: Store, first: date, last: date) -> DayDigests:
    """The digests for the days from `first` to `last`, both included.

    What is kept of the calendars' expansions is brought up to date first, to exactly the window
    that `gather` reads for these days, where the store was opened for writing.
    """
    start, end = window_of(context, first, last)
    sums = {start + timedelta(days=day): 0 for day in range((end - start).days)}
    rest = hashlib.sha256()
    for source, found in expanded(context, store, (start, end)):
        for one in found.occurrences:
            row = int.from_bytes(hashlib.sha256(repr(one).encode()).digest()[:16], "big")
            for day in sums:
                if one.touches(day, context.tz):
                    sums[day] += row
        rest.update(f"{source.id}\n{found.todos!r}\n{found.problems!r}\n".encode())
    return DayDigests({day: one.to_bytes(24, "big") for day, one in sums.items()}, rest.digest())
