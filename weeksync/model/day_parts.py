"""The parts of a day: which one a time of day belongs to."""

from __future__ import annotations

from itertools import pairwise

from weeksync.model.config import DayParts
from weeksync.model.fields import DayPart, parse_hours

_DAY = 24 * 60
_PLACES = {part: place for place, part in enumerate(DayPart)}


class PartHours:
    """The hours of morning, afternoon and evening, for asking.

    What lies before the first, after the last or between two joins the nearest part; between two
    equally near it is the earlier one. A part that runs over midnight ends with its day: what
    comes after midnight stands on the next day, and at its top.
    """

    def __init__(self, parts: DayParts) -> None:
        hours = [
            (part, start, min(end, _DAY))
            for part in DayPart
            for start, end in [parse_hours(getattr(parts, part.value)) or (0, 0)]
        ]
        # Another part is nearest only where one begins or ends, or half way between two.
        turns = {0, _DAY, *(minute for _, *bounds in hours for minute in bounds)}
        half_way = ((start + end - 1) // 2 for _, start, _ in hours for _, _, end in hours)
        turns.update(minute + after for minute in half_way for after in (0, 1))
        self._parts: list[DayPart] = []
        for low, high in pairwise(sorted(turn for turn in turns if 0 <= turn <= _DAY)):
            nearest = min(hours, key=lambda one: _distance(low, one[1], one[2]))
            self._parts += [nearest[0]] * (high - low)

    def part(self, minutes: int) -> DayPart:
        """The part that `minutes` after midnight, below 1440, belongs to."""
        return self._parts[minutes]

    def stretches(self) -> tuple[tuple[DayPart, int, int], ...]:
        """(part, from, to) in minutes after midnight, in order; together the whole day."""
        found: list[tuple[DayPart, int, int]] = []
        for minute, part in enumerate(self._parts):
            if found and found[-1][0] is part:
                found[-1] = (part, found[-1][1], minute + 1)
            else:
                found.append((part, minute, minute + 1))
        return tuple(found)


def _distance(minutes: int, start: int, end: int) -> int:
    return max(start - minutes, 0, minutes - end + 1)


def part_place(part: DayPart | None) -> int:
    """Where a part stands in the order of the day; no part stands after all of them."""
    return len(_PLACES) if part is None else _PLACES[part]
