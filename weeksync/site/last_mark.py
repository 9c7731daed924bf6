"""When the last of the marks that a page shows was made: those made on it come after that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime, timedelta

from weeksync.model.household import Mark
from weeksync.model.spread import Spread
from weeksync.site.inputs import SiteInput
from weeksync.site.plan_days import every_task

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)


def marked_at(marks: Iterable[Mark]) -> Mapping[date, Mapping[str, int]]:
    """By day and thing, when it was marked last: whole ms since 1970 in UTC, rounded up."""
    found: dict[date, dict[str, int]] = {}
    for mark in marks:
        of_day = found.setdefault(mark.day, {})
        ms = -((_EPOCH - mark.counts_from) // _MS)
        of_day[mark.id] = max(ms, of_day.get(mark.id, ms))
    return found


def last_mark(inputs: SiteInput, spread: Spread, *, own: bool) -> str:
    """The last mark of what is only for some (`own`), or of what is for all; "" without one.

    A clock may be slow: who has seen a mark and makes another one made it later all the same.
    """
    things = {one.id for one in spread.habits if bool(one.only_for) is own}
    things |= {one.id for one in every_task(spread) if bool(one.only_for) is own}
    if not own:
        for day in spread.days:
            things |= {one.id for one in day.lessons} | {one.id for one in day.breaks}
    times = [
        ms
        for day in spread.days
        for thing, ms in inputs.marked.get(day.date, {}).items()
        if thing in things
    ]
    return str(max(times)) if times else ""
