"""By when something must have ended to have taken place, where the clock may be years ahead.

What a calendar no longer has is kept where it is over: it took place. By a clock that is years
ahead everything is over, and what somebody takes out would stay on the pages for good. So after
more than a year in which nothing was pulled the clock is not believed at once: for a week things
are over by the last pull before it. Where it was right, and the machine off for so long, no more
comes of it than that what was taken out meanwhile is not said to have taken place.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from weeksync.store import Store
from weeksync.workflow.context import Context

LEAP = timedelta(days=366)
"""How long a machine may be off until its clock is doubted."""
DOUBTED = timedelta(days=7)
"""How long a clock goes on by itself until it is believed."""
KEY = "leap"
"""The setting of the store, while the clock is in doubt: the last pull before the leap, and the
first one after it."""


def over_by(context: Context, store: Store) -> datetime:
    """The instant, in the household's zone, by which what vanishes now must have ended.

    To be asked before anything of this run is stored.
    """
    now = context.local_now
    kept = store.get(KEY)
    if kept:
        before, since = (datetime.fromisoformat(one) for one in kept.split())
        if since <= now < since + DOUBTED:
            return before.astimezone(context.tz)
        store.set(KEY, "")
        if since <= now:
            return now
    last = max((one.last_good for one in store.states().values() if one.last_good), default=now)
    if now - last <= LEAP:
        return now
    # After a night in which the clock was behind that is too early.
    last = max(last, store.latest_change() or last)
    if now - last <= LEAP:
        return now
    store.set(KEY, f"{last.isoformat()} {now.isoformat()}")
    return last.astimezone(context.tz)
