"""The proposals of the weeks from now on, each made of the parts of a planner."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from weeksync.model.spread import Day
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import Carried, DayLoad, LighterDays, Piece, Proposal, ProposedHabit
from weeksync.plan.engagements import Engagements
from weeksync.plan.habit_days import propose_habits
from weeksync.plan.lighter import Household, lighter_days
from weeksync.plan.nights import nights
from weeksync.plan.proposal import propose
from weeksync.plan.week_rooms import Setting
from weeksync.plan.week_tasks import Asked

if TYPE_CHECKING:
    from weeksync.plan.week_plan import Parts

Taken = Callable[[Sequence[Day]], tuple[Engagements, tuple[DayLoad, ...]]]
"""Gives the engagements and the loads of the days of a week."""


class Proposals:
    """The proposals of the week of today and those after it, each made once.

    A task that has found a place in one week is not proposed again in the next. Weeks that are
    over have none, nor have those further ahead than the household looks
    (`planning.look_ahead_weeks`). `taken` gives what takes time in a week, `day` one of its days;
    `confirmed` are the pieces of the confirmed snapshots, by the id of their task.
    """

    def __init__(
        self,
        parts: Parts,
        day: Callable[[date], Day],
        taken: Taken,
        confirmed: Mapping[str, Sequence[Piece]] | None = None,
    ) -> None:
        self._parts = parts
        self._day = day
        self._taken = taken
        self.confirmed = confirmed or {}
        self._ahead = parts.files.config.planning.look_ahead_weeks
        self._made: dict[IsoWeek, Proposal] = {}

    def of(
        self, week: IsoWeek, engaged: Engagements, loads: tuple[DayLoad, ...]
    ) -> Proposal | None:
        """The proposal of a week with these engagements and loads, the weeks before it first."""
        parts = self._parts
        this = parts.rule.week_of(parts.today)
        if not this <= week <= this.shifted(self._ahead):
            return None
        one = this
        while one <= week:
            if one not in self._made:
                days = [self._day(day) for day in parts.rule.days(one)]
                taken = (engaged, loads) if one == week else self._taken(days)
                self._made[one] = self._make(one, days, *taken)
            one = one.shifted(1)
        return self._made[week]

    def _make(
        self,
        week: IsoWeek,
        days: Sequence[Day],
        engaged: Engagements,
        loads: tuple[DayLoad, ...],
    ) -> Proposal:
        parts = self._parts
        dates = [day.date for day in days]
        lighter = parts.habits.lighter
        asked = Asked(
            days=dates,
            today=parts.today,
            until=dates[-1] + timedelta(weeks=self._ahead),
            standing={day.date: day.tasks for day in days},
            open_tasks=parts.tasks.open(),
            priorities={day.date: day.priorities for day in days},
            wanted_on=parts.tasks.wanted_on,
            find=parts.tasks.find,
            elsewhere=self._placed_before(week) | self._confirmed_after(dates[-1]),
        )
        setting = Setting(
            parts.now,
            parts.local.tz,
            parts.files.config.planning,
            lighter.covers,
            self.confirmed,
        )
        return propose(asked, loads, setting, _habits(parts, dates, engaged, loads))

    def _placed_before(self, week: IsoWeek) -> set[str]:
        return {
            one.task
            for earlier, made in self._made.items()
            if earlier < week
            for one in made.tasks
            if one.pieces
        }

    def _confirmed_after(self, last: date) -> set[str]:
        """Tasks that a snapshot of a later week has, if they need not be done before."""
        return {
            task.id
            for task in self._parts.tasks.open()
            if (pieces := self.confirmed.get(task.id))
            and min(piece.start.date() for piece in pieces) > last
            and (task.last_day is None or task.last_day > last)
        }


def _habits(
    parts: Parts, dates: Sequence[date], engaged: Engagements, loads: Sequence[DayLoad]
) -> tuple[ProposedHabit, ...]:
    rows = parts.habits.rows(dates)
    evenings = [day - timedelta(days=1) for day in dates]
    after_nights = {
        (person, evening + timedelta(days=1))
        for person in {row.person for row in rows}
        for evening in nights(
            [one for one in engaged.of(person) if one.engagement.work], evenings, parts.hours
        )
    }
    return propose_habits(rows, loads, after_nights, parts.today)


def carried_tasks(parts: Parts, days: Sequence[date]) -> tuple[Carried, ...]:
    """The tasks that have been carried, in the week that holds today."""
    if not days[0] <= parts.today <= days[-1]:
        return ()
    return parts.tasks.carried(parts.files.config.planning.carry_limit_weeks)


def lighter_of(parts: Parts, days: Sequence[date]) -> tuple[LighterDays, ...]:
    """The lighter periods of a week, as they work out."""
    asked = Household(
        people=parts.files.config.people,
        today=parts.today,
        lessons=parts.terms.lessons,
        by_hand=parts.money.by_hand,
        habits=parts.habits.due_in,
    )
    return lighter_days(parts.habits.lighter, asked, parts.tasks.open(), days[0], days[-1])
