"""The planner: one model of a week, a month or any span of days, from everything there is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from copy import copy
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property, partial
from zoneinfo import ZoneInfo

from weeksync.message import Message, message
from weeksync.model.day_parts import PartHours
from weeksync.model.elsewhere import OtherClocks
from weeksync.model.household import CheckIn, HouseholdFiles, latest_marks
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.spread import Day, DayOccurrence, LeftOut, MonthPlan, PlanTask, Spread
from weeksync.model.week import IsoWeek, Month, WeekRule, days_between
from weeksync.plan.assign import preparing
from weeksync.plan.balances import Balances
from weeksync.plan.business_days import SATURDAY_SUNDAY, BusinessDays
from weeksync.plan.changes import changes
from weeksync.plan.chosen import Chosen
from weeksync.plan.coming_up import LookAhead
from weeksync.plan.confirmed import Confirmed
from weeksync.plan.day_hours import DayHours
from weeksync.plan.day_index import DayIndex, left_out_within
from weeksync.plan.decisions import Decision, LighterTimes, decisions
from weeksync.plan.facts import Facts
from weeksync.plan.habits import Habits
from weeksync.plan.lesson_tally import LessonTallies
from weeksync.plan.lighter import AFTERWARDS
from weeksync.plan.local_days import LocalDays
from weeksync.plan.money import Money
from weeksync.plan.month_spans import month_spans
from weeksync.plan.public_holidays import PublicHolidays
from weeksync.plan.task_records import Today
from weeksync.plan.tasks import Tasks
from weeksync.plan.terms import Terms
from weeksync.plan.week_plan import Parts, taken, week_plan
from weeksync.plan.week_proposal import Proposals, lighter_of

SECOND = timedelta(seconds=1)


class Planner:
    """Everything about a household, indexed once and then asked by week, month or span.

    `occurrences` and `todos` are those of the whole window that will be asked about, assigned
    and merged (`assign`, `assign_todos`, `merge`); `left_out` is what `merge` left out of it.
    `now` is an aware datetime, `tz` the household's zone, `rule` how its weeks are shown,
    `language` a locale for the names of public holidays, `weekend` the weekdays (0 Monday) on
    which no money moves. `problems` is what is wrong in the household's region or money.
    """

    def __init__(
        self,
        files: HouseholdFiles,
        occurrences: Iterable[Occurrence],
        todos: Iterable[TodoItem],
        *,
        now: datetime,
        tz: ZoneInfo,
        rule: WeekRule,
        language: str,
        weekend: Collection[int] = SATURDAY_SUNDAY,
        left_out: Iterable[LeftOut] = (),
    ) -> None:
        config = files.config
        occurrences, todos, left_out = tuple(occurrences), tuple(todos), tuple(left_out)
        self.todos = todos
        self._rule = rule
        self._carry_limit = config.planning.carry_limit_weeks
        self._confirmed = Confirmed(files.snapshots)
        self._names = {one.id: one.name for one in config.people}
        self._carers = [one.id for one in config.people if one.looks_after_children]
        self._local = LocalDays(tz)
        today = Today(now, self._local)
        self._today = today.date
        hours = PartHours(config.day_parts)
        marks = latest_marks(files.marks)
        self._holidays = PublicHolidays(config.household.region, language, config.holidays)
        self._terms = Terms(files, self._holidays.holds, rule, marks)
        self._habits = Habits(
            files,
            marks,
            self._terms.is_term_day,
            rule,
            self._today,
            lambda day: self._local.minutes(day) > 0,
        )
        business_days = BusinessDays(self._holidays.holds, weekend)
        self._money = Money(files, business_days, self._today)
        self._hours = hours
        self._tasks = Tasks(files.tasks, todos, files.weeks, today=today, rule=rule, hours=hours)
        self._chosen = Chosen(files.weeks, rule, self._tasks, marks)
        self._check_ins = _by_day(files.check_ins)
        index, ahead = self._of_events(files, occurrences, left_out)
        parts = Parts(
            files=files,
            rule=rule,
            now=now,
            today=self._today,
            local=self._local,
            hours=DayHours(self._local, config.planning, hours),
            index=index,
            terms=self._terms,
            habits=self._habits,
            money=self._money,
            business_days=business_days,
            tasks=self._tasks,
            chosen=self._chosen,
            balances=Balances(files, self._money, self._today),
            tallies=LessonTallies(self._terms, self._today, self._lessons_rest),
            ahead=ahead,
        )
        self._pieces = self._confirmed.pieces(tz)
        self.problems = (*self._holidays.problems, *self._money.problems)
        self._take(parts, left_out)

    def with_events(
        self, occurrences: Sequence[Occurrence], left_out: Sequence[LeftOut]
    ) -> Planner:
        """The planner of the same household with these events in the place of its own.

        What comes from no event is not worked out again.
        """
        made = copy(self)
        made.__dict__.pop("_facts", None)
        index, ahead = self._of_events(self._parts.files, occurrences, left_out)
        made._take(replace(self._parts, index=index, ahead=ahead), left_out)
        return made

    def _of_events(
        self, files: HouseholdFiles, occurrences: Sequence[Occurrence], left_out: Sequence[LeftOut]
    ) -> tuple[DayIndex, LookAhead]:
        """Where they are found, and what is to be begun before them."""
        shown = (*occurrences, *self._confirmed.struck(left_out))
        clocks = OtherClocks(files.config, self._local.tz)
        index = DayIndex(shown, self._local, self._hours, clocks)
        prepare = preparing(files.config, files.appointments)
        ahead = timedelta(weeks=files.config.planning.look_ahead_weeks)
        return index, LookAhead(occurrences, self._tasks.open(), prepare, self._local, ahead)

    def _take(self, parts: Parts, left_out: Sequence[LeftOut]) -> None:
        """Plan with these parts; what was worked out with others is not taken over."""
        self._parts, self._left_out = parts, left_out
        self._proposals = Proposals(parts, self.day, partial(taken, parts), self._pieces)
        self._days: dict[date, Day] = {}
        self._decided: tuple[Decision, ...] | None = None

    def steady_until(self) -> datetime:
        """Before which instant the same files make the same weeks and months, whatever it shows.

        `now` itself in the hours that can be planned: with each minute less of the day is left to
        propose anything for.
        """
        now = self._parts.now
        first, last = self._parts.hours.planned(self._today)
        if first <= now.timestamp() < last:
            return now
        pieces = [one for found in self._proposals.confirmed.values() for one in found]
        moments = [
            datetime.fromtimestamp(first, UTC),
            self._local.start(self._today + timedelta(days=1)),
            # At the time itself it is not late yet; a run's instant is in whole seconds.
            *(one.due_at + SECOND for one in self._tasks.open() if one.due_at is not None),
            *(piece.end for piece in pieces),
        ]
        return min(one for one in moments if one > now)

    def week(self, week: IsoWeek) -> Spread:
        """The spread that bears `week`: seven days from the household's first weekday on."""
        days = self._rule.days(week)
        return self.span(days[0], days[-1])

    def span(self, first: date, last: date, *, planned: bool = True) -> Spread:
        """The days from `first` to `last`, both included; ValueError where `last` is earlier.

        Where they are exactly the days of a week it is that week, with its notes and its plan;
        without `planned` nothing is worked out, as for looking back.
        Decisions are asked for in the span that holds today.
        """
        if last < first:
            raise ValueError(f"a span ends on {last}, before it begins on {first}")
        dates = tuple(days_between(first, last))
        week = self._rule.week_of(first)
        is_week = dates == self._rule.days(week)
        asked = self._decisions() if first <= self._today <= last else ()
        days = tuple(self.day(day) for day in dates)
        spread = Spread(
            week=week if is_week else None,
            days=days,
            habits=self._habits.rows(dates),
            undated=self._undated(first, last),
            notes=self._chosen.notes(week) if is_week else "",
            left_out=self._left_out_of(days) if planned else (),
            problems=self.problems,
            decisions=tuple(text for only_for, text in asked if not only_for),
            own_decisions=tuple((only_for, text) for only_for, text in asked if only_for),
            plan=week_plan(self._parts, days, self._proposals) if is_week and planned else None,
        )
        return self._with_changes(spread)

    def _undated(self, first: date, last: date) -> tuple[PlanTask, ...]:
        """The open tasks without a day; for days further ahead than the household looks without
        how often they were carried: by then it will be more, and a page would say so each week.
        """
        found = self._tasks.undated(first, last)
        ahead = timedelta(weeks=self._parts.files.config.planning.look_ahead_weeks + 1)
        if first < self._rule.start(self._today) + ahead:
            return found
        return tuple(replace(one, carried=0) if one.carried else one for one in found)

    def _with_changes(self, spread: Spread) -> Spread:
        """The week with what has changed since its snapshot, where it has one."""
        snapshot = self._confirmed.of(spread.week) if spread.week is not None else None
        if snapshot is None or spread.plan is None:
            return spread
        found = changes(snapshot, spread, self._tasks.is_done)
        return replace(
            spread, plan=replace(spread.plan, confirmed=snapshot.taken_at, changes=found)
        )

    @property
    def left_out(self) -> tuple[LeftOut, ...]:
        """What was left out and is on no page, not even struck through, in the order it came."""
        return tuple(one for one in self._left_out if not self._is_struck(one.occurrence))

    def _is_struck(self, one: Occurrence) -> bool:
        first, last = self._local.span(one.start, one.end)
        return one.cancelled and self._confirmed.shows(
            one, self._rule.week_of(first), self._rule.week_of(last)
        )

    def _left_out_of(self, days: Sequence[Day]) -> tuple[LeftOut, ...]:
        """What would have touched the days and is on none of them, not even struck through."""
        struck = {
            one.occurrence for day in days for one in day.occurrences if one.occurrence.cancelled
        }
        found = left_out_within(self._left_out, self._local, days[0].date, days[-1].date)
        return tuple(one for one in found if one.occurrence not in struck)

    def to_decide(self) -> tuple[PlanTask, ...]:
        """Open tasks left over from past weeks that nobody has decided about yet.

        Those carried as long as the household allows come first, longest first.
        """
        return self._tasks.to_decide(self._carry_limit, self._rule.start(self._today))

    def open_tasks(self) -> tuple[PlanTask, ...]:
        """Every open task once, on the last day on which it stands."""
        return self._tasks.open()

    @cached_property
    def _facts(self) -> Facts:
        return Facts.of(self._parts)

    def lasting_facts_of_week(self, week: IsoWeek) -> tuple[object, ...]:
        """Those of a week that change with today only while it lies in that week."""
        return self._facts.lasting([self.day(day) for day in self._rule.days(week)])

    def facts_of_week(self, week: IsoWeek) -> tuple[object, ...]:
        """All else of a week that comes from no event (`weeksync.plan.facts`)."""
        days = self._rule.days(week)
        return self._facts.week(days, self._undated(days[0], days[-1]), self._confirmed.of(week))

    def lasting_facts_of_month(self, month: Month) -> tuple[object, ...]:
        """What a month shows of its days that comes from no event and does not hang on today."""
        return self._facts.lasting_month([self.day(day) for day in self._shown_in(month)])

    def facts_of_month(self, month: Month) -> tuple[object, ...]:
        """All else of a month that comes from no event."""
        return self._facts.month(month, self._shown_in(month))

    def _shown_in(self, month: Month) -> tuple[date, ...]:
        last = self._rule.days(self._rule.week_of(month.last))[-1]
        return tuple(days_between(self._rule.start(month.first), last))

    def facts_of_proposal(self, week: IsoWeek, before: Collection[str]) -> tuple[object, ...]:
        """What the proposal of a week to come is made of, besides its facts and its events.

        `before` are the ids of the tasks for which earlier weeks have a place.
        """
        days = [self.day(day) for day in self._rule.days(week)]
        return self._proposals.facts(week, days, before)

    def placed(self, week: IsoWeek) -> frozenset[str]:
        """The ids of the tasks for which the proposal of that week has a place."""
        return self._proposals.placed(week)

    def know_placed(self, week: IsoWeek, placed: Iterable[str]) -> None:
        """Say what that week has a place for, so that it need not be planned here."""
        self._proposals.known(week, placed)

    def proposing(self) -> tuple[object, ...]:
        """What of `now` counts for proposals: the same as long as the weeks stay the same.

        From the first hour of today that can be planned on it is `now` itself (`steady_until`).
        """
        now = self._parts.now
        pieces = (one for found in self._proposals.confirmed.values() for one in found)
        begun = self._parts.hours.planned(self._today)[0] <= now.timestamp()
        late = (one.overdue for one in self._tasks.open())
        ended = tuple(one.end > now for one in pieces)
        return self._today, now if begun else None, ended, tuple(late)

    def month(self, month: Month) -> MonthPlan:
        """The month as full weeks of the household, with days of its neighbours at the edges."""
        weeks = []
        week, last = self._rule.week_of(month.first), self._rule.week_of(month.last)
        while week <= last:
            weeks.append((week, tuple(self.day(day) for day in self._rule.days(week))))
            week = week.shifted(1)
        return MonthPlan(
            month,
            tuple(weeks),
            spans=tuple(month_spans(days, self._terms.break_name) for _, days in weeks),
            coming_up=self._parts.ahead.of_month(month.first, month.last),
        )

    def day(self, day: date) -> Day:
        """One day with everything on it; the same for its week, its month and any span."""
        found = self._days.get(day)
        if found is None:
            found = self._days[day] = self._made(day)
        return found

    def _made(self, day: date) -> Day:
        term = self._terms.term(day)
        minutes = self._local.minutes(day)
        return Day(
            date=day,
            week=self._rule.week_of(day),
            minutes=minutes,
            holidays=tuple(name for name in self._holidays.names(day) if name),
            term=term.name if term is not None else "",
            term_week=self._terms.week(day),
            term_break=self._terms.break_name(day),
            priorities=self._chosen.priorities(day),
            occurrences=self._shown(day),
            tasks=self._tasks.on(day),
            money=self._money.on(day),
            lessons=self._terms.lessons(day),
            breaks=self._chosen.breaks(day),
            own=self._chosen.own(day),
            check_ins=tuple(self._check_ins.get(day, ())),
            problems=_of_length(minutes),
        )

    def _shown(self, day: date) -> tuple[DayOccurrence, ...]:
        """What touches the day; a cancelled one where the snapshot of its week has it."""
        week = self._rule.week_of(day)
        return tuple(
            one
            for one in self._parts.index.on(day)
            if not one.occurrence.cancelled or self._confirmed.has(one.occurrence, week)
        )

    def _lessons_rest(self, child: str, day: date) -> bool:
        """Whether a lighter week sends on the lessons of a child."""
        return self._habits.lighter.without_lessons(child, day, self._carers)

    def _decisions(self) -> tuple[Decision, ...]:
        if self._decided is None:
            self._decided = decisions(
                self._money,
                self._tasks,
                self._terms,
                self._today,
                self._carry_limit,
                self._lighter_times(),
            )
        return self._decided

    def _lighter_times(self) -> LighterTimes:
        """The lighter periods of the two weeks before and after today."""
        days = (self._today, self._today + AFTERWARDS)
        return LighterTimes(lighter_of(self._parts, days), self._names, self._lessons_rest)


def _by_day(check_ins: Iterable[CheckIn]) -> dict[date, list[CheckIn]]:
    found: dict[date, list[CheckIn]] = defaultdict(list)
    for one in sorted(check_ins, key=lambda check_in: check_in.person):
        found[one.day].append(one)
    return found


def _of_length(minutes: int) -> tuple[Problem, ...]:
    """What is worth knowing about the length of a day, where it is not 24 hours."""
    if minutes == 24 * 60:
        return ()
    text: Message
    if minutes == 0:
        text = message("This day does not exist in the household's zone")
    else:
        text = message("The clocks change: this day has {hours} hours", hours=f"{minutes / 60:g}")
    return (Problem(ProblemKind.NOTICE, text),)
