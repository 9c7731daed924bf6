"""What other pages need of a week: what was left out of it, and what it has a place for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import LeftOut, LeftOutReason
from weeksync.model.week import IsoWeek
from weeksync.plan.local_days import LocalDays
from weeksync.workflow.context import Context
from weeksync.workflow.units import Gist, Unit
from weeksync.workflow.window import Window

Line = list[str]
"""Of something that was left out: its day, its title, its source, and why."""


def week_gist(lines: list[Line], placed: Iterable[str]) -> Gist:
    """The gist of a week: what was left out of it, the ids of the tasks it has a place for."""
    return [lines, sorted(placed)]


@dataclass
class Placed:
    """The tasks for which weeks ahead have a place, by week, as far as they were gone through."""

    is_ahead: Callable[[IsoWeek], bool]
    weeks: dict[IsoWeek, list[str]] = field(default_factory=dict)

    @property
    def before(self) -> frozenset[str]:
        """The ids of all of them."""
        return frozenset[str]().union(*self.weeks.values())

    def add(self, week: IsoWeek, unit: Unit | None) -> None:
        """Take what the gist of a week says; what is no gist of a week says nothing."""
        if self.is_ahead(week):
            gist = unit.gist if unit is not None else []
            placed = gist[1] if len(gist) > 1 and isinstance(gist[1], list) else []
            self.weeks[week] = [str(one) for one in placed]


def left_out_lines(
    context: Context, window: Window, left_out: Iterable[LeftOut]
) -> Mapping[IsoWeek, list[Line]]:
    """What was left out as the page of problems lists it, where everybody may see it, by week.

    Each thing is in the gist of the week in which it begins, or of the first one.
    """
    local, rule = LocalDays(context.tz), context.rule
    found: dict[IsoWeek, list[Line]] = defaultdict(list)
    for one in left_out:
        what = one.occurrence
        if what.only_for or what.journal:
            continue
        begins = max(local.span(what.start, what.end)[0], window.first)
        day = what.start.date() if isinstance(what.start, datetime) else what.start
        line = [day.isoformat(), what.title, what.source, one.reason.value]
        found[rule.week_of(begins)].append(line)
    return found


def left_out_of(gist: Gist) -> Iterator[LeftOut]:
    """What the gist of a week says was left out."""
    for day, title, source, reason in gist[0]:
        start = date.fromisoformat(day)
        yield LeftOut(Occurrence(source, "", "", "", title, start, start), LeftOutReason(reason))
