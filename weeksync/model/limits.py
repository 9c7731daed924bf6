"""Limits that parts are handed; the settings behind them are in `config.toml`."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PullLimits:
    """Bounds of a pull: seconds for one whole answer, seconds for a source, bytes unpacked."""

    timeout_seconds: float = 30.0
    budget_seconds: float = 300.0
    max_bytes: int = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class ExpandLimits:
    """Bounds of an expansion: occurrences of one UID in the window, and of one collection.

    The steps bound the work by count: one step is about one candidate day or time of a
    recurrence rule that is looked at, whether or not it becomes an occurrence.
    """

    per_uid: int = 5_000
    per_collection: int = 200_000
    steps_per_uid: int = 200_000
    steps_per_collection: int = 1_000_000
