"""What the views take out: nothing of it may be found anywhere in what is left."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import NOW, all_day, at, files, mark, planner, timed, todo
from weeksync.model.chosen import ChosenDay, PlannedBreak, WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Habit, Lesson, Task, Term
from weeksync.model.household import CheckIn, HouseholdFiles
from weeksync.model.money import Bill, Goal, Paid, PayDay
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import LeftOut, LeftOutReason, MonthPlan, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.plan import Planner, record, views

W12 = IsoWeek(2027, 12)
SECRET = "zx-secret"
"""Stands in the id, title and mark of everything that is only for somebody."""


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def as_json(spread: Spread) -> str:
    """Everything a spread says, as one text."""
    made = record.as_record(
        spread,
        household="x",
        now=NOW,
        time_zone="Europe/London",
        tzdata="x",
        problems=spread.problems,
    )
    return json.dumps(made)


def household(only_for: tuple[str, ...] = ()) -> HouseholdFiles:
    """One thing of each kind, all with the same `only_for`, with amounts of 98765."""
    kept: dict[str, Any] = {"id": SECRET, "title": SECRET, "only_for": only_for}
    return files(
        tasks=(
            Task(**kept, day=march(24), carried=4, person="ines", area="home"),
            Task(**(kept | {"id": f"{SECRET}-2"}), area="stall"),
            Task(**(kept | {"id": f"{SECRET}-3"}), due=march(1), done=march(23)),
            Task(**(kept | {"id": f"{SECRET}-4"}), due=march(2), repeats="FREQ=DAILY"),
        ),
        habits=(Habit(**kept, person="ines", area="home"),),
        bills=(
            Bill(**kept, amount=98_765, first=march(22), collected=False),
            Bill(
                **(kept | {"id": f"{SECRET}-5"}), amount=1, first=march(23),
                paid=(Paid(due=march(23), on=march(23), amount=98_765),),
            ),
        ),
        pay_days=(PayDay(**kept, amount=98_765, first=march(25), person="dov"),),
        goals=(Goal(**kept, amount=98_765, pay_day=SECRET, start=march(1), end=march(31)),),
        marks=(mark(SECRET, march(22), "zx-value"),),
        check_ins=(CheckIn(march(22), "ines", feeling="zx-feeling", text="zx-feeling"),),
        weeks={
            W12: WeekFile(
                format=1,
                days=(ChosenDay(date=march(24), priorities=(SECRET, f"{SECRET}-2", "Rest")),),
                breaks=(PlannedBreak(date=march(24), start=time(10), what="Tea", person="dov"),),
            )
        },
        terms=(Term(id="spring", name="Spring", start=march(1), end=march(25)),),
        lessons=(Lesson(id="art", child="pell", subject="Art", days=(Weekday.THURSDAY,)),),
    )  # fmt: skip


def occurrences(only_for: tuple[str, ...] = ()) -> list[Occurrence]:
    """An all-day and a timed appointment with that `only_for`, and one for everybody."""
    keys: dict[str, Any] = {"source": "", "only_for": only_for, "persons": ("ines",)}
    return [
        all_day(SECRET, march(22), 3, **keys),
        timed(f"{SECRET}-2", at("2027-03-24 09:00"), **keys),
        timed("Fair", at("2027-03-24 10:00"), area="home"),
        timed("Rota", at("2027-03-24 11:00"), persons=("dov",), area="stall"),
    ]


def plan(only_for: tuple[str, ...] = ()) -> Planner:
    """A planner of all that."""
    left = [LeftOut(one, LeftOutReason.SAME) for one in occurrences(only_for)]
    return planner(household(only_for), occurrences(only_for), left_out=left)


def test_the_common_view_has_nothing_that_is_only_for_somebody() -> None:
    """Neither ids nor titles, marks, priorities or decisions; the whole plan has them all."""
    spread = plan(("ines",)).week(W12)
    assert as_json(spread).count(SECRET) > 20
    assert "zx-value" in as_json(spread)
    left = as_json(views.common(spread))
    assert SECRET not in left
    assert "zx-value" not in left
    assert "Fair" in left
    assert "Rest" in left


def test_the_common_view_of_a_month_neither() -> None:
    """The month overview hangs on the same wall."""
    month = plan(("ines",)).month(Month(2027, 3))
    assert SECRET in repr(month)
    left = repr(views.common(month))
    assert SECRET not in left
    assert "98765" not in left
    assert "zx-feeling" not in left
    assert "Fair" in left


def test_the_common_view_has_no_amounts_and_no_check_ins() -> None:
    """What everybody may see of a bill is its name, its day and whether it is paid."""
    spread = plan().week(W12)
    assert as_json(spread).count("98765") == 4
    assert "zx-feeling" in as_json(spread)
    common = views.common(spread)
    left = as_json(common)
    assert "98765" not in left
    assert "zx-feeling" not in left
    moves = [item for day in common.days for item in day.money]
    assert [item.day.day for item in moves] == [22, 23, 25, 25]
    assert all(item.amount is None and item.paid_amount is None for item in moves)
    assert moves[1].paid_on == march(23)


def test_what_is_for_all_stays_in_the_common_view() -> None:
    """Where nothing is only for somebody, only amounts and check-ins go."""
    spread = plan().week(W12)
    common = views.common(spread)
    assert (common.habits, common.undated, common.decisions) == (
        spread.habits, spread.undated, spread.decisions,
    )  # fmt: skip
    for day, left in zip(spread.days, common.days, strict=True):
        assert left == replace(day, money=left.money, check_ins=())


def test_decisions_about_what_is_only_for_somebody_are_kept_apart() -> None:
    """So that a page that shows decisions never shows those."""
    spread = plan(("ines",)).week(W12)
    assert [str(text) for text in spread.decisions] == [
        "1 lesson of the last seven days is not recorded"
    ]
    assert len(spread.own_decisions) == 2
    assert all(only_for == ("ines",) for only_for, _ in spread.own_decisions)
    assert len(plan().week(W12).decisions) == 3


def test_a_person_sees_what_is_only_for_them_and_nobody_else_does() -> None:
    """Dov's view has nothing that is only for Ines; hers has it."""
    spread = plan(("ines",)).week(W12)
    hers = views.for_person(spread, "ines")
    assert SECRET in as_json(hers)
    assert len(hers.own_decisions) == 2
    his = as_json(views.for_person(spread, "dov"))
    assert SECRET not in his
    assert "zx-feeling" not in his
    assert SECRET not in repr(views.for_person(plan(("ines",)).month(Month(2027, 3)), "dov"))


