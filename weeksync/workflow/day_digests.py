"""What the calendars hold on each day as digests: what is made of a day need be made again only
where its digest has changed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from weeksync.lazy import dataclass
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import window_of
from weeksync.workflow.kept_expansions import KeptExpansions


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
    that `gather` reads for these days: the store must be open for writing, else StoreError.
    """
    window = window_of(context, first, last)
    KeptExpansions(context, store, window).settle()
    sources = [source.id for source in context.config.calendars]
    found = store.day_digests(sources, *window)
    if found is None:
        raise RuntimeError("a kept expansion is of other days after it was settled")
    return DayDigests(*found)
