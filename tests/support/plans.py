"""Small households and occurrences to plan with: records made by hand, no files read."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from weeksync.model.config import Config
from weeksync.model.household import HouseholdFiles, Mark
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.week import WeekRule
from weeksync.plan import Planner
from weeksync.read.checked import checked
from weeksync.zones import zone

LONDON = zone("Europe/London")
EXPECTED: dict[str, Any] = json.loads(
    (Path(__file__).parent.parent / "demo" / "expected.json").read_text(encoding="utf-8")
)
"""The demo household's figures, computed without any library for recurrences or holidays."""

NOW = datetime(2027, 3, 24, 7, 30, tzinfo=UTC)
"""A Wednesday morning of 2027-W12."""

CONFIG: dict[str, Any] = {
    "format": 1,
    "household": {"name": "The Marlowicks", "time_zone": "Europe/London", "region": "GB-ENG"},
    "people": [
        {"id": "ines", "name": "Ines"},
        {"id": "dov", "name": "Dov"},
        {"id": "pell", "name": "Pell", "child": True},
        {"id": "juno", "name": "Juno", "child": True},
    ],
    "areas": [
        {"id": "home", "name": "Home", "colour": "moss", "letter": "H"},
        {"id": "stall", "name": "Stall", "colour": "straw", "letter": "S"},
    ],
}


def config(**keys: Any) -> Config:
    """The household's configuration with some keys replaced."""
    return checked(Config, CONFIG | keys)


def files(settings: Config | None = None, **parts: Any) -> HouseholdFiles:
    """The household's files with the given parts."""
    return HouseholdFiles(settings or config(), **parts)


def at(text: str, tz: str = "Europe/London") -> datetime:
    """A local time as `2027-03-22 10:00`, aware, in a zone."""
    return datetime.fromisoformat(text).replace(tzinfo=zone(tz))


def timed(title: str, start: datetime, minutes: int = 60, **keys: Any) -> Occurrence:
    """An occurrence of that many exact minutes, its title also its UID."""
    end = (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(start.tzinfo)
    return _occurrence(title, start, end, keys)


def all_day(title: str, first: date, days: int = 1, **keys: Any) -> Occurrence:
    """An all-day occurrence over that many days, its title also its UID."""
    return _occurrence(title, first, first + timedelta(days=days), keys)


def _occurrence(
    title: str, start: datetime | date, end: datetime | date, keys: dict[str, Any]
) -> Occurrence:
    plain: dict[str, Any] = {"source": "home", "collection": "", "uid": title, "identity": ""}
    return Occurrence(title=title, start=start, end=end, **(plain | keys))


def todo(title: str, **keys: Any) -> TodoItem:
    """A to-do of a calendar, its title also its UID."""
    plain: dict[str, Any] = {"source": "home", "collection": "", "uid": title, "identity": ""}
    return TodoItem(title=title, **(plain | keys))


def mark(thing: str, day: date, value: str, *, recorded: datetime | None = None) -> Mark:
    """A mark, made at eight in the evening of its day where nothing else is said."""
    moment = recorded or datetime(day.year, day.month, day.day, 20, tzinfo=UTC)
    return Mark(thing, day, "", value, moment, moment, "tablet")


def planner(
    household: HouseholdFiles | None = None,
    occurrences: Iterable[Occurrence] = (),
    todos: Iterable[TodoItem] = (),
    **keys: Any,
) -> Planner:
    """A planner of that household in London, with Monday weeks, at NOW."""
    plain: dict[str, Any] = {
        "now": NOW,
        "tz": LONDON,
        "rule": WeekRule(),
        "language": "en_GB",
    }
    return Planner(household or files(), occurrences, todos, **(plain | keys))
