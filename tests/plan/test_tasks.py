"""On which day a task stands, and which tasks have none. Now is Wednesday 24 March 2027."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from tests.support.plans import at, files, planner, todo
from weeksync.model.chosen import ChosenDay, PlacedTask, WeekFile
from weeksync.model.fields import DayPart
from weeksync.model.files import Task
from weeksync.model.spread import PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.plan import Planner
from weeksync.plan.task_records import todo_id

W11, W12, W13, W20 = (IsoWeek(2027, number) for number in (11, 12, 13, 20))


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def task(title: str, **keys: Any) -> Task:
    """A task whose id is its title."""
    return Task(id=title, title=title, **keys)


def placed(title: str, day: date, **keys: Any) -> WeekFile:
    """A week file that puts the task on a day."""
    return WeekFile(format=1, placed=(PlacedTask(task=title, date=day, **keys),))


def plan(*tasks: Task, todos: Any = (), **weeks: WeekFile) -> Planner:
    """A planner with these tasks, to-dos and week files (w12 = …)."""
    chosen = {IsoWeek(2027, int(name[1:])): week for name, week in weeks.items()}
    return planner(files(tasks=tasks, weeks=chosen), todos=todos)


def stands(spread: Spread) -> dict[int, list[str]]:
    """Day of the month → titles, for the days that have tasks."""
    return {day.date.day: [one.title for one in day.tasks] for day in spread.days if day.tasks}


def loose(spread: Spread) -> list[str]:
    """The titles without a day."""
    return [one.title for one in spread.undated]


def only(tasks: tuple[PlanTask, ...]) -> PlanTask:
    """The one task that there is."""
    (found,) = tasks
    return found


def test_a_task_stands_where_it_was_put_else_on_its_day_else_when_due() -> None:
    """The week file wins over the planned day, the planned day over the due date."""
    asked = plan(
        task("put", day=march(23), due=march(26)),
        task("planned", day=march(25), due=march(26)),
        task("due", due=march(26)),
        w12=placed("put", march(22), part="evening", minutes=45),
    )
    spread = asked.week(W12)
    assert stands(spread) == {22: ["put"], 25: ["planned"], 26: ["due"]}
    put = only(spread.days[0].tasks)
    assert (put.shown_on, put.part, put.minutes) == (march(22), DayPart.EVENING, 45)
    assert spread.undated == ()


def test_a_task_put_at_a_time_lies_in_that_part_of_the_day() -> None:
    """Where no part was chosen the time says it; where none is said, the task's own."""
    asked = plan(
        task("early", part="evening"),
        task("own", part="evening"),
        w12=WeekFile(
            format=1,
            placed=(
                PlacedTask(task="early", date=march(22), start=time(8, 15)),
                PlacedTask(task="own", date=march(22)),
            ),
        ),
    )
    found = asked.week(W12).days[0].tasks
    assert [(one.title, one.part, one.start) for one in found] == [
        ("early", DayPart.MORNING, time(8, 15)),
        ("own", DayPart.EVENING, None),
    ]


def test_a_task_put_on_two_days_stands_on_both() -> None:
    """A long task is done in pieces."""
    week = WeekFile(
        format=1,
        placed=(
            PlacedTask(task="sheet", date=march(25), minutes=60),
            PlacedTask(task="sheet", date=march(23), minutes=90),
        ),
    )
    assert stands(plan(task("sheet"), w12=week).week(W12)) == {23: ["sheet"], 25: ["sheet"]}


def test_the_order_of_a_day() -> None:
    """Day part, time, priority, due date, title; what has no part comes last."""
    keys: dict[str, Any] = {"day": march(24)}
    asked = plan(
        task("b", **keys),
        task("a", **keys),
        task("due-sooner", due=march(25), **keys),
        task("first", priority=1, **keys),
        task("evening", part="evening", **keys),
        task("morning", part="morning", **keys),
    )
    assert stands(asked.week(W12))[24] == [
        "morning", "evening", "first", "due-sooner", "a", "b",
    ]  # fmt: skip


def test_without_a_day_from_the_day_it_may_be_begun() -> None:
    """In no week that is over, and in none before it may be begun."""
    asked = plan(task("any"), task("later", not_before=date(2027, 4, 4)))
    assert [loose(asked.week(week)) for week in (W11, W12, W13, W20)] == [
        [],
        ["any"],
        ["any", "later"],
        ["any", "later"],
    ]


