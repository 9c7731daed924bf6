"""Days of a person made by hand: how much can be planned, and the gaps it can go into."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time

from tests.support.plans import LONDON
from weeksync.model.fields import DayPart, parse_hours
from weeksync.model.week_plan import DayLoad, Gap

_PARTS = (
    (DayPart.MORNING, 0, 12 * 60),
    (DayPart.AFTERNOON, 12 * 60, 18 * 60),
    (DayPart.EVENING, 18 * 60, 24 * 60),
)


def moment(day: date, minutes: int) -> datetime:
    """That many minutes after midnight, by the clock in London."""
    return datetime.combine(day, time(minutes // 60, minutes % 60), LONDON)


def gaps(day: date, *hours: str) -> tuple[Gap, ...]:
    """Gaps of texts such as 08:00-12:30, cut where a day part ends."""
    found = []
    for text in hours:
        low, high = parse_hours(text) or (0, 0)
        for part, first, last in _PARTS:
            start, end = max(low, first), min(high, last)
            if start < end:
                found.append(Gap(moment(day, start), moment(day, end), part))
    return tuple(found)


def load(
    day: date,
    *hours: str,
    person: str = "ines",
    plannable: int | None = None,
    planned: int = 0,
) -> DayLoad:
    """A day with these gaps; all their minutes can be planned where nothing else is said."""
    free = gaps(day, *hours)
    minutes = sum(gap.minutes for gap in free)
    most = minutes if plannable is None else plannable
    return DayLoad(person, day, minutes, most, planned, gaps=free)


def loads(days: Sequence[date], *hours: str, person: str = "ines") -> list[DayLoad]:
    """The same gaps on each of the days."""
    return [load(day, *hours, person=person) for day in days]
