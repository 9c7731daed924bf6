"""Days proposed for habits. The week is that of 22 March 2027."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from tests.support.loads import load
from tests.support.plans import at, config, files, mark, planner, timed
from weeksync.model.chosen import LighterWeek, WeekFile
from weeksync.model.fields import DayPart, MarkKind, Weekday
from weeksync.model.files import Habit, Pause
from weeksync.model.spread import CellState, HabitCell, HabitRow
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import DayLoad, ProposedHabit
from weeksync.plan.habit_days import propose_habits

W12 = IsoWeek(2027, 12)
MONDAY = date(2027, 3, 22)
STATES = {
    "o": CellState.OPEN,
    "x": CellState.MARKED,
    "-": CellState.MISSED,
    "?": CellState.NOT_RECORDED,
    ".": CellState.NOT_DUE,
    "p": CellState.PAUSED,
}


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def row(week: str, times: int | None = 3, **keys: Any) -> HabitRow:
    """A habit of Ines whose week is given as seven letters."""
    cells = tuple(HabitCell(march(22 + at), STATES[letter]) for at, letter in enumerate(week))
    plain: dict[str, Any] = {
        "id": "walk", "title": "Walk", "area": None, "person": "ines", "part": None,
        "kind": MarkKind.YES_NO, "unit": "", "target": None, "cells": cells,
        "times_a_week": times, "due": times or 7, "marked": week.count("x"),
    }  # fmt: skip
    return HabitRow(**(plain | keys))


def room(*minutes: int, planned: int = 0) -> list[DayLoad]:
    """Days of Ines with so many free minutes each."""
    return [DayLoad("ines", march(22 + at), free, free, planned) for at, free in enumerate(minutes)]


def days(found: tuple[ProposedHabit, ...]) -> list[int]:
    """The days of the one proposal, () where there is none."""
    return [day.day for one in found for day in one.days]


@pytest.mark.parametrize(
    ("week", "free", "wanted"),
    [
        pytest.param("ooooooo", (9, 8, 7, 6, 5, 4, 3), [22, 23, 24], id="most room first"),
        pytest.param("ooooooo", (0, 9, 0, 9, 0, 9, 0), [23, 25, 27], id="wherever it is"),
        pytest.param("ooooooo", (5,) * 7, [22, 25, 28], id="the same room: spread"),
        pytest.param("?xooooo", (5,) * 7, [25, 28], id="apart from what is marked"),
        pytest.param("x-xoooo", (9, 9, 9, 1, 2, 3, 4), [28], id="only what is wanting"),
        pytest.param("xxx....", (9,) * 7, [], id="enough are marked"),
        pytest.param("ppppoop", (9, 9, 9, 9, 1, 1, 9), [26, 27], id="not on paused days"),
        pytest.param("???????", (9,) * 7, [], id="the week is over"),
    ],
)
def test_n_a_week_on_the_days_with_most_room(
    week: str, free: tuple[int, ...], wanted: list[int]
) -> None:
    """Free minutes less what is planned; of equal days those farthest apart."""
    due = min(3, sum(letter != "p" for letter in week))
    assert days(propose_habits([row(week, due=due)], room(*free), (), MONDAY)) == wanted


def test_what_is_planned_takes_room() -> None:
    """A day that is free and full of tasks has none."""
    loads = room(100, 90, 80, 70, 60, 50, 40)
    full = [load(march(22), "08:00-09:40", planned=100), *loads[1:]]
    assert days(propose_habits([row("ooooooo", 1)], full, (), MONDAY)) == [23]


def test_from_today_on() -> None:
    """Days that are over are not proposed, whatever room they had."""
    found = propose_habits([row("??ooooo", 2)], room(9, 9, 1, 5, 1, 1, 1), (), march(24))
    assert days(found) == [25, 28]


def test_a_habit_of_every_day_is_proposed_nowhere() -> None:
    """It is due anyway."""
    assert propose_habits([row("ooooooo", None)], room(*[9] * 7), (), MONDAY) == ()


def test_the_reason_counts_what_is_still_due() -> None:
    """Of how many a week."""
    (one,) = propose_habits([row("xoooooo", 3)], room(*[9] * 7), (), MONDAY)
    assert str(one.reason) == "2 of 3 a week are still due: the days with most room"
    (one,) = propose_habits([row("xxooooo", 3)], room(*[9] * 7), (), MONDAY)
    assert str(one.reason) == "1 of 3 a week is still due: the day with most room"


def rota(*keys: tuple[str, int]) -> list[Any]:
    """Shifts of Dov: (start, minutes)."""
    return [
        timed(f"shift {start}", at(start), minutes, persons=("dov",), area="rota")
        for start, minutes in keys
    ]


def shifted(occurrences: list[Any], *habits: Habit, work: bool = True, **parts: Any) -> Any:
    """(habit, days, part) of what is proposed for Dov's habits, on Monday morning."""
    settings = config(
        areas=[{"id": "rota", "name": "Rota", "colour": "slate", "letter": "R", "work": work}]
    )
    plan = (
        planner(
            files(settings, habits=habits, **parts),
            occurrences,
            now=datetime(2027, 3, 22, 6, tzinfo=UTC),
        )
        .week(W12)
        .plan
    )
    assert plan is not None
    assert plan.proposal is not None
    return [(one.habit, days((one,)), one.part) for one in plan.proposal.habits]


