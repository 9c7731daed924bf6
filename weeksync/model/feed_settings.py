"""The part of `config.toml` that says what stands in the feed of a person's plan."""

from __future__ import annotations

from typing import Annotated

from weeksync.lazy import dataclass
from weeksync.model.record import Record, Within


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed(Record):
    """What a person's own calendar gets to see of the plan (weeksync feed)."""

    habits: bool = True
    """Whether habits stand in it, on the days on which they are due."""
    alarm_minutes: Annotated[int, Within(least=0, most=1440)] = 0
    """How many minutes before a task or break with a time a phone speaks up; 0 for never."""
