"""One day of a room: the minutes that can still be planned on it, and the gaps they lie in.

Times are UTC minutes, so that a night on which the clocks change has its exact length.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.model.fields import DayPart
from weeksync.model.week_plan import DayLoad

Minutes = tuple[int, int]
"""A stretch in UTC minutes, half-open."""


@dataclass(slots=True)
class DayRoom:
    """What is left of one day: minutes that can be planned, and the gaps, in order.

    `rests` where nothing is proposed for it, since less is asked of the person.
    """

    day: date
    plannable: int
    left: int
    gaps: list[tuple[int, int, DayPart]]
    rests: bool = False
    known: dict[int, list[Minutes]] = field(default_factory=dict)
    """The unbroken stretches of all parts, by the least length asked for; none once some is
    taken."""

    def runs(self, part: DayPart | None, until: int | None, least: int = 1) -> list[Minutes]:
        """Unbroken free stretches of `least` minutes: of one part, or over all where none is."""
        if part is not None or until is not None:
            return [run for run in self._runs(part, until) if run[1] - run[0] >= least]
        found = self.known.get(least)
        if found is None:
            found = [run for run in self._runs(None, None) if run[1] - run[0] >= least]
            self.known[least] = found
        return found

    def _runs(self, part: DayPart | None, until: int | None) -> Iterator[Minutes]:
        run: Minutes | None = None
        for start, low_end, of in self.gaps:
            end = low_end if until is None else min(low_end, until)
            if (part is not None and of is not part) or end <= start:
                continue
            if run is not None and run[1] == start:
                run = (run[0], end)
            else:
                if run is not None:
                    yield run
                run = (start, end)
        if run is not None:
            yield run

    def before(self, until: int) -> int:
        """The share of its minutes that lies in its gaps before `until`."""
        clipped = [(low, min(high, until), part) for low, high, part in self.gaps if low < until]
        return self.left * _minutes(clipped) // max(_minutes(self.gaps), 1)

    def take(self, start: int, end: int) -> DayPart | None:
        """Take a stretch out of the gaps, and its minutes off what can be planned.

        Returns the part of the gap that held its start.
        """
        self.left = max(self.left - (end - start), 0)
        gaps = []
        found = None
        for gap in self.gaps:
            low, high, part = gap
            if high <= start or low >= end:
                gaps.append(gap)
                continue
            if low <= start:
                found = part
            if low < start:
                gaps.append((low, start, part))
            if end < high:
                gaps.append((end, high, part))
        self.gaps = gaps
        self.known.clear()
        return found

    def part_at(self, minute: int) -> DayPart | None:
        """The part of the gap that holds `minute`."""
        return next((part for start, end, part in self.gaps if start <= minute < end), None)


def of_load(load: DayLoad, since: int, rests: bool) -> DayRoom:
    """The day of a load from the minute `since` on; nothing can be planned where it `rests`."""
    whole = [(first_minute(gap.start), last_minute(gap.end), gap.part) for gap in load.gaps]
    gaps = [(max(low, since), high, part) for low, high, part in whole if high > since]
    plannable = 0 if rests else load.plannable
    if gaps != whole:
        plannable = plannable * _minutes(gaps) // max(_minutes(whole), 1)
    return DayRoom(load.day, plannable, plannable, gaps, rests)


def _minutes(gaps: Iterable[tuple[int, int, DayPart]]) -> int:
    return sum(high - low for low, high, _ in gaps)


def first_minute(moment: datetime) -> int:
    """The UTC minute that begins at `moment`, or the next one after it."""
    return -int(-moment.timestamp() // 60)


def last_minute(moment: datetime) -> int:
    """The UTC minute that has begun at `moment`."""
    return int(moment.timestamp() // 60)
