"""A household that is read anew whenever that is asked for, at the instant it then is."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from weeksync.lazy import dataclass
from weeksync.workflow.context import Context


@dataclass(frozen=True, slots=True)
class Reader:
    """Where a household lies, where its pages go, and the clock of a run that lasts.

    `now` gives the instant in UTC. `output` is None where `config.toml` says it.
    """

    folder: Path
    now: Callable[[], datetime]
    output: Path | None = None

    def read(self, *, give_ids: bool = True) -> Context:
        """The household as its files are now; HouseholdError where it cannot be used.

        Its instant is in whole seconds, as that of a run of any other command.
        """
        now = self.now().replace(microsecond=0)
        return Context.read(self.folder, now, output=self.output, give_ids=give_ids)
