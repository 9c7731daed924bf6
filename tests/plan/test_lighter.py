"""Lighter weeks as they work out. Now is Wednesday 24 March 2027, 2027-W12."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from tests.support.plans import config, files, mark, planner
from weeksync.model.chosen import LighterWeek, PlacedTask, WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Habit, Lesson, Task, Term
from weeksync.model.money import Bill
from weeksync.model.spread import CellState
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.model.week_plan import LighterDays, WeekPlan
from weeksync.plan.lighter import LighterPeriods, seen
from weeksync.plan.plan_views import common, for_person

W12 = IsoWeek(2027, 12)
CARERS = config(
    people=[
        {"id": "ines", "name": "Ines", "looks_after_children": True},
        {"id": "dov", "name": "Dov", "looks_after_children": True},
        {"id": "pell", "name": "Pell", "child": True},
        {"id": "juno", "name": "Juno", "child": True},
    ]
)


def march(day: int) -> date:
    """A day of March 2027, and on into April."""
    return date(2027, 3, 1) + timedelta(days=day - 1)


def rest(person: Any, first: int, last: int, reason: str = "") -> WeekFile:
    """A week file with lighter days from `first` to `last` of March."""
    one = LighterWeek(person=person, start=march(first), end=march(last), reason=reason)
    return WeekFile(format=1, lighter=(one,))


def lighter(
    *weeks: WeekFile, now: int = 24, week: IsoWeek = W12, **parts: Any
) -> list[LighterDays]:
    """The lighter periods of a week, asked for in the morning of that day of March."""
    chosen = {IsoWeek(2027, 8 + number): one for number, one in enumerate(weeks)}
    made = planner(
        files(CARERS, weeks=chosen, **parts), now=datetime(2027, 3, now, 7, tzinfo=UTC)
    ).week(week)
    assert made.plan is not None
    return list(made.plan.lighter)


def only(found: list[LighterDays]) -> LighterDays:
    """The one there is."""
    (one,) = found
    return one


def test_who_when_and_why() -> None:
    """A period of two persons is one for each, wherever it is written, and written once."""
    week = rest(("ines", "dov"), 23, 30, "new baby")
    found = lighter(week, week)
    assert [(one.person, one.first, one.last, one.reason) for one in found] == [
        ("dov", march(23), march(30), "new baby"),
        ("ines", march(23), march(30), "new baby"),
    ]
    assert len(lighter(week, week=IsoWeek(2027, 13))) == 2
    assert lighter(week, week=IsoWeek(2027, 14)) == []
    assert lighter(week, week=IsoWeek(2027, 11)) == []


def test_habits_that_rest() -> None:
    """The person's, as far as they are due in these days; their cells are paused."""
    habits = (
        Habit(id="walk", title="Walk", person="dov"),
        Habit(id="swim", title="Swim", person="dov", days=(Weekday.MONDAY,)),
        Habit(id="ended", title="Ended", person="dov", end=march(20)),
        Habit(id="hers", title="Hers", person="ines"),
        Habit(id="own", title="Own", person="dov", only_for=("dov",)),
    )
    one = only(lighter(rest("dov", 24, 26), habits=habits))
    assert one.habits == ("own", "walk")
    assert one.reserved == (("own", ("dov",)),)
    rows = planner(files(CARERS, habits=habits, weeks={W12: rest("dov", 24, 26)})).week(W12).habits
    walk = next(row for row in rows if row.id == "walk")
    assert [cell.state is CellState.PAUSED for cell in walk.cells] == [
        False, False, True, True, True, False, False,
    ]  # fmt: skip


LESSONS: dict[str, Any] = {
    "terms": (Term(id="spring", name="Spring", start=march(1), end=march(31)),),
    "lessons": (
        Lesson(id="art", child="juno", subject="Art", days=(Weekday.TUESDAY, Weekday.THURSDAY)),
        Lesson(id="sums", child="pell", subject="Sums", days=(Weekday.THURSDAY,)),
        Lesson(
            id="late",
            child="juno",
            subject="Late",
            days=(Weekday.FRIDAY,),
            not_on=(march(26),),
            make_up=(march(25),),
        ),
    ),
}


def test_lessons_of_a_lighter_child_are_made_up() -> None:
    """Those planned in these days and not done; one that is being made up is none."""
    one = only(lighter(rest("juno", 22, 26), **LESSONS))
    assert one.lessons == (("art", march(23)), ("art", march(25)))
    done = (mark("art", march(23), "yes"), mark("art", march(25), "no"))
    one = only(lighter(rest("juno", 22, 26), marks=done, **LESSONS))
    assert one.lessons == (("art", march(25)),)