STRETCH = Habit(id="stretch", title="Stretch", person="dov", part=DayPart.MORNING)


@pytest.mark.parametrize(
    ("start", "minutes", "wanted"),
    [
        pytest.param("2027-03-24 19:00", 720, [25], id="a night shift"),
        pytest.param("2027-03-21 19:00", 720, [22], id="one that began last week"),
        pytest.param("2027-03-27 19:00", 660, [28], id="the night the clocks change"),
        pytest.param("2027-03-24 18:00", 9 * 60, [25], id="until three"),
        pytest.param("2027-03-24 18:00", 9 * 60 - 1, [], id="not quite until three"),
        pytest.param("2027-03-24 05:00", 600, [], id="an early shift"),
        pytest.param("2027-03-24 07:00", 720, [], id="a day shift"),
    ],
)
def test_a_night_worked_shifts_morning_habits(start: str, minutes: int, wanted: list[int]) -> None:
    """Three hours of work between midnight and five move them to the afternoon.

    Night time and the three hours are those of Directive 2003/88/EC, article 2 (from memory).
    """
    found = shifted(rota((start, minutes)), STRETCH)
    assert found == ([("stretch", wanted, DayPart.AFTERNOON)] if wanted else [])


@pytest.mark.parametrize(
    ("keys", "moves"),
    [
        ({"kind": MarkKind.MINUTES}, True),
        ({"kind": MarkKind.HOURS}, False),
        ({"kind": MarkKind.COUNT}, False),
        ({"kind": MarkKind.SCALE}, False),
        ({"health": True}, False),
        ({"kind": MarkKind.MINUTES, "health": True}, False),
    ],
)
def test_a_night_moves_only_what_is_something_to_do(keys: dict[str, Any], moves: bool) -> None:
    """Hours of sleep are noted in the morning whatever the night was."""
    habit = replace(STRETCH, **keys)
    assert bool(shifted(rota(("2027-03-24 19:00", 720)), habit)) is moves


def test_nights_that_are_no_work_shift_nothing() -> None:
    """A party until four is nobody's rota."""
    assert shifted(rota(("2027-03-24 19:00", 720)), STRETCH, work=False) == []


def test_only_habits_of_the_morning_that_are_due_then() -> None:
    """Others stay; a paused one rests, and so does one in a lighter week."""
    nights = rota(("2027-03-24 19:00", 720), ("2027-03-25 19:00", 720))
    habits = (
        Habit(id="evening", title="Evening", person="dov", part=DayPart.EVENING),
        Habit(id="hers", title="Hers", person="ines", part=DayPart.MORNING),
        Habit(id="fridays", title="F", person="dov", part=DayPart.MORNING, days=(Weekday.FRIDAY,)),
        Habit(
            id="paused",
            title="P",
            person="dov",
            part=DayPart.MORNING,
            pauses=(Pause(start=march(20)),),
        ),
    )
    assert shifted(nights, *habits, STRETCH) == [
        ("fridays", [26], DayPart.AFTERNOON),
        ("stretch", [25, 26], DayPart.AFTERNOON),
    ]
    rest = WeekFile(format=1, lighter=(LighterWeek(person="dov", start=march(25), end=march(25)),))
    assert shifted(nights, STRETCH, weeks={W12: rest}) == [("stretch", [26], DayPart.AFTERNOON)]


def test_a_morning_habit_n_a_week_moves_on_its_proposed_days_only() -> None:
    """Days on which it is not proposed need no other part."""
    habit = Habit(id="walk", title="Walk", person="dov", part=DayPart.MORNING, times_a_week=6)
    found = shifted(rota(("2027-03-23 19:00", 720)), habit)
    assert found[0][2] is None
    assert len(found[0][1]) == 6
    assert found[1:] == ([("walk", [24], DayPart.AFTERNOON)] if 24 in found[0][1] else [])


def test_marks_and_only_for_are_respected() -> None:
    """What is done counts, and what is only for somebody says so."""
    habit = Habit(id="own", title="Own", person="ines", times_a_week=2, only_for=("ines",))
    made = planner(files(habits=(habit,), marks=(mark("own", march(22), "yes"),))).week(W12)
    assert made.plan is not None
    assert made.plan.proposal is not None
    (one,) = made.plan.proposal.habits
    assert (len(one.days), one.only_for) == (1, ("ines",))
    assert one.days[0] >= march(24)
