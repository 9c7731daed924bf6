"""The part of `config.toml` that says what is written down of each pull."""

from __future__ import annotations

from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.model.record import Length, Record, Within

Level = Literal["error", "warning", "info"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Log(Record):
    """What is written down of each pull and night: a line for each calendar and one for the run."""

    file: Annotated[str, Length(most=1000)] = ""
    """The file, from the household folder on, as state/log.txt; without it nothing is written."""
    level: Level = "info"
    """error: what nobody could pull; warning: what to look at, too; info: everything."""
    kilobytes: Annotated[int, Within(least=16, most=1_000_000)] = 256
    """How large it grows before it is renamed to its name with .1 and begun anew."""
