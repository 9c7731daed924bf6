"""A number for each day of a window: the sum of those of all rows that touch it.

A row's number is 128 bits of its digest, so equal sums are equal rows for all that can happen by
itself. Sums do not depend on order, and a row is taken out by taking its number away: what is
kept of fifty thousand events is brought up to date by looking at the one that changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from hashlib import sha256

LANE = 24
"""Bytes of one sum: 64 bits more than one number, so that no sum runs over into the next."""


def number_of(*texts: str) -> int:
    """The number of a row of these texts."""
    # With "replace" no text is refused; none that is stored has anything to replace.
    digest = sha256("\0".join(texts).encode("utf-8", "replace")).digest()
    return int.from_bytes(digest[:16], "big")


class DaySums:
    """The sums of the days [start, end)."""

    def __init__(self, start: date, end: date, packed: bytes | None = None) -> None:
        self._start, count = start.toordinal(), max((end - start).days, 0)
        self._sums = [0] * count if packed is None else unpacked(packed)
        self._at: dict[str, int] = {}
        if len(self._sums) != count:
            raise ValueError(f"{len(self._sums)} sums for {count} days")

    def add(self, number: int, first: str, last: str) -> None:
        """Add a row's number to all days from `first` to `last`; below zero it is taken away."""
        for at in range(max(self._place(first), 0), min(self._place(last) + 1, len(self._sums))):
            self._sums[at] += number

    def moved(self, start: date, end: date) -> DaySums:
        """Those of another window: days that are in both keep their sums, the others have none."""
        new = DaySums(start, end)
        shift = new._start - self._start
        for at in range(max(-shift, 0), min(len(new._sums), len(self._sums) - shift)):
            new._sums[at] = self._sums[at + shift]
        return new

    def packed(self) -> bytes:
        """As bytes, one lane a day."""
        return b"".join([one.to_bytes(LANE, "big") for one in self._sums])

    def _place(self, day: str) -> int:
        place = self._at.get(day)
        if place is None:
            place = self._at[day] = date.fromisoformat(day).toordinal() - self._start
        return place


def unpacked(packed: bytes) -> list[int]:
    """The sums of a run of days; ValueError where the bytes are none."""
    if len(packed) % LANE:
        raise ValueError(f"{len(packed)} bytes are no sums of days")
    return [int.from_bytes(packed[at : at + LANE], "big") for at in range(0, len(packed), LANE)]


def added(packed: Iterable[bytes], size: int) -> bytes:
    """The sums of several sources for the same `size` days, day by day.

    Lanes have room for each other's sums, so all days are added as one number. ValueError where
    one is of other days.
    """
    total = 0
    for one in packed:
        if len(one) != size * LANE:
            raise ValueError(f"{len(one)} bytes are no sums of {size} days")
        total += int.from_bytes(one, "big")
    return total.to_bytes(size * LANE, "big")
