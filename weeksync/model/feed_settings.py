"""The part of `config.toml` that says what stands in the feed of a person's plan."""

from __future__ import annotations

from pydantic import Field

from weeksync.model.fields import Record


class Feed(Record):
    """What a person's own calendar gets to see of the plan (weeksync feed)."""

    habits: bool = True
    """Whether habits stand in it, on the days on which they are due."""
    alarm_minutes: int = Field(default=0, ge=0, le=1440)
    """How many minutes before a task or break with a time a phone speaks up; 0 for never."""
