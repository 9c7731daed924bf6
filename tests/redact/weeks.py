"""A week of few things, shared by a few rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from tests.support.plans import LONDON, NOW, config, files, planner
from weeksync.model.config import Config
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.shared import Decision, Redacted, SharedEvent
from weeksync.model.spread import LeftOut, Spread
from weeksync.model.week import IsoWeek
from weeksync.redact import Sources, redact

W11 = IsoWeek(2027, 11)
"""15 to 21 March 2027; it is over at the planner's NOW."""

CALENDARS = [
    {"id": "home", "path": "home.ics", "area": "home"},
    {"id": "club", "path": "club.ics"},
]


def settings(
    *, calendars: Iterable[dict[str, Any]] = (), areas: Any = None, rules: Any = (), **sharing: Any
) -> Config:
    """A household with two calendars; `calendars` are keys that each of them has besides."""
    said = [one | more for one, more in zip(CALENDARS, [*calendars, {}, {}], strict=False)]
    keys = {"calendars": said, "rules": list(rules), "sharing": sharing}
    return config(**keys) if areas is None else config(**keys, areas=areas)


def title_rules(*released: str, **more: Any) -> Config:
    """Both calendars at title, these titles released, exact times."""
    level = {"share": "title"}
    return settings(calendars=(level, level), released=released, times="exact", **more)


def spread_of(
    said: Config,
    occurrences: Iterable[Occurrence],
    todos: Iterable[TodoItem] = (),
    left_out: Iterable[LeftOut] = (),
    **parts: Any,
) -> Spread:
    """The week of 15 March with these things on it."""
    household = files(said, **parts)
    return planner(household, tuple(occurrences), todos, left_out=left_out).week(W11)


def shared(
    said: Config,
    occurrences: Iterable[Occurrence] = (),
    todos: Iterable[TodoItem] = (),
    left_out: Iterable[LeftOut] = (),
    around: Iterable[Spread] = (),
    **parts: Any,
) -> Redacted:
    """What of them is shared, by the rules of `said`."""
    spread = spread_of(said, occurrences, todos, left_out, **parts)
    return redact(Sources(spread, files(said, **parts), LONDON, tuple(around)))


def labels(found: Redacted) -> list[str]:
    """What stands on the page for events, by day."""
    return [one.label for one in on_page(found)]


def on_page(found: Redacted) -> list[SharedEvent]:
    """The events of all days, in order."""
    return [one for day in found.shared.days for one in day.events]


def decision(found: Redacted, title: str) -> Decision:
    """What was decided about a thing."""
    return next(one for one in found.decisions if one.title == title)


def with_class(one: Occurrence, classification: str) -> Occurrence:
    """The same with that CLASS."""
    return replace(one, classification=classification)


assert NOW.isocalendar()[:2] == (2027, 12)
