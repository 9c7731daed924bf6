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
    for name, (before, less) in store.counts_ahead(pulled.source, today, touched).items():
        groups = new.get(name, [])
        left, ahead = (one - its for one, its in zip(before, less, strict=True))
        if name not in new or not left + len(groups):
            return True
        if loses_most(before[1], ahead + count_ahead(groups, today)):
            return True
    return False
