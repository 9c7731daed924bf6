"""The parts of `config.toml` that say how weeksync works: pulls, limits, pages, paper."""

from __future__ import annotations

from typing import Annotated

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import Title
from weeksync.model.mistake import Mistake
from weeksync.model.paper_settings import Paper
from weeksync.model.record import Length, Record, Within
from weeksync.model.sharing_settings import Sharing

__all__ = ["Limits", "Paper", "Pull", "Review", "Sharing", "Site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull(Record):
    """Limits of a pull."""

    timeout_seconds: Annotated[int, Within(least=1, most=3600)] = 30
    """How long one answer of a server may take, from first to last byte."""
    budget_seconds: Annotated[int, Within(least=1, most=86_400)] = 300
    """How long one source may take altogether."""
    run_seconds: Annotated[int, Within(least=1, most=86_400)] = 900
    """How long all servers together may take; one whose turn comes later is not asked."""
    max_megabytes: Annotated[int, Within(least=1, most=4096)] = 32
    """The largest file or answer that is taken, unpacked; 32 hold 35,000 events."""
    max_megabytes_per_source: Annotated[int, Within(least=1, most=65_536)] = 128
    """The most that one source may bring in one pull, as a folder of files may."""
    at_once: Annotated[int, Within(least=1, most=32)] = 4
    """How many sources are pulled at the same time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits(Record):
    """How much of the calendars is read, so that none can take all the time and memory there is.

    Counts, not seconds: the same calendars give the same pages on every machine. What is left out
    is told on the page of problems.
    """

    entries_per_object: Annotated[int, Within(least=1)] = 40_000
    """Events, to-dos and journal entries that are read of one file, feed or server object."""
    entries_per_source: Annotated[int, Within(least=1)] = 120_000
    """The same of one source altogether."""
    entries_per_run: Annotated[int, Within(least=1)] = 240_000
    """The same of all sources, in the order of this file."""
    occurrences_per_event: Annotated[int, Within(least=1)] = 5_000
    """Times that one event is shown; one of several days counts for each day with a page."""
    occurrences_per_source: Annotated[int, Within(least=1)] = 10_000
    """The same of one source; what is near this week goes first."""
    occurrences_per_run: Annotated[int, Within(least=1)] = 60_000
    """The same of all sources."""
    steps_per_event: Annotated[int, Within(least=1)] = 200_000
    """Days and times that are looked at to find out when one event repeats."""
    steps_per_source: Annotated[int, Within(least=1)] = 600_000
    """The same for one source."""
    steps_per_run: Annotated[int, Within(least=1)] = 2_000_000
    """The same for all sources."""


MOST_A_DAY = 30
"""How many things of a kind a day lists where nobody has said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site(Record):
    """Which pages are made, and where."""

    output: str = "output"
    """The folder the pages go to, from the household folder on; the pages are in `site` in it."""
    weeks_back: Annotated[int, Within(least=0, most=520)] = 6
    """How many past weeks have pages."""
    weeks_ahead: Annotated[int, Within(least=0, most=520)] = 26
    """How many coming weeks have pages."""
    most_a_day: Annotated[int, Within(least=1, most=10_000)] = MOST_A_DAY
    """Occurrences, and tasks, that a day of the week page lists at most; the rest is counted."""
    templates: str = ""
    """A folder of your own templates, from the household folder on; each replaces one of ours."""
    own_pages: bool = False
    """Make `own` beside `site`, too: a page a week with check-ins and amounts, apart from it."""

    def check(self) -> None:
        """Raise Mistake for an output that the household needs for itself."""
        first = next((part for part in self.output.split("/") if part not in {"", "."}), "")
        if first in _TAKEN and not self.output.startswith("/"):
            raise Mistake(
                message("output is a folder that the household needs for itself"),
                message("name a folder that holds nothing else, as output"),
                "output",
            )


_TAKEN = {"", "state", "weeks", "marks", "check-ins", "archive", "reviews", "snapshots"}
"""Folders of the household, and the household folder itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Review(Record):
    """What is asked when a week is looked back on."""

    questions: Annotated[tuple[Title, ...], Length(most=2)] = ()
    """Up to two questions of your own, to be answered each week; without them none is asked."""
