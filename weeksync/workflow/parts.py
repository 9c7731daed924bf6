"""Planners over parts of the window: each is made where something of its days is to be planned.

The days of the whole window have been expanded by then, so that a part is only loaded.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from datetime import date, timedelta

import weeksync
from weeksync import zones
from weeksync.calendar import RULES_VERSION
from weeksync.lazy import dataclass
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.fingerprint import fingerprint
from weeksync.workflow.gather import Gathered, gather, window_of, with_days, without_events
from weeksync.workflow.kept_expansions import KeptExpansions
from weeksync.workflow.units import Unit, Units
from weeksync.workflow.window import Window

APART = timedelta(weeks=2)
"""Parts that lie nearer to each other are read as one: it is about what a planner costs."""

LOCAL = "parts are local"
"""The unit without pages that says so."""

VERSION = f"{RULES_VERSION} {zones.tzdata_version()} {weeksync.__version__}"

Days = tuple[date, date]
"""The first and the last day of a part, both included."""


@dataclass
class Parts:
    """What is gathered of a window, part by part."""

    context: Context
    store: Store
    window: Window
    kept: KeptExpansions | None = None
    """Expansions of the whole window, where they were begun."""
    _made: list[tuple[list[Days], Gathered]] = field(default_factory=list)
    _bare: Gathered | None = None

    def read(self, asked: Iterable[Days]) -> None:
        """Gather what covers all these days; days outside of the window are not asked for."""
        new = [one for one in _joined(map(self._inside, asked)) if self._covering(one) is None]
        if new:
            self._made.append((new, with_days(self.context, self.store, self.bare, new)))

    def of(self, days: Days) -> Gathered:
        """What was gathered of these days."""
        found = self._covering(self._inside(days))
        if found is None:
            self.read([days])
            return self._made[-1][1]
        return found

    def _covering(self, days: Days) -> Gathered | None:
        for parts, gathered in self._made:
            if any(first <= days[0] and days[1] <= last for first, last in parts):
                return gathered
        return None

    def read_all(self) -> None:
        """Gather the whole window, as where nearly everything is to be planned."""
        days = self.window.first, self.window.last
        self._bare = gather(self.context, self.store, *days, notes=False, kept=self.kept)
        self.kept = None
        self._made.append(([days], self._bare))

    @property
    def bare(self) -> Gathered:
        """What hangs on no day: problems, and a planner whose events nobody should look at."""
        if self._bare is None:
            self._bare = without_events(self.context, self.store, self.window.first)
        return self._bare

    def let_go(self) -> None:
        """Nothing more is to be planned: every event of the window is held here."""
        self._made.clear()
        self._bare = None

    def are_local(self, units: Units) -> bool:
        """Whether a part holds of each of its days what the whole window would hold.

        Not where an appointment of the household repeats without end for the budget: whether it is
        given up hangs on how many days are asked for. What was found is kept among the units.
        """
        window = window_of(self.context, self.window.first, self.window.last)
        digest = self.context.files.digests.get("appointments.toml", "")
        key = fingerprint(digest, window, self.context.config.household.time_zone, VERSION)
        kept = units.kept(LOCAL, key)
        if kept is None:
            from weeksync.calendar import from_appointments  # what knows of rules comes with it

            by_hand = from_appointments(self.context.files.appointments, *window, self.context.tz)
            kept = Unit(key, gist=[not by_hand.problems])
            units.note(LOCAL, kept)
        return kept.gist == [True]

    def _inside(self, days: Days) -> Days:
        return max(days[0], self.window.first), min(days[1], self.window.last)


def _joined(asked: Iterable[Days]) -> list[Days]:
    found: list[Days] = []
    for first, last in sorted(asked):
        if found and first - found[-1][1] <= APART:
            found[-1] = found[-1][0], max(found[-1][1], last)
        else:
            found.append((first, last))
    return found
