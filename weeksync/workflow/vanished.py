"""What a source no longer has and what happened all the same: kept when a pull takes it away.

Each event is kept as a text of its own, whether it was one of many in a file or an object alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from heapq import nlargest

from weeksync.model.pulled import IndexedObject, Pulled
from weeksync.store import Store
from weeksync.store.objects import MOST_KEPT
from weeksync.workflow.context import Context

Indexed = Sequence[tuple[str, IndexedObject]]


def vanished(
    context: Context, store: Store, pulled: Pulled, indexed: Indexed, by: datetime
) -> Indexed:
    """(collection, text of its own) of each event that this pull removed and that was over `by`
    then (in the household's zone)."""
    new = {group.uid for _, one in indexed for group in one.groups}
    touched = {(one.name, name) for one in pulled.collections for name in one.gone}
    touched |= {(collection, one.raw.name) for collection, one in indexed}
    if not touched:
        return ()
    from weeksync.calendar import may_be_over  # all that reads calendars comes with it
    from weeksync.calendar.remains import remains

    partly = [(collection, one) for collection, one in indexed if one.replaced is not None]
    touched -= {(collection, one.raw.name) for collection, one in partly}
    removed = store.vanishing(pulled.source, touched, new)
    removed += (
        (collection, one.raw.name, was.group)
        for collection, one in partly
        for was in one.replaced or ()
        if was.group.uid not in new
    )
    gone = (
        (group.last_day or date.max, collection, name, group.uid)
        for collection, name, group in removed
        if may_be_over([group], by.date())
    )
    lost: dict[tuple[str, str], set[str]] = {}
    for _, collection, name, uid in nlargest(MOST_KEPT, gone):  # more would be dropped anyway
        lost.setdefault((collection, name), set()).add(uid)
    found: list[tuple[str, IndexedObject]] = []
    for (collection, name), uids in lost.items():
        before = store.object(pulled.source, collection, name)
        if before is not None:
            after = [one.raw.content for its, one in indexed if its == collection]
            limits = context.expand_limits.read
            its = remains(before, uids, after, by, context.tz, limits)
            found += ((collection, one) for one in its)
    return found
