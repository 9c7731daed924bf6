"""What a week or a month holds that comes from no event: it is worked out in little time.

Where these facts are the same as before, and so are the events around the days, a plan is the same
as before, too, whatever day it is and whatever has been edited meanwhile: then it need not be made
again. Proposals hang on more: on everything in the files, and on the weeks before (`Proposals`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from weeksync.lazy import dataclass
from weeksync.model.snapshot import LineKind, Snapshot
from weeksync.model.spread import Day, PlanTask
from weeksync.model.week import Month
from weeksync.plan.coming_up import LookAhead
from weeksync.plan.engagements import MARGIN
from weeksync.plan.week_plan import Parts
from weeksync.plan.week_proposal import lighter_of


def in_month(day: Day) -> Day:
    """What a month shows of a day, besides what happens: its holidays, its term and its money."""
    return replace(
        day,
        priorities=(),
        occurrences=(),
        tasks=(),
        lessons=(),
        breaks=(),
        own=(),
        check_ins=(),
        problems=(),
    )


@dataclass(frozen=True, slots=True)
class Facts:
    """Facts of weeks and months."""

    parts: Parts
    ahead: LookAhead
    """Of tasks alone."""

    @classmethod
    def of(cls, parts: Parts) -> Facts:
        """The facts of a household as the parts of a planner have them."""
        ahead = timedelta(weeks=parts.files.config.planning.look_ahead_weeks)
        tasks = parts.tasks.open()
        return cls(parts, LookAhead((), tasks, lambda _: (), parts.local, ahead))

    def lasting(self, days: Sequence[Day]) -> tuple[object, ...]:
        """What of the week of these days hangs on no more of today than which of them are over."""
        parts, dates = self.parts, [day.date for day in days]
        around = (dates[0] + timedelta(days=by) for by in range(-MARGIN.days, 7 + MARGIN.days))
        return (
            tuple(replace(day, occurrences=(), tasks=(), priorities=(), money=()) for day in days),
            tuple(map(parts.terms.is_term_day, around)),
            parts.habits.rows(dates),
            parts.chosen.notes(parts.rule.week_of(dates[0])),
        )

    def lasting_month(self, days: Sequence[Day]) -> tuple[object, ...]:
        """What a month shows of its days that comes from no event and does not hang on today; and
        the breaks beside them, into which those at its edges may go on."""
        beside = days[0].date - timedelta(days=1), days[-1].date + timedelta(days=1)
        shown = (replace(in_month(day), money=()) for day in days)
        return (*map(self.parts.terms.break_name, beside), *shown)

    def week(
        self, dates: Sequence[date], undated: tuple[PlanTask, ...], snapshot: Snapshot | None
    ) -> tuple[object, ...]:
        """All else of the week of these days, with its tasks that have no day.

        Of `snapshot`, the week's own, only what is done of it: else it is as its file is.
        """
        parts, first, last = self.parts, dates[0], dates[-1]
        return (
            tuple((parts.tasks.on(day), parts.chosen.priorities(day)) for day in dates),
            parts.money.within(first, last),
            undated,
            lighter_of(parts, dates),
            parts.balances.lowest(first, last),
            parts.tallies.lessons(first, last),
            parts.tallies.attendance(first, last),
            self.ahead.within(first, last),
            tuple(self._done(snapshot)),
            first <= parts.today,
        )

    def month(self, month: Month, days: Sequence[date]) -> tuple[object, ...]:
        """Of a month that shows these days, what changes with today; the rest is `in_month`."""
        return (
            self.ahead.of_month(month.first, month.last),
            self.parts.money.within(days[0], days[-1]),
        )

    def _done(self, snapshot: Snapshot | None) -> Iterable[bool]:
        """Whether the tasks that the snapshot names are done: then they are no change."""
        for line in snapshot.lines if snapshot is not None else ():
            if line.kind is LineKind.TASK:
                yield self.parts.tasks.is_done(line.key.partition("|")[2], line.day)
