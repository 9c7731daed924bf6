"""Nights that somebody is engaged in: they have no bedtime, and move what the morning asks for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from weeksync.plan.day_hours import DayHours
from weeksync.plan.engagements import Busy

NIGHT = (0, 5 * 60)
"""Minutes after midnight: night time holds at least the hours from midnight to 5:00 (Directive
2003/88/EC, Article 2(3); from memory)."""

LONG_ENOUGH = 3 * 60 * 60
"""Seconds of it from which on a night counts as worked (Article 2(4)(a) of it; from memory)."""


def nights(busy: Sequence[Busy], days: Iterable[date], hours: DayHours) -> dict[date, Busy]:
    """The evenings among `days` that lead into a night of engagement, with the engagement.

    A night shift, and a night train as well: one that takes three hours or more between midnight
    and five on the clock. Of several the one that ends last.
    """
    found: dict[date, Busy] = {}
    long = [one for one in busy if one.end - one.start >= LONG_ENOUGH]
    for day in days if long else ():
        low, high = hours.within(day + timedelta(days=1), *NIGHT)
        for one in long:
            if min(one.end, high) - max(one.start, low) >= LONG_ENOUGH and (
                day not in found or one.end > found[day].end
            ):
                found[day] = one
    return found
