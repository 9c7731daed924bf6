"""Limits that parts are handed; the settings behind them are in `config.toml`.

All but the seconds of a pull are counts, so that equal inputs give equal pages on every machine.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace

from weeksync.lazy import dataclass


@dataclass(frozen=True, slots=True)
class PullLimits:
    """Bounds of a pull: seconds for one whole answer, seconds for a source, bytes unpacked.

    `max_bytes` is for one object (an answer, a file), `source_bytes` for all that one source
    brings in one pull.
    """

    timeout_seconds: float = 30.0
    budget_seconds: float = 300.0
    max_bytes: int = 32 * 1024 * 1024
    source_bytes: int = 128 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class ReadLimits:
    """Bounds of reading one object: what stands behind them in its text is left out.

    `entries` are VEVENTs, VTODOs and VJOURNALs, `marks` BEGIN and END lines of any kind, `zones`
    VTIMEZONEs; one of more than `zone_bytes` is not kept.
    """

    entries: int = 40_000
    marks: int = 300_000
    zones: int = 2_000
    zone_bytes: int = 262_144


@dataclass(frozen=True, slots=True)
class ExpandLimits:
    """Bounds of an expansion, each for one event (UID), for one source and for a whole run.

    Occurrences are counted by the days of the window they lie on, and an entry that is read
    counts for one even where it gives none. One step is about one candidate day or time of a
    recurrence rule that is looked at, whether or not it becomes an occurrence. `entries` are
    those of all texts, in the window or not.
    """

    per_uid: int = 5_000
    per_source: int = 10_000
    per_run: int = 60_000
    steps_per_uid: int = 200_000
    steps_per_source: int = 600_000
    steps_per_run: int = 2_000_000
    entries_per_uid: int = 5_000
    entries_per_source: int = 120_000
    entries_per_run: int = 240_000
    read: ReadLimits = field(default_factory=ReadLimits)

    def left_of(self, spent: Iterable[Spent]) -> ExpandLimits:
        """The limits of the next source of a run that has spent so much already."""
        spent = tuple(spent)
        occurrences = sum(one.occurrences for one in spent)
        steps = sum(one.steps for one in spent)
        entries = sum(one.entries for one in spent)
        return replace(
            self,
            per_source=max(min(self.per_source, self.per_run - occurrences), 0),
            steps_per_source=max(min(self.steps_per_source, self.steps_per_run - steps), 0),
            entries_per_source=max(min(self.entries_per_source, self.entries_per_run - entries), 0),
        )


@dataclass(frozen=True, slots=True)
class Spent:
    """What one source took of the limits of its run."""

    occurrences: int = 0
    steps: int = 0
    entries: int = 0
