"""The part of `config.toml` that says what is written down of each pull."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from weeksync.model.fields import Record

Level = Literal["error", "warning", "info"]


class Log(Record):
    """What is written down of each pull and night: a line for each calendar and one for the run."""

    file: str = Field(default="", max_length=1000)
    """The file, from the household folder on, as state/log.txt; without it nothing is written."""
    level: Level = "info"
    """error: what nobody could pull; warning: what to look at, too; info: everything."""
    kilobytes: int = Field(default=256, ge=16, le=1_000_000)
    """How large it grows before it is renamed to its name with .1 and begun anew."""
