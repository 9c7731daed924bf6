"""A budget of work that is counted and not timed."""

from __future__ import annotations


class StepsSpent(Exception):
    """The budget of work is used up."""


class Steps:
    """So many steps of work, so that hostile rules end and equal inputs give equal outputs.

    One step is about one candidate day or time looked at. `shared` is the budget of the whole
    source, which this one draws on too.
    """

    def __init__(self, left: int, shared: Steps | None = None) -> None:
        self.left = left
        self._shared = shared

    def spend(self, steps: int) -> None:
        """Take so many steps; StepsSpent where they are not there."""
        self.left -= steps
        if self._shared is not None:
            self._shared.spend(steps)
        if self.left < 0:
            raise StepsSpent
