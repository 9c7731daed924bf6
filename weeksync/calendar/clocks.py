"""Clocks: what turns a wall-clock time into an instant and back.

RFC 5545 section 3.3.5: a time that occurs twice is the first one, a time that does not exist
is read with the offset before the gap. The instances of a rule are treated alike: section
3.3.10 says on p. 43 that those in a gap are ignored and on p. 45 that they are read by section
3.3.5; a shifted appointment is seen and can be put right, a dropped one is missed.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol
from zoneinfo import ZoneInfo

from weeksync import zones
from weeksync.calendar.values import EARLIEST, LATEST
from weeksync.lazy import dataclass


class Clock(Protocol):
    """A time zone as one calendar text has it; `name` as an Occurrence's `zone` shows it."""

    @property
    def name(self) -> str:
        """IANA name, `UTC`, the TZID of the text's own rules, or "" for floating."""

    def instant(self, local: datetime) -> datetime:
        """The UTC instant of a naive local time."""

    def local(self, instant: datetime) -> datetime:
        """The naive local time of a UTC instant."""


@dataclass(frozen=True, slots=True)
class IanaClock:
    """A zone of the IANA database."""

    name: str
    tz: ZoneInfo

    def instant(self, local: datetime) -> datetime:
        """The UTC instant, held within the years Python can reckon."""
        try:
            return zones.instant(local, self.tz)
        except OverflowError:
            edge = LATEST if local.year > 5000 else EARLIEST
            return edge.replace(tzinfo=UTC)

    def local(self, instant: datetime) -> datetime:
        """The naive local time, held within the years Python can reckon."""
        try:
            return instant.astimezone(self.tz).replace(tzinfo=None)
        except OverflowError:
            return LATEST if instant.year > 5000 else EARLIEST


def iana_clock(tz: ZoneInfo) -> IanaClock:
    """The clock of a zone under its own name."""
    return IanaClock(tz.key or "", tz)
