"""The state database of a household: raw objects as they came, and what was worked out of them.

One SQLite file, `state/store.sqlite3`. The raw objects are the last good copy of every source;
everything else in it can be computed again. `Store` is the whole public API; opening a store
for reading never waits for a writer and never creates a file.
"""

from weeksync.store.store import Store

__all__ = ["Store"]
