"""The state database of a household: raw objects as they came, and what was worked out of them.

One SQLite file, `state/store.sqlite3`. The raw objects are the last good copy of every source;
everything else in it can be computed again. `Store` is the whole public API; a store opened
for reading never waits for a writer.
"""

from weeksync.store.store import Store

__all__ = ["Store"]
