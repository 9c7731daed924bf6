"""Calendar texts → occurrences: repair, zones, expansion. The one place that knows iCalendar.

What other parts use is gathered here; the rest is the inside of this part. It reads the texts
itself (`text`, `lines`, `values`), because a bad line must cost no more than its own event, and
makes the recurrence set itself (`rules`, `days`, `walk`, `series`), because instances are told
apart by instant and ends are exact. Importing it is cheap: `icalendar` is only imported for its
table of Windows zone names, when one is met; `recurring-ical-events` and `dateutil` are what
the tests hold the answers against.

`RULES_VERSION` changes whenever the same bytes can give other occurrences: it is part of the
key under which expansions are kept.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.calendar.appointments import from_appointments
    from weeksync.calendar.index import index_object
    from weeksync.calendar.remains import may_be_over
    from weeksync.calendar.window import Expansion

KEPT = "#kept-"
"""What the names of texts that were kept when their events vanished have after the old name."""

RULES_VERSION = 7

__all__ = [
    "KEPT",
    "RULES_VERSION",
    "Expansion",
    "from_appointments",
    "index_object",
    "may_be_over",
]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.calendar.appointments": ("from_appointments",),
        "weeksync.calendar.index": ("index_object",),
        "weeksync.calendar.remains": ("may_be_over",),
        "weeksync.calendar.window": ("Expansion",),
    },
)
