"""The proposals of the weeks from now on, each made of the parts of a planner."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date, timedelta
from itertools import chain
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
from weeksync.plan.week_tasks import Asked, sort_out

if TYPE_CHECKING:
    from weeksync.plan.week_plan import Parts

Taken = Callable[[Sequence[Day]], tuple[Engagements, tuple[DayLoad, ...]]]
"""Gives the engagements and the loads of the days of a week."""


class Proposals:
    """The proposals of the week of today and those after it, each made once.

    A task that has found a place in one week is not proposed again in the next. Weeks that are
    over have none, nor have those further ahead than the household looks
    (`planning.look_ahead_weeks`). `taken` gives what takes time in a week, `day` one of its days;
    `confirmed` are the pieces of the confirmed snapshots, by the id of their task. A week of which
    is `known` what it has a place for is not made before those that follow.
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
        self._placed: dict[IsoWeek, frozenset[str]] = {}

    def known(self, week: IsoWeek, placed: Iterable[str]) -> None:
        """These tasks, by id, are what the proposal of that week has a place for."""
        self._placed[week] = frozenset(placed)

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
            if one not in (self._made if one == week else self._placed):
                days = [self._day(day) for day in parts.rule.days(one)]
                taken = (engaged, loads) if one == week else self._taken(days)
                made = self._made[one] = self._make(one, days, *taken)
                self.known(one, (task.task for task in made.tasks if task.pieces))
            one = one.shifted(1)
        return self._made[week]

    def placed(self, week: IsoWeek) -> frozenset[str]:
        """The ids of the tasks that the proposal of that week has a place for."""
        if week not in self._placed:
            days = [self._day(day) for day in self._parts.rule.days(week)]
            self.of(week, *self._taken(days))
        return self._placed.get(week, frozenset())

    def facts(
        self, week: IsoWeek, days: Sequence[Day], before: Collection[str]
    ) -> tuple[object, ...]:
        """All that the proposal of a week to come is made of that comes from no event and is not
        in the facts of the week (`weeksync.plan.facts`).

        `before` are the tasks that earlier weeks have a place for. Of `now` nothing is in it: for
        a week whose days begin later than `MARGIN` from today it does not count.
        """
        parts = self._parts
        asked = self._asked(days, before)
        tasks = sort_out(asked)
        standing = (task for day in days for task in day.tasks)
        wanted = (task for _, task in tasks.wanted)
        sorted_out = (tasks.chosen, tasks.further, tasks.open, tasks.waiting, tasks.not_yet)
        ids = {task.id for task in (*standing, *wanted, *chain.from_iterable(sorted_out))}
        return (
            tasks,
            [one for one in asked.open_tasks if one.id in ids],
            [
                (task, [piece for piece in pieces if piece.end > parts.now])
                for task, pieces in sorted(self.confirmed.items())
                if task in ids
            ],
            [
                (person.id, [parts.habits.lighter.covers(person.id, day) for day in asked.days])
                for person in parts.files.config.people
            ],
        )

    def _make(
        self,
        week: IsoWeek,
        days: Sequence[Day],
        engaged: Engagements,
        loads: tuple[DayLoad, ...],
    ) -> Proposal:
        parts = self._parts
        before = (placed for earlier, placed in self._placed.items() if earlier < week)
        asked = self._asked(days, frozenset[str]().union(*before))
        setting = Setting(
            parts.now,
            parts.local.tz,
            parts.files.config.planning,
            parts.habits.lighter.covers,
            self.confirmed,
        )
        return propose(asked, loads, setting, _habits(parts, asked.days, engaged, loads))

    def _asked(self, days: Sequence[Day], before: Collection[str]) -> Asked:
        parts, dates = self._parts, [day.date for day in days]
        return Asked(
            days=dates,
            today=parts.today,
            until=dates[-1] + timedelta(weeks=self._ahead),
            standing={day.date: day.tasks for day in days},
            open_tasks=parts.tasks.open(),
            priorities={day.date: day.priorities for day in days},
            wanted_on=parts.tasks.wanted_on,
            find=parts.tasks.find,
            elsewhere=self._confirmed_after(dates[-1]).union(before),
        )

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