def test_what_is_left_over_is_there_again_in_the_week_of_today() -> None:
    """The past week keeps it where it stood; this week has it to be done; the next does not."""
    asked = plan(
        task("left", due=march(18)),
        task("put-before", due=march(30), carried=1),
        task("monday", due=march(22)),
        w11=placed("put-before", march(17)),
    )
    assert stands(asked.week(W11)) == {17: ["put-before"], 18: ["left"]}
    assert loose(asked.week(W12)) == ["left", "put-before"]
    assert stands(asked.week(W12)) == {22: ["monday"]}
    assert loose(asked.week(W13)) == []
    left, put = asked.week(W12).undated
    assert (left.overdue, left.shown_on) == (True, march(18))
    assert (put.overdue, put.carried, put.shown_on) == (False, 1, march(17))


def test_carried_over_from_a_week_that_is_put_into_this_one() -> None:
    """Put again this week, it is not left over any more."""
    asked = plan(task("x"), w11=placed("x", march(17)), w12=placed("x", march(26)))
    assert (stands(asked.week(W11)), stands(asked.week(W12))) == ({17: ["x"]}, {26: ["x"]})
    assert loose(asked.week(W12)) == []


@pytest.mark.parametrize(("end", "field"), [("done", "done"), ("dropped", "dropped")])
def test_an_ended_task_stands_on_the_day_it_ended(end: str, field: str) -> None:
    """Not where it was put or due, and never among those without a day."""
    asked = plan(
        task("x", due=march(30), day=march(22), **{end: march(25)}), w12=placed("x", march(23))
    )
    assert stands(asked.week(W12)) == {25: ["x"]}
    assert stands(asked.week(W13)) == {}
    found = only(asked.week(W12).days[3].tasks)
    assert getattr(found, field) == march(25)
    assert not found.overdue


def test_overdue_counts_from_today() -> None:
    """Due yesterday is overdue, due today is not."""
    asked = plan(task("yesterday", due=march(23)), task("today", due=march(24)))
    found = {one.title: one.overdue for day in asked.week(W12).days for one in day.tasks}
    assert found == {"yesterday": True, "today": False}


def test_without_a_day_the_overdue_come_first() -> None:
    """Then by priority, due date and title."""
    asked = plan(
        task("z"), task("a"), task("urgent", priority=1), task("late", due=march(1), priority=9)
    )
    assert loose(asked.week(W12)) == ["late", "urgent", "a", "z"]


def weekly(**keys: Any) -> Task:
    """A task for every Monday from 1 March 2027."""
    return task("bins", due=march(1), repeats="FREQ=WEEKLY;BYDAY=MO", **keys)


def test_each_due_date_of_a_repeating_task_is_an_entry() -> None:
    """All with one id, on their days; of those left over only the first is there again."""
    asked = plan(weekly())
    month = asked.span(march(1), march(31))
    assert [day.date.day for day in month.days if day.tasks] == [1, 8, 15, 22, 29]
    assert {one.id for day in month.days for one in day.tasks} == {"bins"}
    again = only(asked.week(W12).undated)
    assert (again.due, again.overdue) == (march(1), True)
    assert loose(asked.week(W13)) == []


def test_done_closes_the_due_dates_up_to_it() -> None:
    """Done on Tuesday 16: open again from Monday 22; it stands where it was done."""
    asked = plan(weekly(done=march(16)))
    assert stands(asked.span(march(1), march(31))) == {16: ["bins"], 22: ["bins"], 29: ["bins"]}
    done = only(asked.day(march(16)).tasks)
    assert (done.due, done.done) == (march(15), march(16))
    assert loose(asked.week(W12)) == []


def test_done_on_the_due_date_is_one_entry() -> None:
    """The due date it closes does not stand beside it."""
    assert stands(plan(weekly(done=march(22))).week(W12)) == {22: ["bins"]}


def test_a_dropped_repeating_task_is_over() -> None:
    """No due date is left."""
    asked = plan(weekly(dropped=march(16)))
    assert stands(asked.span(march(1), march(31))) == {16: ["bins"]}


def test_a_due_date_can_be_put_on_another_day() -> None:
    """Of that week's due date; the others stay."""
    asked = plan(weekly(), w13=placed("bins", march(31)))
    assert stands(asked.span(march(22), march(31))) == {22: ["bins"], 31: ["bins"]}
    assert only(asked.day(march(31)).tasks).due == march(29)


def test_what_was_put_and_done_does_not_take_a_later_due_date() -> None:
    """A placement of a closed week is history."""
    asked = plan(weekly(done=march(17)), w11=placed("bins", march(16)))
    assert stands(asked.week(W12)) == {22: ["bins"]}


