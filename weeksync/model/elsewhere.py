"""Other clocks beside ours: that of an event's own zone, those of persons who live elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from weeksync.lazy import dataclass
from weeksync.model.config import Config
from weeksync.model.occurrence import Occurrence
from weeksync.zones import find_zone


@dataclass(frozen=True, slots=True)
class OtherClock:
    """What a clock of another zone shows as something starts."""

    zone: str
    """A name of the IANA database, as America/St_Johns."""
    start: datetime
    """Aware, in that zone; its date may be another than ours."""


class OtherClocks:
    """Finds the clocks to show beside the household's own; `tz` is its zone."""

    def __init__(self, config: Config, tz: ZoneInfo) -> None:
        self._tz = tz
        self._of_person: Mapping[str, str] = {
            one.id: one.time_zone for one in config.people if one.time_zone
        }

    def of(self, one: Occurrence) -> tuple[OtherClock, ...]:
        """The other clocks as it starts: those that show another time, each zone once.

        () for what takes whole days, and in zones that are no place, as UTC.
        """
        if not isinstance(one.start, datetime):
            return ()
        names = [self._of_person[person] for person in one.persons if person in self._of_person]
        if not names and one.zone == self._tz.key:
            return ()
        names.insert(0, one.zone)
        here, found = None, []
        for name in dict.fromkeys(names):
            zone = find_zone(name) if "/" in name and name != self._tz.key else None
            if zone is not None:
                here = here or one.start.astimezone(self._tz).replace(tzinfo=None)
                there = one.start.astimezone(zone)
                if there.replace(tzinfo=None) != here:
                    found.append(OtherClock(name, there))
        return tuple(found)
