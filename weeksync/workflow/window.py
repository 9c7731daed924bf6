"""The weeks and months that have pages, and the days these show."""

from __future__ import annotations

from datetime import date

from weeksync.lazy import dataclass
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek, Month, WeekRule
from weeksync.plan import Planner
from weeksync.workflow.context import Context


@dataclass(frozen=True, slots=True)
class Window:
    """The weeks and months that have pages, and the days these show."""

    weeks: tuple[IsoWeek, ...]
    months: tuple[Month, ...]
    first: date
    last: date

    @classmethod
    def of(cls, context: Context) -> Window:
        """The window that `[site]` of `config.toml` asks for, around the week of `now`."""
        site, rule = context.config.site, context.rule
        middle = rule.week_of(context.today)
        weeks = tuple(middle.shifted(by) for by in range(-site.weeks_back, site.weeks_ahead + 1))
        first, last = rule.days(weeks[0])[0], rule.days(weeks[-1])[-1]
        months = [Month.of(first)]
        while months[-1] < Month.of(last):
            months.append(months[-1].shifted(1))
        return cls(
            weeks,
            tuple(months),
            min(first, rule.start(months[0].first)),
            max(last, rule.days(rule.week_of(months[-1].last))[-1]),
        )

    def shown(self, rule: WeekRule) -> tuple[IsoWeek, ...]:
        """The weeks of all its days: those that have pages, and what months show besides."""
        weeks = [rule.week_of(self.first)]
        while rule.days(weeks[-1])[-1] < self.last:
            weeks.append(weeks[-1].shifted(1))
        return tuple(weeks)


def week_of(context: Context, planner: Planner, week: IsoWeek) -> Spread:
    """The week as it was closed; as it is planned where it is not, or its record is damaged."""
    closed = context.archive.get(week)
    return closed.spread if closed is not None else planner.week(week)
