"""What is worked out about one week, joined from its parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.model.household import HouseholdFiles
from weeksync.model.spread import Day
from weeksync.model.week import WeekRule
from weeksync.model.week_plan import DayLoad, Proposal, WeekPlan
from weeksync.plan.balances import Balances
from weeksync.plan.breaks import propose_breaks
from weeksync.plan.business_days import BusinessDays
from weeksync.plan.business_week import business_week
from weeksync.plan.chosen import Chosen
from weeksync.plan.clashes import clashes, worked
from weeksync.plan.coming_up import LookAhead
from weeksync.plan.day_hours import DayHours
from weeksync.plan.day_index import DayIndex
from weeksync.plan.engagements import Engagements
from weeksync.plan.habits import Habits
from weeksync.plan.hand_overs import hand_overs
from weeksync.plan.lesson_tally import LessonTallies
from weeksync.plan.load import day_loads, unassigned
from weeksync.plan.local_days import LocalDays
from weeksync.plan.money import Money
from weeksync.plan.sleep import sleep_windows
from weeksync.plan.tasks import Tasks
from weeksync.plan.terms import Terms
from weeksync.plan.week_proposal import Proposals, carried_tasks, lighter_of


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of a planner that a week's plan is worked out from."""

    files: HouseholdFiles
    rule: WeekRule
    now: datetime
    today: date
    local: LocalDays
    hours: DayHours
    index: DayIndex
    terms: Terms
    habits: Habits
    money: Money
    business_days: BusinessDays
    tasks: Tasks
    chosen: Chosen
    balances: Balances
    tallies: LessonTallies
    ahead: LookAhead


def week_plan(parts: Parts, days: Sequence[Day], proposals: Proposals) -> WeekPlan:
    """The plan of the week that has these days."""
    config, hours = parts.files.config, parts.hours
    dates = [day.date for day in days]
    people = [person.id for person in config.people]
    engaged, loads = taken(parts, days)
    week = hours.bounds(dates[0])[0], hours.bounds(dates[-1])[1]
    return WeekPlan(
        loads=loads,
        unassigned=unassigned(config, days),
        clashes=clashes(people, engaged, hours, dates, config.planning.buffer_minutes),
        hand_overs=hand_overs(config, engaged, hours, week),
        worked=worked(people, engaged, week),
        sleep=sleep_windows(config, dates, engaged, hours),
        proposal=_with_breaks(
            parts, days, engaged, proposals.of(parts.rule.week_of(dates[0]), engaged, loads)
        ),
        carried=carried_tasks(parts, dates),
        lighter=lighter_of(parts, dates),
        balances=parts.balances.lowest(dates[0], dates[-1]),
        business=business_week(item for day in days for item in day.money),
        lessons=parts.tallies.lessons(dates[0], dates[-1]),
        attendance=parts.tallies.attendance(dates[0], dates[-1]),
        coming_up=parts.ahead.within(dates[0], dates[-1]),
    )


def taken(parts: Parts, days: Sequence[Day]) -> tuple[Engagements, tuple[DayLoad, ...]]:
    """What takes time on these days, and what that leaves."""
    engaged = engagements(parts, [day.date for day in days])
    return engaged, day_loads(parts.files.config, days, engaged, parts.hours)


def engagements(parts: Parts, days: Sequence[date]) -> Engagements:
    """Who is engaged when on these days."""
    return Engagements(
        days,
        parts.index.on,
        parts.hours,
        parts.files.config,
        parts.files.routines,
        parts.terms.is_term_day,
    )


def _with_breaks(
    parts: Parts, days: Sequence[Day], engaged: Engagements, made: Proposal | None
) -> Proposal | None:
    if made is None:
        return None
    breaks = propose_breaks(parts.files.config, days, engaged, parts.hours, made)
    return replace(made, breaks=breaks)
