"""`archive/2027-W11.json`: a closed week, with all that its pages need.

Nothing of it is computed again: the spread is the one of the moment of closing, names and colours
are those of then, and so are the clocks. What feeds, files, configuration and zone data say later
does not reach it.
"""

from __future__ import annotations

from dataclasses import field
from datetime import datetime, timedelta, tzinfo

from weeksync.lazy import dataclass
from weeksync.model.config import (
    Area,
    CalendarSource,
    Config,
    DayParts,
    Household,
    Person,
    Planning,
)
from weeksync.model.settings import MOST_A_DAY, Paper, Site
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek

FORMAT = 1
KIND = "weeksync.week"


@dataclass(frozen=True, slots=True)
class ClockChange:
    """From the UTC moment `since` on, clocks show UTC plus `offset` seconds."""

    since: datetime
    offset: int


@dataclass(frozen=True, slots=True)
class ClosedView:
    """What of `config.toml` the pages of the week need: no addresses, no passwords."""

    household: Household
    people: tuple[Person, ...]
    areas: tuple[Area, ...] = ()
    day_parts: DayParts = field(default_factory=DayParts)
    planning: Planning = field(default_factory=Planning)
    paper: Paper = field(default_factory=Paper)
    most_a_day: int = MOST_A_DAY
    """How many things of a kind a day lists."""
    sources: tuple[tuple[str, str], ...] = ()
    """(id, name on the pages) of the calendars."""
    clocks: tuple[ClockChange, ...] = ()
    """How the household's clocks went around the week, first one first."""

    @classmethod
    def of(cls, config: Config, clocks: tuple[ClockChange, ...]) -> ClosedView:
        """The view of a household as it is."""
        return cls(
            household=config.household,
            people=config.people,
            areas=config.areas,
            day_parts=config.day_parts,
            planning=config.planning,
            paper=config.paper,
            most_a_day=config.site.most_a_day,
            sources=tuple((one.id, one.label) for one in config.calendars),
            clocks=clocks,
        )

    def as_config(self) -> Config:
        """The configuration that pages and commands are made with; its sources lead nowhere."""
        return Config(
            format=1,
            household=self.household,
            people=self.people,
            areas=self.areas,
            # A source without an address would be a mistake in a file; here it only has a name.
            calendars=tuple(CalendarSource(id=one, name=name) for one, name in self.sources),
            day_parts=self.day_parts,
            planning=self.planning,
            paper=self.paper,
            site=Site(most_a_day=self.most_a_day),
        )


@dataclass(frozen=True, slots=True)
class ClosedWeek:
    """A week that was closed at `closed_at`; `reopened` are the times it was opened before that."""

    week: IsoWeek
    closed_at: datetime
    tzdata: str
    version: str
    view: ClosedView
    spread: Spread
    """The whole week: amounts, check-ins and what is only for some included."""
    reopened: tuple[datetime, ...] = ()


class KeptZone(tzinfo):
    """The household's zone as it was around a week, independent of zone data.

    Before the first of the changes and after the last one their offsets go on.
    """

    def __init__(self, key: str, changes: tuple[ClockChange, ...]) -> None:
        self.key = key
        self._changes = changes

    def fromutc(self, moment: datetime, /) -> datetime:
        """The local time of a moment that bears this zone and shows UTC."""
        naive = moment.replace(tzinfo=None)
        offset = timedelta(seconds=self._offset(naive))
        local = (naive + offset).replace(tzinfo=self)
        return local if self.utcoffset(local) == offset else local.replace(fold=1)

    def utcoffset(self, moment: datetime | None, /) -> timedelta:
        """The offset of a local time; in a gap or repeat the one before the change."""
        if moment is None:
            return timedelta()
        local, found = moment.replace(tzinfo=None), self._offset(None)
        for one in self._changes[1:]:
            if local >= one.since.replace(tzinfo=None) + timedelta(
                seconds=max(one.offset, found) if not moment.fold else one.offset
            ):
                found = one.offset
        return timedelta(seconds=found)

    def dst(self, moment: datetime | None, /) -> None:
        """Not known."""

    def tzname(self, moment: datetime | None, /) -> str:
        """The name of the zone."""
        return self.key

    def _offset(self, utc: datetime | None) -> int:
        """The offset at a naive UTC moment; the first one for None."""
        found = self._changes[0].offset if self._changes else 0
        for one in self._changes if utc is not None else ():
            if utc is not None and one.since.replace(tzinfo=None) <= utc:
                found = one.offset
        return found
