"""What a night looks at before anything is imported: whether there is anything to do at all.

Most nights nothing has changed. Then reading the household, the calendars and the templates only
to make the same pages again would be the whole cost of the run, so this part needs nothing but
the standard library: `workflow.quiet` leaves a note of what a finished night was made from, and
`quiet_night` compares it with what is there now. Where anything differs, or cannot be told, the
night runs as it always does.
"""

from __future__ import annotations

import time

from weeksync.lean.night import quiet_night
from weeksync.lean.note import NOTE, Note
from weeksync.lean.prints import (
    SETTLED,
    code_print,
    content_print,
    installed_in,
    newest,
    stat_print,
)

__all__ = [
    "CLOCKS_APART",
    "NOTE",
    "SETTLED",
    "STARTED",
    "Note",
    "code_print",
    "content_print",
    "installed_in",
    "newest",
    "quiet_night",
    "stat_print",
]

STARTED = time.time()
"""When this process began to look, in seconds since 1970: before it had read anything."""
CLOCKS_APART = STARTED - time.monotonic()
"""How far the clock was ahead of the one that nobody sets: the same for ever, unless it is set."""
