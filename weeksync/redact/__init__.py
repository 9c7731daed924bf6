"""From a week as the household sees it to one that strangers may see: by an allow-list.

`redact` builds a `SharedWeek` from nothing; `refusals` says when a week may not be shared yet,
for which `absences` are to be known.
Both are pure: what they are given is all they know.
"""

from weeksync.redact.away import refusals
from weeksync.redact.week import Sources, absences, redact

__all__ = ["Sources", "absences", "redact", "refusals"]