@pytest.mark.parametrize(
    ("weeks", "lessons"),
    [
        pytest.param([rest("ines", 22, 26)], [()], id="another grown-up can give them"),
        pytest.param(
            [rest("ines", 22, 26), rest("dov", 25, 28)],
            [(("sums", march(25)), ("art", march(25)))] * 2,
            id="nobody can",
        ),
    ],
)
def test_lessons_while_nobody_can_give_them(
    weeks: list[WeekFile], lessons: list[tuple[tuple[str, date], ...]]
) -> None:
    """One grown-up who rests cancels no lesson; all who look after children do."""
    assert [one.lessons for one in lighter(*weeks, **LESSONS)] == lessons


def test_without_anybody_who_looks_after_children_no_lesson_is_cancelled() -> None:
    """Nobody said who gives them, so nobody's rest says that they are not given."""
    chosen = {W12: rest(("ines", "dov"), 22, 26)}
    plan = planner(files(weeks=chosen, **LESSONS)).week(W12).plan
    assert plan is not None
    assert [one.lessons for one in plan.lighter] == [(), ()]


BILLS = (
    Bill(id="milk", title="Milk", amount=1_200, first=march(25), collected=False),
    Bill(id="rent", title="Rent", first=march(25)),
    Bill(id="later", title="Later", first=march(31), collected=False),
    Bill(id="own", title="Own", first=march(24), collected=False, only_for=("dov",)),
)


def test_what_must_be_paid_before() -> None:
    """Bills by hand that fall due in these days, until these begin; a child pays none."""
    one = only(lighter(rest("dov", 24, 28), bills=BILLS, now=23))
    assert [(item.id, item.day) for item in one.pay_before] == [
        ("own", march(24)),
        ("milk", march(25)),
    ]
    assert only(lighter(rest("dov", 24, 28), bills=BILLS, now=24)).pay_before == ()
    assert only(lighter(rest("pell", 24, 28), bills=BILLS, now=23)).pay_before == ()


def test_what_must_be_paid_before_is_named_once_on_a_common_page() -> None:
    """Where two rest; on a page of their own each of them has it."""
    week = rest(("dov", "ines"), 24, 28)
    made = planner(
        files(CARERS, weeks={W12: week}, bills=BILLS), now=datetime(2027, 3, 22, 7, tzinfo=UTC)
    ).week(W12)
    assert made.plan is not None

    def bills(plan: WeekPlan) -> list[list[str]]:
        return [[item.id for item in one.pay_before] for one in plan.lighter]

    assert bills(common(made.plan, made)) == [["milk"], []]
    assert bills(for_person(made.plan, "ines", made)) == [["milk"]]
    assert bills(for_person(made.plan, "dov", made)) == [["own", "milk"]]


def task(title: str, **keys: Any) -> Task:
    """A task of Dov whose id is its title."""
    return Task(**({"id": title, "title": title, "person": "dov"} | keys))


def test_what_piled_up() -> None:
    """What fell due or had its day in the days that are over, is open, and stands no later."""
    tasks = (
        task("due", due=march(16)),
        task("day", day=march(17), due=march(30)),
        task("before", due=march(12)),
        task("after", due=march(19)),
        task("put-again", due=march(16), day=march(25)),
        task("done", due=march(16), done=march(20)),
        task("hers", due=march(16), person="ines"),
        task("own", due=march(16), only_for=("dov",)),
        task("parked", due=march(16), not_before=march(30)),
    )
    one = only(lighter(rest("dov", 15, 18), tasks=tasks))
    assert set(one.piled_up) == {"due", "day", "own"}
    assert one.reserved == (("own", ("dov",)),)


def test_in_its_days_only_what_is_over_has_piled_up() -> None:
    """What falls due today or later may still be done."""
    tasks = (task("yesterday", due=march(23)), task("today", due=march(24)))
    assert only(lighter(rest("dov", 20, 28), tasks=tasks)).piled_up == ("yesterday",)


def test_afterwards_it_is_shown_for_two_weeks_while_something_is_left() -> None:
    """In the week of today; without anything left it is gone with its days."""
    left = (task("left", due=march(16)),)
    assert lighter(rest("dov", 15, 18)) == []
    assert len(lighter(rest("dov", 15, 18), tasks=left)) == 1
    assert len(lighter(rest("dov", 15, 18), tasks=left, week=IsoWeek(2027, 13))) == 0
    assert lighter(rest("dov", 15, 18), tasks=left, now=31, week=IsoWeek(2027, 13))
    tasks_later = lighter(rest("dov", 8, 9), tasks=(task("old", due=march(8)),), now=24)
    assert tasks_later == []


