"""The parts of `config.toml` that say how weeksync works: pulls, limits, pages, paper."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from weeksync.message import message
from weeksync.model.fields import Record, Title
from weeksync.model.mistake import Mistake
from weeksync.model.paper_settings import Paper
from weeksync.model.sharing_settings import Sharing

__all__ = ["Limits", "Paper", "Pull", "Review", "Sharing", "Site"]


class Pull(Record):
    """Limits of a pull."""

    timeout_seconds: int = Field(default=30, ge=1, le=3600)
    """How long one answer of a server may take, from first to last byte."""
    budget_seconds: int = Field(default=300, ge=1, le=86_400)
    """How long one source may take altogether."""
    run_seconds: int = Field(default=900, ge=1, le=86_400)
    """How long all servers together may take; one whose turn comes later is not asked."""
    max_megabytes: int = Field(default=32, ge=1, le=4096)
    """The largest file or answer that is taken, unpacked; 32 hold 35,000 events."""
    max_megabytes_per_source: int = Field(default=128, ge=1, le=65_536)
    """The most that one source may bring in one pull, as a folder of files may."""
    at_once: int = Field(default=4, ge=1, le=32)
    """How many sources are pulled at the same time."""


class Limits(Record):
    """How much of the calendars is read, so that none can take all the time and memory there is.

    Counts, not seconds: the same calendars give the same pages on every machine. What is left out
    is told on the page of problems.
    """

    entries_per_object: int = Field(default=40_000, ge=1)
    """Events, to-dos and journal entries that are read of one file, feed or server object."""
    entries_per_source: int = Field(default=120_000, ge=1)
    """The same of one source altogether."""
    entries_per_run: int = Field(default=240_000, ge=1)
    """The same of all sources, in the order of this file."""
    occurrences_per_event: int = Field(default=5_000, ge=1)
    """Times that one event is shown; one of several days counts for each day with a page."""
    occurrences_per_source: int = Field(default=10_000, ge=1)
    """The same of one source; what is near this week goes first."""
    occurrences_per_run: int = Field(default=60_000, ge=1)
    """The same of all sources."""
    steps_per_event: int = Field(default=200_000, ge=1)
    """Days and times that are looked at to find out when one event repeats."""
    steps_per_source: int = Field(default=600_000, ge=1)
    """The same for one source."""
    steps_per_run: int = Field(default=2_000_000, ge=1)
    """The same for all sources."""


MOST_A_DAY = 30
"""How many things of a kind a day lists where nobody has said."""


class Site(Record):
    """Which pages are made, and where."""

    output: str = "output"
    """The folder the pages go to, from the household folder on; the pages are in `site` in it."""
    weeks_back: int = Field(default=6, ge=0, le=520)
    """How many past weeks have pages."""
    weeks_ahead: int = Field(default=26, ge=0, le=520)
    """How many coming weeks have pages."""
    most_a_day: int = Field(default=MOST_A_DAY, ge=1, le=10_000)
    """Occurrences, and tasks, that a day of the week page lists at most; the rest is counted."""
    templates: str = ""
    """A folder of your own templates, from the household folder on; each replaces one of ours."""
    own_pages: bool = False
    """Make `own` beside `site`, too: a page a week with check-ins and amounts, apart from it."""

    @model_validator(mode="after")
    def _a_folder_of_its_own(self) -> Self:
        first = next((part for part in self.output.split("/") if part not in {"", "."}), "")
        if first in _TAKEN and not self.output.startswith("/"):
            raise Mistake(
                message("output is a folder that the household needs for itself"),
                message("name a folder that holds nothing else, as output"),
                "output",
            )
        return self


_TAKEN = {"", "state", "weeks", "marks", "check-ins", "archive", "reviews", "snapshots"}
"""Folders of the household, and the household folder itself."""


class Review(Record):
    """What is asked when a week is looked back on."""

    questions: tuple[Title, ...] = Field(default=(), max_length=2)
    """Up to two questions of your own, to be answered each week; without them none is asked."""
