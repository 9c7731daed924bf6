"""The planner as a whole: spans, what was chosen, what needs a decision."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import EXPECTED, all_day, at, config, files, mark, planner, timed, todo
from weeksync.model.chosen import ChosenDay, OwnRow, PlannedBreak, WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Habit, Lesson, Task, Term
from weeksync.model.household import CheckIn, HouseholdFiles
from weeksync.model.money import Bill
from weeksync.model.spread import BreakItem, Priority
from weeksync.model.week import IsoWeek, Month, WeekRule

W12 = IsoWeek(2027, 12)


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def busy_household() -> HouseholdFiles:
    """A household with something of every kind."""
    return files(
        tasks=(
            Task(id="jars", title="Jars", due=march(22), carried=3),
            Task(id="gate", title="Gate", day=march(25)),
            Task(id="kite", title="Kite"),
            Task(id="bins", title="Bins", due=march(1), repeats="FREQ=WEEKLY"),
        ),
        habits=(
            Habit(id="walk", title="Walk", person="dov", times_a_week=3),
            Habit(id="sleep", title="Sleep", person="ines"),
        ),
        bills=(Bill(id="tax", title="Tax", amount=14_200, first=march(28)),),
        terms=(Term(id="spring", name="Spring", start=march(1), end=march(25)),),
        lessons=(Lesson(id="art", child="juno", subject="Art", days=(Weekday.THURSDAY,)),),
        weeks={
            W12: WeekFile(
                format=1,
                notes="Term ends on *Thursday*.",
                days=(ChosenDay(date=march(22), priorities=("jars", "A slow day")),),
                rows=(OwnRow(title="Meals", cells={Weekday.MONDAY: "Soup"}),),
                breaks=(PlannedBreak(date=march(22), start=time(15, 30), minutes=15, what="Tea"),),
            )
        },
        marks=(mark("sleep", march(22), "yes"),),
        check_ins=(CheckIn(march(22), "ines", feeling="light"), CheckIn(march(22), "dov")),
    )


OCCURRENCES = [
    all_day("Cousin", march(26), 4),
    timed("Call", at("2027-03-22 10:30"), 45),
    timed("Night shift", at("2027-03-27 19:00"), 660),
]


def test_a_span_of_seven_days_is_the_week() -> None:
    """Asked by its days, a week is the same spread, notes and decisions included."""
    asked = planner(busy_household(), OCCURRENCES)
    assert asked.span(march(22), march(28)) == asked.week(W12)
    assert asked.week(W12).notes == "Term ends on *Thursday*."


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(st.integers(-40, 40), st.integers(0, 20))
def test_any_span_has_the_days_of_its_weeks(offset: int, length: int) -> None:
    """A day is the same whichever span, week or month it is asked in."""
    asked = planner(busy_household(), OCCURRENCES)
    first = date.fromordinal(march(22).toordinal() + offset)
    last = date.fromordinal(first.toordinal() + length)
    spread = asked.span(first, last)
    assert len(spread.days) == length + 1
    for day in spread.days:
        assert day in asked.week(day.week).days
        rows = asked.month(Month.of(day.date)).weeks
        assert day in dict(rows)[day.week]


def test_a_span_that_is_no_week() -> None:
    """Neither fewer days nor seven that begin on another weekday; and no notes then."""
    asked = planner(busy_household())
    for first, last in ((22, 27), (21, 27), (22, 29)):
        spread = asked.span(march(first), march(last))
        assert (spread.week, spread.notes) == (None, "")


def test_a_span_ends_after_it_begins() -> None:
    """The other way round is refused."""
    with pytest.raises(ValueError, match="before it begins"):
        planner().span(march(23), march(22))


def test_the_same_input_gives_the_same_plan() -> None:
    """Whatever order occurrences and tasks came in, and however often it is asked."""
    household = busy_household()
    turned = replace(household, tasks=household.tasks[::-1], habits=household.habits[::-1])
    one = planner(household, OCCURRENCES)
    other = planner(turned, OCCURRENCES[::-1])
    assert one.week(W12) == one.week(W12) == other.week(W12)
    assert one.month(Month(2027, 3)) == other.month(Month(2027, 3))


def test_what_was_chosen_stands_on_its_day() -> None:
    """Priorities, own rows and breaks; every day has every own row, so that rows are even."""
    monday, tuesday, *_ = planner(busy_household()).week(W12).days
    assert monday.priorities == (Priority("Jars", "jars"), Priority("A slow day"))
    assert monday.breaks == (BreakItem("15:30", 15, "Tea", None),)
    assert (monday.own, tuesday.own) == ((("Meals", "Soup"),), (("Meals", ""),))
    assert planner(busy_household()).week(IsoWeek(2027, 13)).days[0].own == ()


@pytest.mark.parametrize(
    ("keys", "done"),
    [
        ({}, False),
        ({"done": march(22)}, True),
        ({"dropped": march(22)}, False),
        ({"due": march(1), "repeats": "FREQ=WEEKLY"}, False),
        ({"due": march(1), "repeats": "FREQ=WEEKLY", "done": march(20)}, False),
        ({"due": march(1), "repeats": "FREQ=WEEKLY", "done": march(23)}, True),
    ],
)
def test_a_priority_is_done_with_its_task(keys: dict[str, Any], done: bool) -> None:
    """A repeating task counts as done from the day of the priority on."""
    household = replace(busy_household(), tasks=(Task(id="jars", title="Jars", **keys),))
    assert planner(household).day(march(22)).priorities[0].done is done


def test_rows_of_a_week_that_starts_on_sunday() -> None:
    """The cell for Sunday stands on the first day of that spread."""
    row = OwnRow(title="Meals", cells={Weekday.SUNDAY: "Roast", Weekday.MONDAY: "Soup"})
    household = files(weeks={W12: WeekFile(format=1, rows=(row,))})
    days = planner(household, rule=WeekRule(6, 1)).week(W12).days
    assert [(day.date.day, day.own[0][1]) for day in days[:3]] == [
        (21, "Roast"),
        (22, "Soup"),
        (23, ""),
    ]


def test_check_ins_stand_on_their_day() -> None:
    """By person, whoever wrote first."""
    day = planner(busy_household()).day(march(22))
    assert [one.person for one in day.check_ins] == ["dov", "ines"]


def test_holidays_of_the_week_of_easter() -> None:
    """Good Friday stands on its day; Easter Sunday is no bank holiday in England."""
    days = planner().week(W12).days
    assert [day.holidays for day in days] == [(), (), (), (), ("Good Friday",), (), ()]


def test_holidays_bear_the_household_s_language() -> None:
    """A household in Bavaria that reads German."""
    settings = config(
        household={"name": "x", "time_zone": "Europe/Berlin", "region": "DE-BY"},
        holidays=[{"date": march(24), "name": "Fest"}],
    )
    days = planner(files(settings), language="de_DE").week(W12).days
    assert [day.holidays for day in days[2:5]] == [("Fest",), (), ("Karfreitag",)]


def test_an_unknown_region_is_on_every_spread() -> None:
    """It is a problem of the run, told with the remedy."""
    settings = config(household={"name": "x", "time_zone": "Europe/London", "region": "XX"})
    (problem,) = planner(files(settings)).week(W12).problems
    assert '"XX"' in str(problem)
    assert "GB-ENG" in str(problem)


def test_decisions_come_most_pressing_first() -> None:
    """Bills, then tasks carried too long, then overdue ones, then lessons."""
    household = replace(
        busy_household(),
        bills=(Bill(id="milk", title="Milk", first=march(22), collected=False),),
        lessons=(Lesson(id="art", child="juno", subject="Art", days=(Weekday.THURSDAY,)),),
    )
    household = replace(
        household, tasks=(*household.tasks, Task(id="seed", title="Seed", due=march(16)))
    )
    assert [str(text) for text in planner(household).week(W12).decisions] == [
        "“Milk” was to be paid on 2027-03-22: pay it, or write down when it was paid",
        "“Bins” has been carried 3 weeks: do it, split it, give it a date, or drop it",
        "“Jars” has been carried 3 weeks: do it, split it, give it a date, or drop it",
        "“Seed” was due on 2027-03-16: do it, drop it, or give it a date",
        "1 lesson of the last seven days is not recorded",
    ]


def test_the_carry_limit_is_the_household_s() -> None:
    """Carried once is enough where the household says so."""
    settings = config(planning={"carry_limit_weeks": 1})
    household = files(settings, tasks=(Task(id="kite", title="Kite", carried=1),))
    assert [str(text) for text in planner(household).week(W12).decisions] == [
        "“Kite” has been carried 1 week: do it, split it, give it a date, or drop it"
    ]


def test_a_long_list_of_overdue_tasks_is_cut() -> None:
    """Twelve are named, the longest overdue first, and the rest is counted."""
    made = tuple(
        Task(id=f"t{number:02}", title=f"t{number:02}", due=march(8 + number % 14))
        for number in range(40)
    )
    found = [str(text) for text in planner(files(tasks=made)).week(W12).decisions]
    assert len(found) == 13
    assert found[0].startswith("“t00” was due on 2027-03-08")
    assert found[-1] == "28 more tasks are overdue"


def test_a_long_list_of_carried_tasks_is_cut() -> None:
    """Twelve are named, the longest carried first, and the rest is counted."""
    made = tuple(
        Task(id=f"t{number:02}", title=f"t{number:02}", carried=3 + number) for number in range(40)
    )
    found = [str(text) for text in planner(files(tasks=made)).week(W12).decisions]
    assert len(found) == 13
    assert found[0].startswith("“t39” has been carried 42 weeks")
    assert found[-1] == "28 more tasks have been carried as long"


def test_the_rest_of_a_long_list_does_not_count_what_is_only_for_somebody() -> None:
    """Even a number would tell that there is something."""
    made = [Task(id=f"t{number:02}", title="t", due=march(8)) for number in range(13)]
    hidden = Task(id="u", title="u", due=march(9), only_for=("ines",))
    spread = planner(files(tasks=(*made, hidden))).week(W12)
    assert str(spread.decisions[-1]) == "1 more task is overdue"
    assert spread.own_decisions == ()


def test_to_dos_are_decided_about_too() -> None:
    """A form due yesterday at seven."""
    spread = planner(todos=[todo("Form", due=at("2027-03-23 07:00"))]).week(W12)
    assert [str(text) for text in spread.decisions] == [
        "“Form” was due on 2027-03-23: do it, drop it, or give it a date"
    ]


def test_an_overdue_task_put_on_today_is_decided_about() -> None:
    """Planned for a day that is over, it is asked about again."""
    made = [
        Task(id=f"t{day}", title=f"t{day}", due=march(20), day=march(day)) for day in (23, 24, 25)
    ]
    spread = planner(files(tasks=tuple(made))).week(W12)
    assert [str(text) for text in spread.decisions] == [
        "“t23” was due on 2027-03-20: do it, drop it, or give it a date"
    ]


def test_today_is_a_day_of_the_household() -> None:
    """At 23:30 UTC on Sunday 28 March it is Monday in London, and the next week is asked."""
    now = datetime(2027, 3, 28, 23, 30, tzinfo=UTC)
    asked = planner(files(tasks=(Task(id="x", title="x", due=march(28)),)), now=now)
    assert asked.week(W12).decisions == ()
    assert len(asked.week(IsoWeek(2027, 13)).decisions) == 1
    assert asked.week(IsoWeek(2027, 13)).undated[0].overdue


def test_the_nine_tasks_of_the_demo() -> None:
    """Each stands on the day it is due, with its estimate."""
    made = []
    for title, minutes, day in EXPECTED["tasks"]["tasks"]:
        due = march(int(day.split()[1]))
        made.append(
            Task(id=title.lower().replace(" ", "-"), title=title, estimate=minutes, due=due)
        )
    spread = planner(files(tasks=tuple(made))).week(W12)
    found = [
        [one.title, one.estimate, f"{day.date:%a %d}"] for day in spread.days for one in day.tasks
    ]
    assert sorted(found) == sorted(EXPECTED["tasks"]["tasks"])
