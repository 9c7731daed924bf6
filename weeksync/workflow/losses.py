"""Whether a pull may lose enough to be asked about: told by counting, before groups are read."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from weeksync.model.pulled import IndexedObject, Pulled, UidGroup
from weeksync.store import Store
from weeksync.workflow.guard import count_ahead, loses_most


def may_lose(
    store: Store, pulled: Pulled, indexed: Sequence[tuple[str, IndexedObject]], today: date
) -> bool:
    """Whether `guard.question` has anything to ask about a collection: no means that it has not."""
    touched = {(one.name, name) for one in pulled.collections for name in one.gone}
    touched |= {(collection, one.raw.name) for collection, one in indexed}
    if not touched:
        return not store.collection_names(pulled.source) <= {one.name for one in pulled.collections}
    new: dict[str, list[UidGroup]] = {one.name: [] for one in pulled.collections}
    for collection, one in indexed:
        new[collection] += one.groups
    partly = [(collection, one) for collection, one in indexed if one.replaced is not None]
    whole = touched - {(collection, one.raw.name) for collection, one in partly}
    for name, (before, less) in store.counts_ahead(pulled.source, today, whole).items():
        groups = new.get(name, [])
        gone = [was.group for its, one in partly if its == name for was in one.replaced or ()]
        left = before[0] - less[0] - len(gone)
        ahead = before[1] - less[1] - count_ahead(gone, today)
        if name not in new or not left + len(groups):
            return True
        if loses_most(before[1], ahead + count_ahead(groups, today)):
            return True
    return False
