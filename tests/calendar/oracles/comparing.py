"""Our answer against an oracle's, difference by difference.

What differs is put into pairs: one of ours and one of theirs that tell of the same thing, or
one that the other side has not. A pair is explained when each of its differences (start, end,
cancelled or not, there or not) falls into a class of `explained`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property

from tests.calendar.oracles.process import Item
from tests.calendar.oracles.question import Question, moment
from tests.calendar.oracles.sheet import Event, Sheet

NEAR = timedelta(hours=2)
"""Clock changes are of two hours at most, but for those of a whole day."""
_CHANGES = (timedelta(0), timedelta(minutes=30), timedelta(hours=1), timedelta(hours=2))


@dataclass(frozen=True)
class Pair:
    """One difference: `ours` or `theirs` is None where that side has no such item."""

    ours: Item | None
    theirs: Item | None

    @property
    def whole(self) -> tuple[Item, Item] | None:
        """Both, where both are there."""
        return (self.ours, self.theirs) if self.ours and self.theirs else None

    @property
    def only(self) -> Item:
        """The one that is there."""
        found = self.ours or self.theirs
        assert found is not None
        return found

    def differences(self) -> list[str]:
        """What has to be explained: presence, or start, end, cancelled."""
        if self.whole is None:
            return ["presence"]
        ours, theirs = self.whole
        found = []
        if ours[0] != theirs[0]:
            found.append("start")
        moved = moment(theirs[0]) - moment(ours[0])
        if ours[1] != theirs[1] and (moment(theirs[1]) - moment(ours[1]) != moved or not moved):
            found.append("end")
        if ours[2] != theirs[2]:
            found.append("cancelled")
        return found


@dataclass(frozen=True)
class Difference:
    """All that differs between us and one oracle on one question."""

    question: Question
    oracle: str
    ours: tuple[Item, ...]
    theirs: tuple[Item, ...]
    again: Callable[[Question], tuple[Item, ...] | None]
    """Asks the same oracle another question; None where it refuses."""

    @cached_property
    def sheet(self) -> Sheet:
        """The text as properties."""
        return Sheet(self.question)

    def event(self, item: Item) -> Event:
        """The component an item comes from."""
        found = self.sheet.titled(item[3])
        assert found is not None
        return found

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """The differences."""
        return tuple(pairs(self.ours, self.theirs))


def pairs(ours: Iterable[Item], theirs: Iterable[Item]) -> list[Pair]:
    """Items of one title belong together if they start alike, else if they are apart by what
    clocks are changed by, else by how near they start."""
    left, right = Counter(ours), Counter(theirs)
    only_ours, only_theirs = sorted((left - right).elements()), sorted((right - left).elements())
    found = []
    for reach in (timedelta(0), NEAR):
        for one in tuple(only_ours):
            near = [other for other in only_theirs if _apart(one, other) <= reach]
            if near:
                best = min(near, key=lambda other: _far(_apart(one, other)))
                only_ours.remove(one)
                only_theirs.remove(best)
                found.append(Pair(one, best))
    return [
        *found,
        *(Pair(one, None) for one in only_ours),
        *(Pair(None, one) for one in only_theirs),
    ]


def _far(apart: timedelta) -> tuple[bool, timedelta]:
    return apart not in _CHANGES, apart


def _apart(one: Item, other: Item) -> timedelta:
    if one[3] != other[3] or ("T" in one[0]) != ("T" in other[0]):
        return timedelta.max
    return abs(_at(one) - _at(other))


def _at(item: Item) -> datetime:
    return moment(item[0])