def test_a_rule_that_has_ended_gives_its_last_date() -> None:
    """A day after the last due date stands for it."""
    asked = plan(
        task("twice", due=march(8), repeats="FREQ=WEEKLY;COUNT=2"),
        w12=placed("twice", march(25)),
    )
    assert stands(asked.span(march(1), march(31))) == {8: ["twice"], 25: ["twice"]}


def test_to_dos_of_calendars_stand_like_tasks() -> None:
    """By due date, with the moment where there is one; 0 is no priority (RFC 5545 3.8.1.9)."""
    asked = plan(
        todos=[
            todo("form", due=at("2027-03-24 07:00"), priority=0, persons=("pell",)),
            todo("jars", due=march(24), priority=3, start=march(1), estimate_minutes=90),
            todo("some day", start=at("2027-04-06 00:00")),
        ]
    )
    jars, form = asked.week(W12).days[2].tasks
    assert (jars.title, jars.priority, jars.estimate, jars.not_before, jars.overdue) == (
        "jars", 3, 90, march(1), False,
    )  # fmt: skip
    assert (form.title, form.priority, form.persons) == ("form", None, ("pell",))
    assert form.due_at == datetime(2027, 3, 24, 7, tzinfo=UTC)
    assert form.overdue  # now is 07:30
    assert (form.source, form.uid) == ("home", "form")
    assert loose(asked.week(W12)) == []
    assert loose(asked.week(IsoWeek(2027, 14))) == ["some day"]


def test_ended_to_dos() -> None:
    """Completed ones stand on that day; those that ended on no known day stand nowhere."""
    asked = plan(
        todos=[
            todo("done", due=march(26), completed=march(23), status="COMPLETED"),
            todo("no day", due=march(26), status="COMPLETED"),
            todo("cancelled", due=march(26), status="CANCELLED"),
        ]
    )
    assert stands(asked.week(W12)) == {23: ["done"]}
    assert loose(asked.week(W12)) == []


def test_of_a_recurring_to_do_one_is_left_over() -> None:
    """Each occurrence stands on its day; to be done again is the first open one only."""
    asked = plan(
        todos=[
            todo("water", uid="water", identity=f"202703{day:02}", due=march(day))
            for day in (15, 8, 22)
        ]
    )
    assert stands(asked.week(W11)) == {15: ["water"]}
    assert stands(asked.week(W12)) == {22: ["water"]}
    assert only(asked.week(W12).undated).due == march(8)


def test_a_to_do_can_be_put_on_a_day() -> None:
    """Its id has the form that week files take and stays the same."""
    one = todo("form", uid="Form/1@saltmere.invalid", due=march(26))
    asked = plan(todos=[one], w12=placed(todo_id(one), march(25)))
    assert stands(asked.week(W12)) == {25: ["form"]}
    assert todo_id(one) == "todo-1686809c8a72ebe2"  # by sha256sum of source, UID and identity


def test_two_pieces_of_a_task_on_one_day_are_both_there() -> None:
    """At several times; of two at the same time, or without one, the last written counts."""
    week = WeekFile(
        format=1,
        placed=(
            PlacedTask(task="x", date=march(25), part=DayPart.EVENING),
            PlacedTask(task="x", date=march(25), start=time(14), minutes=30),
            PlacedTask(task="x", date=march(25), start=time(9), minutes=25),
            PlacedTask(task="x", date=march(25), start=time(14), minutes=60),
        ),
    )
    found = plan(task("x", estimate=85), w12=week).week(W12).days[3].tasks
    assert [(one.start, one.minutes) for one in found] == [(time(9), 25), (time(14), 60)]


def test_what_is_to_be_decided_comes_longest_carried_first() -> None:
    """Left over or carried, and neither put on a day to come, wanted, nor parked."""
    asked = plan(
        task("short", due=march(17)),
        task("long", carried=3),
        task("longer", due=march(2), carried=5),
        task("put", carried=4),
        task("planned", carried=4, day=march(24)),
        task("wanted", carried=4),
        task("parked", carried=4, not_before=march(29)),
        task("this-week", due=march(22)),
        task("coming", due=march(30)),
        task("done", carried=3, done=march(23)),
        w12=WeekFile(
            format=1,
            placed=(PlacedTask(task="put", date=march(26)),),
            days=(ChosenDay(date=march(25), priorities=("wanted",)),),
        ),
    )
    assert [one.id for one in asked.to_decide()] == ["longer", "long", "short"]
    assert {one.id for one in asked.open_tasks()} >= {"put", "parked", "coming"}
