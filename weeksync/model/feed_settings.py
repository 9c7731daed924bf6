"""The part of `config.toml` that says what stands in the feed of a person's plan."""

from __future__ import annotations

from pydantic import Field

from weeksync.model.fields import Record


class Feed(Record):
    """What a person's own calendar gets to see of the plan (`[feed]`)."""

    habits: bool = True
    """Whether habits stand in it, each on the days on which it is due."""
    alarm_minutes: int = Field(default=0, ge=0, le=1440)
    """How many minutes before a task or break with a time a phone speaks up; 0 for never."""
