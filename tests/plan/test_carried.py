"""Over how many weeks a task has been carried. Now is Wednesday 24 March 2027, 2027-W12."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from tests.support.plans import NOW, at, config, files, planner, todo
from weeksync.model.chosen import ChosenDay, LighterWeek, PlacedTask, WeekFile
from weeksync.model.files import Task
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.model.week_plan import Carried

W12 = IsoWeek(2027, 12)


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def february(day: int) -> date:
    """A day of February 2027."""
    return date(2027, 2, day)


def task(title: str = "kite", **keys: Any) -> Task:
    """A task of Ines whose id is its title."""
    return Task(**({"id": title, "title": title, "person": "ines"} | keys))


def carried(*tasks: Task, todos: Any = (), weeks: Any = None, **keys: Any) -> tuple[Carried, ...]:
    """The carried tasks of 2027-W12, week files by number."""
    chosen = {IsoWeek(2027, number): week for number, week in (weeks or {}).items()}
    settings = keys.pop("settings", None)
    made = planner(files(settings, tasks=tasks, weeks=chosen), todos=todos, **keys).week(W12).plan
    assert made is not None
    return made.carried


def count(*tasks: Task, **keys: Any) -> int:
    """How many weeks the one task has been carried."""
    found = carried(*tasks, **keys)
    return found[0].weeks if found else 0


def lighter(first: date, last: date, person: Any = "ines") -> WeekFile:
    """A week file with lighter days."""
    return WeekFile(format=1, lighter=(LighterWeek(person=person, start=first, end=last),))


@pytest.mark.parametrize(
    ("keys", "weeks"),
    [
        pytest.param({}, 0, id="it never stood anywhere"),
        pytest.param({"due": march(24)}, 0, id="due today"),
        pytest.param({"due": march(22)}, 0, id="due this week"),
        pytest.param({"due": march(21)}, 1, id="due on the last day of last week"),
        pytest.param({"due": march(15)}, 1, id="due on the first day of last week"),
        pytest.param({"due": march(14)}, 2, id="due the week before"),
        pytest.param({"day": march(3), "due": march(21)}, 3, id="it stood on an earlier day"),
        pytest.param({"day": march(30), "due": march(14)}, 2, id="put on a later day since"),
        pytest.param({"due": date(2026, 12, 27)}, 13, id="over the turn of a year with 53 weeks"),
        pytest.param({"carried": 2}, 2, id="as the file has it"),
        pytest.param({"carried": 2, "due": march(21)}, 2, id="the file has more"),
        pytest.param({"carried": 2, "due": march(1)}, 3, id="the file has less"),
        pytest.param({"carried": 2, "carried_until": march(24)}, 2, id="written this week"),
        pytest.param({"carried": 2, "carried_until": march(21)}, 3, id="written last week"),
        pytest.param({"carried": 2, "carried_until": march(14)}, 4, id="and the week before"),
        pytest.param({"carried": 2, "carried_until": march(30)}, 2, id="written for later"),
        pytest.param(
            {"carried": 1, "carried_until": march(21), "due": march(1)}, 2, id="days are in it"
        ),
        pytest.param({"done": march(23), "due": march(1)}, 0, id="done"),
        pytest.param({"dropped": march(23), "carried": 4}, 0, id="dropped"),
    ],
)
def test_weeks_are_counted(keys: dict[str, Any], weeks: int) -> None:
    """From the first week it stood in, or on from what the file says."""
    assert count(task(**keys)) == weeks


def test_week_files_say_where_it_stood() -> None:
    """The earliest of the weeks that put it on a day."""
    put = {
        number: WeekFile(format=1, placed=(PlacedTask(task="kite", date=day),))
        for number, day in ((10, march(12)), (12, march(26)))
    }
    (found,) = carried(task(), weeks=put)
    assert (found.weeks, found.decision_due) == (2, False)


def test_the_count_is_shown_with_the_task() -> None:
    """On its day and among those without one."""
    spread = planner(files(tasks=(task("past", due=march(14)), task("ahead", carried=3)))).week(W12)
    assert {one.title: one.carried for one in spread.undated} == {"past": 2, "ahead": 3}


@pytest.mark.parametrize(
    ("days", "weeks"),
    [
        pytest.param((march(15), march(21)), 2, id="a whole week"),
        pytest.param((march(18), march(21)), 2, id="four days of one"),
        pytest.param((march(19), march(21)), 3, id="three days"),
        pytest.param((march(12), march(21)), 2, id="one week and a weekend"),
        pytest.param((march(11), march(18)), 1, id="four days of each of two"),
        pytest.param((march(22), march(25)), 2, id="this week"),
        pytest.param((march(1), march(28)), 0, id="all of them"),
        pytest.param((february(1), march(4)), 3, id="before it stood anywhere"),
    ],
)
def test_lighter_weeks_freeze_the_count(days: tuple[date, date], weeks: int) -> None:
    """A week with four lighter days or more does not count."""
    assert count(task(due=march(1)), weeks={9: lighter(*days)}) == weeks


def test_lighter_days_are_put_together() -> None:
    """Two days here and two there are four; the same written twice is not."""
    apart = {10: lighter(march(15), march(16)), 11: lighter(march(18), march(19))}
    twice = {10: lighter(march(15), march(16)), 11: lighter(march(15), march(16))}
    assert count(task(due=march(1)), weeks=apart) == 2
    assert count(task(due=march(1)), weeks=twice) == 3


def test_only_the_person_s_own_lighter_weeks_count() -> None:
    """What is nobody's in particular is never frozen; what is several persons', for all of them."""
    week = {11: lighter(march(15), march(21), "dov")}
    both = {11: lighter(march(15), march(21), ("ines", "dov"))}
    assert count(task(due=march(1)), weeks=week) == 3
    assert count(task(due=march(1), person="dov"), weeks=week) == 2
    assert count(task(due=march(1), person=None), weeks=both) == 3
    shared = [todo("form", due=march(1), persons=("ines", "dov"))]
    assert count(todos=shared, weeks=week) == 3
    assert count(todos=shared, weeks=both) == 2


def test_weeks_of_the_household() -> None:
    """Where weeks begin on Sunday, last Sunday is in this week."""
    assert count(task(due=march(21)), rule=WeekRule(first_weekday=6, min_days=1)) == 0
    assert count(task(due=march(20)), rule=WeekRule(first_weekday=6, min_days=1)) == 1


def test_a_day_that_is_over_says_how_long_had_been_carried_by_then() -> None:
    """Due on 2 March, put on the 9th: then once, by now three times; what was written stays."""
    put = WeekFile(format=1, placed=(PlacedTask(task="kite", date=march(9)),))
    due = task(due=march(2))
    made = planner(files(tasks=(due, task("w", due=march(9), carried=4)), weeks={_w(10): put}))
    assert {one.title: one.carried for one in made.day(march(9)).tasks} == {"kite": 1, "w": 4}
    assert {one.title: one.carried for one in made.week(W12).undated} == {"kite": 3, "w": 4}
    weekly = task(due=march(2), repeats="FREQ=WEEKLY")
    made = planner(files(tasks=(weekly,)))
    assert [one.carried for one in made.day(march(2)).tasks] == [0]
    assert [one.weeks for one in carried(weekly)] == [3]


def _w(number: int) -> IsoWeek:
    return IsoWeek(2027, number)


def test_parked_tasks_are_not_carried() -> None:
    """Weeks before the one in which it can be begun do not count."""
    assert count(task(due=february(1), not_before=march(22))) == 1
    assert count(task(due=february(1), not_before=march(17))) == 2
    assert count(task(due=february(1), not_before=march(29))) == 0
    assert count(task(due=march(14), not_before=february(1))) == 2


def test_to_dos_are_counted_from_when_they_are_due() -> None:
    """They have no count of their own; each occurrence counts for itself."""
    open_one = todo("Form", due=at("2027-03-12 07:00"))
    assert count(todos=[open_one]) == 2
    assert count(todos=[todo("Form")]) == 0
    assert count(todos=[todo("Form", due=march(1), status="CANCELLED")]) == 0


def test_a_repeating_task_is_carried_from_its_first_open_due_date() -> None:
    """Later due dates are not; done once, it begins anew."""
    weekly: dict[str, Any] = {"due": march(1), "repeats": "FREQ=WEEKLY"}
    assert count(task(**weekly)) == 3
    assert count(task(**weekly, done=march(9))) == 1
    assert count(task(**weekly, done=march(9), carried=7)) == 1
    assert count(task(**weekly, done=march(9), carried=7, carried_until=march(14))) == 9
    assert count(task(**weekly, done=march(23))) == 0
    days = planner(files(tasks=(task(**weekly),))).week(W12).days
    assert [one.carried for day in days for one in day.tasks] == [0]


def test_a_repeating_task_put_on_a_later_day_has_been_decided_about() -> None:
    """Its first open due date stands there by choice."""
    week = WeekFile(format=1, placed=(PlacedTask(task="kite", date=march(26)),))
    (found,) = carried(task(due=march(22), repeats="FREQ=WEEKLY", carried=4), weeks={12: week})
    assert (found.weeks, found.decision_due) == (4, False)


@pytest.mark.parametrize(
    ("keys", "due"),
    [
        pytest.param({"carried": 3}, True, id="at the limit"),
        pytest.param({"carried": 2}, False, id="under it"),
        pytest.param({"carried": 4, "day": march(24)}, False, id="it stands on today"),
        pytest.param({"carried": 4, "day": march(23)}, True, id="it stood on yesterday"),
        pytest.param({"carried": 4, "due": march(30)}, True, id="a due date is no choice"),
        pytest.param({"carried": 4, "not_before": march(25)}, False, id="parked until tomorrow"),
        pytest.param({"carried": 4, "not_before": march(24)}, True, id="parked until today"),
        pytest.param({"carried": 4, "waits_for": "glue"}, True, id="waiting is carrying"),
    ],
)
def test_when_a_decision_is_due(keys: dict[str, Any], due: bool) -> None:
    """From three weeks on, unless somebody has decided already."""
    (found,) = carried(task(**keys))
    assert found.decision_due is due


@pytest.mark.parametrize(("day", "due"), [(24, False), (28, False), (23, True)])
def test_a_priority_has_been_decided_about(day: int, due: bool) -> None:
    """As long as its day is not over."""
    week = WeekFile(format=1, days=(ChosenDay(date=march(day), priorities=("kite",)),))
    (found,) = carried(task(carried=3), weeks={12: week})
    assert found.decision_due is due


def test_the_limit_is_the_household_s() -> None:
    """One week is enough where it says so."""
    (found,) = carried(task(carried=1), settings=config(planning={"carry_limit_weeks": 1}), now=NOW)
    assert found.decision_due


def test_longest_carried_come_first() -> None:
    """Then by due date and title; what has not been carried is not among them."""
    found = carried(
        task("b", carried=2),
        task("a", carried=2),
        task("dated", carried=2, due=march(28)),
        task("new"),
        task("long", carried=5, only_for=("ines",)),
    )
    assert [one.title for one in found] == ["long", "dated", "a", "b"]
    assert (found[0].only_for, found[0].persons) == (("ines",), ("ines",))


def test_only_the_week_of_today_lists_them() -> None:
    """The count is as of today."""
    made = planner(files(tasks=(task(carried=3),)))
    for week in (IsoWeek(2027, 11), IsoWeek(2027, 13)):
        plan = made.week(week).plan
        assert plan is not None
        assert plan.carried == ()


def test_put_at_a_time_it_stands_by_choice() -> None:
    """And says so."""
    week = WeekFile(
        format=1, placed=(PlacedTask(task="kite", date=march(26), start=time(9), minutes=45),)
    )
    asked = planner(files(tasks=(task(), task("due", due=march(26))), weeks={W12: week}))
    day = asked.week(W12).days[4]
    assert {one.title: one.chosen for one in day.tasks} == {"kite": True, "due": False}