def test_a_put_task_of_a_lighter_week_file() -> None:
    """Where the week file put it counts, not when it is due."""
    week = WeekFile(
        format=1,
        placed=(PlacedTask(task="sheet", date=march(16)),),
        lighter=rest("dov", 15, 18).lighter,
    )
    assert only(lighter(week, tasks=(task("sheet", due=march(30)),))).piled_up == ("sheet",)


def test_seen_by_others() -> None:
    """Without what is reserved, wherever it stands."""
    one = only(
        lighter(
            rest("dov", 20, 28),
            tasks=(task("own-task", due=march(23), only_for=("dov",)),),
            habits=(Habit(id="own", title="Own", person="dov", only_for=("dov",)),),
        )
    )
    to_come = only(lighter(rest("dov", 24, 28), bills=BILLS, now=23))
    one = replace(one, pay_before=to_come.pay_before)
    common = seen(one, lambda only_for: not only_for)
    assert (common.habits, common.piled_up, common.reserved) == ((), (), ())
    assert [item.id for item in common.pay_before] == ["milk"]
    assert seen(one, lambda only_for: not only_for or "dov" in only_for) == one


def test_periods_that_overlap() -> None:
    """A day lies in them or not, whichever covers it; one that ends before it begins is none."""
    periods = LighterPeriods(
        {
            IsoWeek(2027, 9): rest("dov", 1, 20),
            IsoWeek(2027, 10): rest("dov", 5, 8),
            IsoWeek(2027, 11): rest("dov", 20, 22),
            IsoWeek(2027, 12): rest("dov", 28, 27),
        },
        WeekRule(),
    )
    assert [day for day in range(1, 29) if not periods.covers("dov", march(day))] == [
        *range(23, 29)
    ]
    assert not periods.covers("ines", march(5))
    assert len(periods.all) == 3


def decisions(*weeks: WeekFile, now: int = 24, **parts: Any) -> list[str]:
    """What everybody is asked in the week of today."""
    chosen = {IsoWeek(2027, 8 + number): one for number, one in enumerate(weeks)}
    moment = datetime(2027, 3, now, 7, tzinfo=UTC)
    made = planner(files(CARERS, weeks=chosen, **parts), now=moment).week(IsoWeek.of(moment.date()))
    return [str(text) for text in made.decisions]


def test_asked_to_pay_before_lighter_days() -> None:
    """As long as they are to come; what is only for somebody is asked apart."""
    wanted = (
        "“Milk” is to be paid by hand on 2027-03-25, in lighter days of Dov: pay it before "
        "2027-03-25"
    )
    assert decisions(rest("dov", 25, 28), bills=BILLS[:3]) == [wanted]
    assert decisions(rest("dov", 24, 28), bills=BILLS[:3]) == []
    assert decisions(rest("dov", 25, 28), bills=BILLS[:3], now=10) == []
    assert decisions(rest("dov", 24, 28), bills=BILLS[3:], now=22) == []


def test_bills_before_lighter_days_are_asked_once_and_cut() -> None:
    """Though two people have lighter days; of many the first twelve are named."""
    daily = Bill(
        id="milk", title="Milk", first=march(1), repeats="FREQ=DAILY", collected=False, paid=()
    )
    found = decisions(rest(("ines", "dov"), 25, 41), bills=(daily,))
    asked = [text for text in found if "lighter days" in text]
    assert len(asked) == 13
    assert asked[0].startswith("“Milk” is to be paid by hand on 2027-03-25, in lighter days of Dov")
    assert asked[-1].endswith("more bills fall due in lighter days")


def test_asked_what_becomes_of_what_piled_up() -> None:
    """After the last day, in place of each task by itself; hidden ones are not counted."""
    tasks = (
        task("a", due=march(16)),
        task("b", due=march(17)),
        task("own", due=march(17), only_for=("dov",)),
    )
    wanted = (
        "2 tasks piled up in the lighter days of Dov until 2027-03-18: spread them over the days "
        "to come, or park them"
    )
    assert decisions(rest("dov", 15, 18), tasks=tasks) == [wanted]
    assert len(decisions(rest("dov", 15, 18), tasks=tasks, now=18)) == 2


def test_lessons_of_lighter_days_are_not_asked_for() -> None:
    """They are to be made up; the others of the last seven days are asked for."""
    missing = "{} lessons of the last seven days are not recorded"
    assert decisions(**LESSONS, now=26) == [missing.format(5)]
    assert decisions(rest("juno", 22, 26), **LESSONS, now=26) == [missing.format(2)]
