"""Telling how far a long piece of work is: a protocol, and a silent one for cron."""

from __future__ import annotations

from typing import Protocol

from weeksync.message import Message


class Progress(Protocol):
    """Told about steps of long work; shows them or not."""

    def start(self, what: Message, steps: int) -> None:
        """A piece of work of that many steps begins; it ends the one before."""

    def step(self) -> None:
        """One more step is done."""


class Silent:
    """Shows nothing: for cron, pipes and tests."""

    def start(self, what: Message, steps: int) -> None:
        """Nothing to show."""

    def step(self) -> None:
        """Nothing to show."""
