"""Where a band lies: how high it is, and which part of a spread a page shows."""

from __future__ import annotations

from typing import NamedTuple

HEIGHT_MM = 5.0
ROOM_MM = 7.0
"""What a page keeps free for the band: the band and the white below it."""


class Stretch(NamedTuple):
    """The part of a spread that a page shows, in millimetres from the spread's left edge."""

    first: float
    last: float
    whole: float
