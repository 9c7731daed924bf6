"""Times as shared pages show them: exact, to the hour, as a day part, or not at all.

What looks the same is one thing: stretches of one look that overlap or touch become one, and where
times are left out it stands there once. So neither a count nor an order tells of what is hidden.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from itertools import groupby
from typing import Literal

from weeksync.lazy import dataclass
from weeksync.model.fields import DayPart
from weeksync.model.shared import SharedEvent
from weeksync.model.spread import DayOccurrence

Times = Literal["left out", "day part", "rounded", "exact"]
HOUR, DAY = 60, 24 * 60
NOON, EVENING = 12 * HOUR, 18 * HOUR
_PARTS = {part: place for place, part in enumerate(DayPart)}


@dataclass(frozen=True, slots=True)
class OnDay:
    """A look on one day; `start` and `end` are minutes after midnight, None for whole days."""

    look: SharedEvent
    start: int | None
    end: int | None
    part: DayPart | None


def on_day(look: SharedEvent, one: DayOccurrence, day: date) -> OnDay:
    """Where it lies in the day, by the household's clocks; what goes on ends at 24:00."""
    start, end = one.occurrence.start, one.occurrence.end
    if not isinstance(start, datetime) or not isinstance(end, datetime):
        return OnDay(look, None, None, None)
    begins = 0 if start.date() < day else _minutes(start)
    # On the night clocks go back an event can end before it begins, by the clock.
    ends = DAY if end.date() > day else max(_minutes(end), begins)
    return OnDay(look, begins, ends, one.part)


def events(found: Iterable[OnDay], times: Times) -> tuple[SharedEvent, ...]:
    """The events of a day, each look once or in stretches, by what can be seen of them."""
    if times == "left out":
        shown = {one.look for one in found}
    elif times == "day part":
        shown = {replace(one.look, part=one.part, all_day=one.start is None) for one in found}
    else:
        shown = set(_stretches(found, rounded=times == "rounded"))
    return tuple(sorted(shown, key=_by_sight))


def _stretches(found: Iterable[OnDay], *, rounded: bool) -> Iterable[SharedEvent]:
    seen: list[tuple[SharedEvent, int, int]] = []
    for one in found:
        if one.start is None or one.end is None:
            yield replace(one.look, all_day=True)
        else:
            seen.append((one.look, *_rounded(one.start, one.end, rounded)))
    seen.sort(key=lambda one: (_by_sight(one[0]), one[1:]))
    for look, same in groupby(seen, key=lambda one: one[0]):
        for start, end in merged((begins, ends) for _, begins, ends in same):
            yield replace(look, part=_part(start), start=clock(start), end=clock(end))


def merged(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Spans in order; those that overlap or touch are one."""
    found: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((start, end))
    return found


def _rounded(start: int, end: int, rounded: bool) -> tuple[int, int]:
    """To the full hour outwards; an hour at least, so that a short one looks like a long one."""
    if not rounded:
        return start, end
    begins = start - start % HOUR
    return begins, max(min(end + -end % HOUR, DAY), begins + HOUR)


def _part(start: int) -> DayPart:
    """The day part of a time that is shown, by noon and 18:00 (common practice, no source).

    Not by the household's own hours: beside rounded times those would tell more than the hour.
    """
    if start < NOON:
        return DayPart.MORNING
    return DayPart.AFTERNOON if start < EVENING else DayPart.EVENING


def _minutes(moment: datetime) -> int:
    return moment.hour * HOUR + moment.minute


def clock(minutes: int) -> str:
    """Minutes after midnight as 09:00; the end of the day is 24:00."""
    return f"{minutes // HOUR:02}:{minutes % HOUR:02}"


def place(part: DayPart | None) -> int:
    """The place of a day part in the day; what has none comes first."""
    return _PARTS[part] if part is not None else -1


def _by_sight(one: SharedEvent) -> tuple[object, ...]:
    """By what can be seen, and nothing else."""
    return (
        not one.all_day,
        one.start,
        place(one.part),
        one.label.casefold(),
        one.label,
        one.shown_as,
        one.roles,
        one.area is not None,
        one.end,
    )
