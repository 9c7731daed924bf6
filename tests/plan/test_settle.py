"""What piled up is spread over the days that follow, or parked."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import DayLoad
from weeksync.plan.settle import park, spread


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def task(title: str, estimate: int | None = 30, **keys: Any) -> PlanTask:
    """An open task of Dov whose id is its title."""
    return PlanTask(title, title, persons=("dov",), estimate=estimate, **keys)


def room(*plannable: int, first: int = 22, planned: int = 0) -> list[DayLoad]:
    """Days of Dov from `first` on, with what can be planned on each."""
    return [
        DayLoad("dov", march(first + at), minutes, minutes, planned)
        for at, minutes in enumerate(plannable)
    ]


def found(tasks: list[PlanTask], loads: list[DayLoad], usual: int = 30) -> dict[str, int]:
    """Title → day of March."""
    return {name: day.day for name, day in spread(tasks, loads, "dov", usual).days}


def test_one_a_day_the_most_urgent_first() -> None:
    """Then a second round."""
    tasks = [task("d"), task("c", priority=2), task("b", priority=1), task("a", overdue=True)]
    assert found(tasks, room(60, 60, 60)) == {"a": 22, "b": 23, "c": 24, "d": 22}


def test_within_what_can_be_planned() -> None:
    """A day that is full gets none; what fits nowhere is left and named."""
    loads = [*room(60, 20), *room(90, first=24, planned=60)]
    made = spread([task("long", 60), task("short"), task("huge", 300)], loads, "dov", 30)
    assert dict(made.days) == {"long": march(22), "short": march(24)}
    assert made.left == ("huge",)


def test_the_usual_estimate_where_there_is_none() -> None:
    """As the household has it."""
    assert found([task("a", None)], room(30, 60), usual=45) == {"a": 23}


def test_only_the_person_s_own_days() -> None:
    """Another's free time is not theirs."""
    other = DayLoad("ines", march(22), 300, 300, 0)
    assert found([task("a")], [other, *room(60, first=25)]) == {"a": 25}


def test_not_before_it_can_be_begun_and_in_time_where_it_can() -> None:
    """What waits finds no day."""
    loads = room(60, 60, 60, 60)
    tasks = [
        task("x", priority=1, due=march(22)),
        task("y", priority=2, due=march(22)),
        task("later", not_before=march(24)),
    ]
    assert found(tasks, loads) == {"x": 22, "y": 22, "later": 24}
    made = spread([task("waiting", waits_for="glue")], loads, "dov", 30)
    assert (made.days, made.left) == ((), ("waiting",))


@given(
    st.lists(st.integers(1, 90), max_size=12),
    st.lists(st.integers(0, 120), max_size=6),
)
def test_no_day_is_over_full_and_nothing_is_lost(minutes: list[int], days: list[int]) -> None:
    """Whatever there is, each task is on one day or left."""
    tasks = [task(f"t{number}", long) for number, long in enumerate(minutes)]
    made = spread(tasks, room(*days), "dov", 30)
    assert sorted([*(name for name, _ in made.days), *made.left]) == sorted(one.id for one in tasks)
    estimates = {one.id: one.estimate or 0 for one in tasks}
    for at, most in enumerate(days):
        assert sum(estimates[name] for name, day in made.days if day == march(22 + at)) <= most


def test_parked_until_a_day() -> None:
    """One that cannot be begun before a later day stays as it is."""
    tasks = [task("b"), task("a", not_before=march(20)), task("later", not_before=march(30))]
    assert park(tasks, march(29)) == (("a", march(29)), ("b", march(29)))