def test_a_person_s_view_has_theirs_and_what_is_nobody_s() -> None:
    """Ines's task and appointment are not Dov's; the fair is everybody's."""
    spread = plan().week(W12)
    his, hers = views.for_person(spread, "dov"), views.for_person(spread, "ines")
    wednesday = 2

    def titles(one: Spread) -> list[str]:
        return [found.occurrence.title for found in one.days[wednesday].occurrences]

    assert titles(his) == ["Fair", "Rota"]
    assert titles(hers) == [SECRET, f"{SECRET}-2", "Fair"]
    assert [one.title for one in his.days[wednesday].priorities] == [SECRET, "Rest"]
    assert [one.task for one in his.days[wednesday].priorities] == [f"{SECRET}-2", ""]
    assert (len(his.habits), len(hers.habits)) == (0, 1)
    assert (len(his.days[wednesday].breaks), len(hers.days[wednesday].breaks)) == (1, 0)
    assert (len(his.days[0].check_ins), len(hers.days[0].check_ins)) == (0, 1)
    thursday = [views.for_person(spread, who).days[3] for who in ("ines", "dov", "pell")]
    assert [len(day.money) for day in thursday] == [0, 2, 0]
    assert [len(day.lessons) for day in thursday] == [0, 0, 1]


def test_an_area_s_view_has_only_that_area() -> None:
    """What has no area, as money and lessons, is in none."""
    spread = plan().week(W12)
    home, stall = views.for_area(spread, "home"), views.for_area(spread, "stall")
    wednesday = home.days[2]
    assert [one.occurrence.title for one in wednesday.occurrences] == ["Fair"]
    assert [one.id for one in wednesday.tasks] == [SECRET]
    assert [one.task for one in wednesday.priorities] == [SECRET]
    assert [len(one.habits) for one in (home, stall)] == [1, 0]
    assert [one.id for one in stall.undated] == [f"{SECRET}-2"]
    for day in home.days:
        assert (day.money, day.lessons, day.breaks, day.own, day.check_ins) == ((),) * 5
    assert (home.notes, home.decisions) == ("", ())
    month = views.for_area(plan().month(Month(2027, 3)), "home")
    assert isinstance(month, MonthPlan)
    assert "Rota" not in repr(month)


PEOPLE = ["ines", "dov", "pell", "juno"]
RESERVED = st.lists(st.sampled_from(PEOPLE), unique=True, max_size=2).map(tuple)


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(st.lists(RESERVED, min_size=8, max_size=8), st.integers(-20, 20), st.integers(0, 14))
def test_no_view_leaks_whatever_is_reserved_for_whom(
    reserved: list[tuple[str, ...]], offset: int, length: int
) -> None:
    """Each thing bears its own name; who may not see it does not find the name anywhere."""
    names = [f"zx-{number}-end" for number in range(8)]
    keys: list[dict[str, Any]] = [
        {"id": name, "title": name, "only_for": only_for}
        for name, only_for in zip(names, reserved, strict=True)
    ]
    made = files(
        tasks=(
            Task(**keys[0], due=march(20), carried=5),
            Task(**keys[1]),
            Task(**keys[2], due=march(1), repeats="FREQ=WEEKLY"),
        ),
        habits=(Habit(**keys[3], person="ines"),),
        bills=(Bill(**keys[4], first=march(16), amount=1, collected=False),),
        pay_days=(PayDay(**keys[5], first=march(25)),),
        goals=(
            Goal(**keys[6], amount=7, pay_day=names[5], start=march(1), end=march(31)),
        ),
        weeks={
            W12: WeekFile(
                format=1, days=(ChosenDay(date=march(24), priorities=tuple(names[:3])),)
            )
        },
        marks=tuple(mark(names[3], march(day), names[3]) for day in range(10, 31)),
    )  # fmt: skip
    event = timed(names[7], at("2027-03-25 10:00"), source="", only_for=reserved[7])
    first = date.fromordinal(march(24).toordinal() + offset)
    spread = planner(made, [event], [todo("form")]).span(
        first, date.fromordinal(first.toordinal() + length)
    )
    whole, common = as_json(spread), as_json(views.common(spread))
    for name, only_for in zip(names, reserved, strict=True):
        if only_for:
            assert name not in common
        for person in PEOPLE:
            if only_for and person not in only_for:
                assert name not in as_json(views.for_person(spread, person))
        if name in whole and not only_for:
            assert name in common


@pytest.mark.parametrize("name", ["common", "for_person", "for_area"])
def test_a_view_of_a_view_is_that_view(name: str) -> None:
    """Filtering twice takes out nothing more."""
    view = getattr(views, name)
    arguments = {"common": (), "for_person": ("ines",), "for_area": ("home",)}[name]
    once = view(plan(("ines",)).week(W12), *arguments)
    assert view(once, *arguments) == once
