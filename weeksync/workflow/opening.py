"""The household's store, opened for writing, its groups those of today's rules."""

from __future__ import annotations

from weeksync.calendar import RULES_VERSION
from weeksync.model.limits import ReadLimits
from weeksync.model.pulled import RawObject
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.mending import asides, drop_oldest, take_over

_RULES = "rules"
"""The setting that says by which rules, up to which entry of a text, stored groups were made."""
_KEPT_AS = 2
"""Another number where texts are kept otherwise than before: in pieces, for one."""


def open_store(context: Context, *, rebuild: bool = False, wait: float = 0.0) -> Store:
    """The store for one run; a context manager. StoreBusy while another run is writing, after
    `wait` seconds.

    `rebuild` sets the present file aside and starts another one, with what can be read of that;
    the next pull compares it with what the calendars have. Objects that were indexed by the rules
    of an earlier version, or within another limit, are indexed anew.
    """
    before = asides(context)
    store = Store.open(context.state, write=True, wait=wait, rebuild=rebuild, at=context.now)
    try:
        for aside in asides(context) - before if rebuild else ():
            take_over(context, store, aside)
            drop_oldest(context)
        limits = context.expand_limits.read
        rules = f"{RULES_VERSION} {limits.entries} {_KEPT_AS}"
        if store.get(_RULES) != rules:
            _index_anew(store, limits)
            store.set(_RULES, rules)
    except BaseException:
        store.close()
        raise
    return store


def _index_anew(store: Store, limits: ReadLimits) -> None:
    from weeksync.calendar import index_object  # all that reads calendars comes with it

    for source in store.states():
        raws = [
            (one.collection, RawObject(one.name, one.tag, one.content))
            for one in store.objects(source)
        ]
        store.regroup(
            source, [(where, index_object(source, raw, limits)[0]) for where, raw in raws]
        )
