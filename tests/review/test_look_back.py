"""Looking back: what becomes of spreads that are made by hand; missing days by hypothesis."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from statistics import fmean
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.fields import MarkKind
from weeksync.model.household import CheckIn
from weeksync.model.review import Activity, HabitReview, Review, SpanKind, SpanName
from weeksync.model.spread import (
    CellState,
    Day,
    HabitCell,
    HabitRow,
    LessonItem,
    PlanTask,
    Spread,
)
from weeksync.model.week import IsoWeek, days_between
from weeksync.review.look_back import look_back
from weeksync.review.rates import wilson

MONDAY = date(2027, 3, 22)
SUNDAY = MONDAY + timedelta(6)
AFTER = date(2027, 6, 1)
WEEK = SpanName(SpanKind.WEEK, "2027-W12", MONDAY, SUNDAY)


def day_at(day: date, **keys: Any) -> Day:
    """A day of 24 hours."""
    return replace(Day(day, IsoWeek.of(day), 1440), **keys)


def spread(
    first: date = MONDAY,
    last: date = SUNDAY,
    *,
    habits: tuple[HabitRow, ...] = (),
    undated: tuple[PlanTask, ...] = (),
    **by_day: Any,
) -> Spread:
    """Days with what `by_day` gives them: d0 is the first one."""
    days = (
        day_at(day, **by_day.get(f"d{place}", {}))
        for place, day in enumerate(days_between(first, last))
    )
    return Spread(IsoWeek.of(first), tuple(days), habits=habits, undated=undated)


def row(cells: str | list[tuple[CellState, str]], first: date = MONDAY, **keys: Any) -> HabitRow:
    """A habit; of a text each sign is a day: x kept, - not, ? not recorded, = paused, · to come,
    a blank not due."""
    signs = {
        "x": (CellState.MARKED, "yes"),
        "-": (CellState.MISSED, "no"),
        "?": (CellState.NOT_RECORDED, ""),
        "=": (CellState.PAUSED, ""),
        "·": (CellState.OPEN, ""),
        " ": (CellState.NOT_DUE, ""),
    }
    said = [signs[one] for one in cells] if isinstance(cells, str) else cells
    made = tuple(
        HabitCell(first + timedelta(place), state, value)
        for place, (state, value) in enumerate(said)
    )
    boxes = tuple(
        number
        for number, cell in enumerate(made, 1)
        if cell.state is not CellState.PAUSED
        and (keys.get("times_a_week") or cell.state is not CellState.NOT_DUE)
    )
    plain: dict[str, Any] = {
        "id": "walk", "title": "Walk", "area": "body", "person": "ines", "part": None,
        "kind": MarkKind.YES_NO, "unit": "", "target": None,
    }  # fmt: skip
    return HabitRow(**(plain | keys), cells=made, boxes=boxes)


def habit(review: Review) -> HabitReview:
    """The only habit of a review."""
    (one,) = review.habits
    return one


def task(ident: str, **keys: Any) -> PlanTask:
    """A task."""
    return PlanTask(ident, ident, **keys)


# Tasks


def test_each_task_stands_in_one_of_four_lists() -> None:
    """Done and dropped count before all; what stood on a day that is over is carried."""
    tuesday = MONDAY + timedelta(1)
    found = look_back(
        [
            spread(
                d0={"tasks": (task("left", shown_on=MONDAY), task("both", shown_on=MONDAY))},
                d1={"tasks": (task("both", done=tuesday), task("gone", dropped=tuesday))},
                d4={"tasks": (task("ahead"), task("left", shown_on=SUNDAY))},
                undated=(task("old", carried=2), task("some-day")),
            )
        ],
        WEEK,
        date(2027, 3, 25),
    ).tasks
    assert [one.id for one in found.done] == ["both"]
    assert [one.id for one in found.dropped] == ["gone"]
    assert [(one.id, one.weeks) for one in found.carried] == [("left", 0), ("old", 2)]
    assert [one.id for one in found.open] == ["ahead", "some-day"]


def test_due_dates_of_a_repeating_task_are_apart() -> None:
    """One done and one left over is one of each; ids of two calendars never meet."""
    tuesday = MONDAY + timedelta(1)
    found = look_back(
        [
            spread(
                d0={"tasks": (task("till", repeats=True, due=MONDAY, shown_on=MONDAY),)},
                d1={
                    "tasks": (
                        task("till", repeats=True, due=tuesday, done=tuesday),
                        task("till", source="work", shown_on=tuesday),
                    )
                },
            )
        ],
        WEEK,
        AFTER,
    ).tasks
    assert [one.source for one in found.done] == [""]
    assert [(one.source, one.day) for one in found.carried] == [("", MONDAY), ("work", tuesday)]


def test_a_day_in_two_spreads_counts_once_and_days_outside_do_not() -> None:
    """A closed week beside a month made anew."""
    one = spread(d0={"tasks": (task("a", done=MONDAY, estimate=30),)}, habits=(row("xx-xxxx"),))
    beyond = replace(WEEK, last=MONDAY + timedelta(1))
    found = look_back([one, one], beyond, AFTER)
    assert (len(found.tasks.done), found.minutes[0].done) == (1, 30)
    assert (habit(found).rate.times, habit(found).rate.days) == (2, 2)
    assert (len(found.days), found.over) == (2, 2)


# Habits


def test_pauses_and_what_was_not_recorded_stand_apart() -> None:
    """3 of 4 due days; one paused, one without a word, one still to come."""
    found = habit(look_back([spread(habits=(row("xx-x=?·"),))], WEEK, SUNDAY))
    assert (found.rate.times, found.rate.days, found.rate.low) == (3, 4, None)
    assert (found.not_recorded, found.paused, found.to_come) == (1, 1, 1)


def test_from_five_days_on_there_is_wilson_s_interval() -> None:
    """4 of 5: 0.3755 to 0.9638, as the formula gives (its values are tested beside it)."""
    found = habit(look_back([spread(habits=(row("xxxx-  "),))], WEEK, AFTER)).rate
    assert (found.low, found.high) == pytest.approx((0.3755, 0.9638), abs=5e-5)
    assert (found.low, found.high) == wilson(4, 5)


@pytest.mark.parametrize(
    ("cells", "times", "days", "silent", "to_come"),
    [
        ("x  x x ", 3, 3, 0, 0),  # kept as often as it was wanted
        ("x??????", 1, 3, 0, 0),  # a week of which something is known counts whole
        ("xx x x ", 3, 3, 0, 0),  # more often than wanted counts as wanted
        ("???????", 0, 0, 3, 0),  # a week without a word is none
        ("x?·····", 1, 1, 0, 2),  # what is left of a week under way is to come
        ("x======", 1, 1, 0, 0),  # paused days leave one day
    ],
)
def test_so_many_times_a_week_is_judged_by_whole_weeks(
    cells: str, times: int, days: int, silent: int, to_come: int
) -> None:
    """Three times a week; without an interval: the days are not drawn one by one."""
    found = habit(look_back([spread(habits=(row(cells, times_a_week=3),))], WEEK, AFTER))
    assert (found.rate.times, found.rate.days) == (times, days)
    assert (found.not_recorded, found.to_come, found.rate.low) == (silent, to_come, None)


def water(values: list[str], **keys: Any) -> HabitRow:
    """Glasses of water over days; "" where nothing was written."""
    return row(
        [
            (CellState.MARKED if value else CellState.NOT_RECORDED, value)
            for value in values
        ],
        id="water", kind=MarkKind.COUNT, unit="glasses", target=7.0, health=True, **keys,
    )  # fmt: skip


def test_figures_have_their_mean_and_how_often_the_target_was_reached() -> None:
    """5, 7 and 9: mean 7, reached twice; a yes is no figure, and no day without one counts."""
    found = habit(
        look_back([spread(habits=(water(["5", "", "7", "yes", "9", "", ""]),))], WEEK, AFTER)
    )
    figures = found.figures
    assert figures is not None
    assert figures.reached is not None
    assert figures.values == (5, None, 7, None, 9, None, None)
    assert (figures.mean, figures.days) == (7, 3)
    assert (figures.reached.times, figures.reached.days) == (2, 3)
    assert figures.slope is None


def test_the_moving_average_begins_with_the_seventh_day() -> None:
    """Means of seven days: 4 of 1 to 7, 5 of 2 to 8."""
    last = MONDAY + timedelta(7)
    rows = (water([str(one) for one in range(1, 9)]),)
    span = SpanName(SpanKind.DAYS, "", MONDAY, last)
    figures = habit(look_back([spread(MONDAY, last, habits=rows)], span, AFTER)).figures
    assert figures is not None
    assert figures.average == (None,) * 6 + (4, 5)


@given(st.lists(st.one_of(st.none(), st.integers(0, 20)), min_size=1, max_size=60))
def test_what_is_missing_is_in_no_figure(values: list[int | None]) -> None:
    """Whatever days are missing: mean, count and rate are those of the days that are not."""
    last = MONDAY + timedelta(len(values) - 1)
    rows = (water(["" if one is None else str(one) for one in values]),)
    span = SpanName(SpanKind.DAYS, "", MONDAY, last)
    review = look_back([spread(MONDAY, last, habits=rows)], span, AFTER)
    found, known = habit(review), [one for one in values if one is not None]
    assert found.not_recorded == len(values) - len(known)
    assert found.rate.days == len(known)
    if not known:
        assert found.figures is None
        return
    figures = found.figures
    assert figures is not None
    assert figures.reached is not None
    assert figures.mean == pytest.approx(fmean(known))
    assert figures.reached.times == sum(one >= 7 for one in known)
    assert (figures.slope is None) == (len(known) < 14)
    assert len(figures.values) == len(figures.average) == len(values)


@given(st.text(alphabet="x-?=· ", min_size=7, max_size=7), st.integers(1, 7))
def test_no_week_counts_more_than_it_asks_for(cells: str, times: int) -> None:
    """Of a habit n times a week: kept, silent and to come are n at most, and never negative."""
    review = look_back([spread(habits=(row(cells, times_a_week=times),))], WEEK, AFTER)
    found = habit(review)
    asked = found.rate.days + found.not_recorded + found.to_come
    assert 0 <= found.rate.times <= found.rate.days
    assert asked <= min(times, 7 - found.paused)


# Minutes and estimates


def test_minutes_by_area_and_person() -> None:
    """Placed minutes before the estimate; dropped tasks are none; a task of two counts for each."""
    tuesday = MONDAY + timedelta(1)
    found = look_back(
        [
            spread(
                d0={
                    "tasks": (
                        task("a", area="home", persons=("ines", "dov"), estimate=60, done=MONDAY),
                        task("b", area="home", persons=("ines",), estimate=60, minutes=20),
                        task("c", persons=("ines",)),
                        task("d", persons=("ines",), estimate=99, dropped=tuesday),
                    )
                },
                d1={
                    "lessons": (
                        LessonItem("m", "pell", "Maths", 50, done=True, value="35"),
                        LessonItem("e", "pell", "English", 45, done=False, value="no"),
                        LessonItem("h", "pell", "History", 60),
                    )
                },
                habits=(
                    row(
                        [(CellState.MARKED, "30"), (CellState.NOT_RECORDED, "")],
                        kind=MarkKind.MINUTES, target=25.0,
                    ),
                    water(["9"]),
                ),
            )
        ],
        WEEK,
        AFTER,
    ).minutes  # fmt: skip
    assert [
        (one.activity, one.area, one.person, one.planned, one.done, one.not_recorded, one.unknown)
        for one in found
    ] == [
        (Activity.TASKS, "home", "dov", 60, 60, 0, 0),
        (Activity.TASKS, "home", "ines", 80, 60, 0, 0),
        (Activity.TASKS, None, "ines", 0, 0, 0, 1),
        (Activity.LESSONS, None, "pell", 155, 35, 60, 0),
        (Activity.HABITS, "body", "ines", 50, 30, 25, 0),
    ]


def test_a_factor_is_offered_from_five_on() -> None:
    """Ratios 1, 1.5, 2, 2, 10: the middle one is 2, whatever the odd one; four give none."""

    def done(took: list[int | None]) -> tuple[PlanTask, ...]:
        return tuple(
            task(f"t{place}", area="home", estimate=20, took=one, done=MONDAY)
            for place, one in enumerate(took)
        )

    for took, factor in (([20, 30, 40, 40, 200, None], 2), ([20, 30, 40, 40, None], None)):
        (line,) = look_back([spread(d0={"tasks": done(took)})], WEEK, AFTER).estimates
        known = [one for one in took if one is not None]
        assert (line.count, line.unknown) == (len(known), 1)
        assert (line.estimated, line.actual) == (20 * len(known), sum(known))
        assert line.factor == factor


# Check-ins, and what goes together


def check_ins(values: list[int | None]) -> dict[str, Any]:
    """A check-in a day that says that much energy."""
    return {
        f"d{place}": {"check_ins": (CheckIn(MONDAY + timedelta(place), "ines", energy=one),)}
        for place, one in enumerate(values)
    }


def test_energy_is_a_plain_average_of_those_who_say_it() -> None:
    """2, 3 and 4 of four check-ins: 3 of three; the words stay in order."""
    found = look_back([spread(**check_ins([2, None, 3, 4]))], WEEK, AFTER)
    assert [(one.person, one.count, one.mean) for one in found.energy] == [("ines", 3, 3)]
    assert [one.day.day for one in found.check_ins] == [22, 23, 24, 25]


@pytest.mark.parametrize(("count", "told"), [(27, False), (28, True)])
def test_what_goes_together_is_told_from_28_days_on(count: int, told: bool) -> None:
    """Energy and water that rise and fall as one: 1 from 28 days on, before it nothing."""
    energy: list[int | None] = [1 + place % 5 for place in range(count)]
    last = MONDAY + timedelta(29)
    rows = (water([str(one) for one in energy]),)
    span = SpanName(SpanKind.DAYS, "", MONDAY, last)
    whole = spread(MONDAY, last, habits=rows, **check_ins(energy))
    (pair,) = look_back([whole], span, AFTER).pairs
    assert (pair.first, pair.second, pair.together.days) == ("water", "", count)
    assert (pair.together.rho is not None) is told
    assert pair.together.rho in (None, pytest.approx(1))


def test_pairs_are_those_of_one_person_and_all_of_them_are_counted() -> None:
    """Three series of Ines are three pairs, one of Dov is none; in a week there is none at all."""
    last = MONDAY + timedelta(27)
    figures = [str(one % 3) for one in range(28)]
    rows = tuple(
        replace(water(figures), id=ident, person=person)
        for ident, person in (("a", "ines"), ("b", "ines"), ("c", "ines"), ("d", "dov"))
    )
    month = SpanName(SpanKind.MONTH, "", MONDAY, last)
    found = look_back([spread(MONDAY, last, habits=rows)], month, AFTER).pairs
    assert [(one.first, one.second) for one in found] == [("a", "b"), ("a", "c"), ("b", "c")]
    assert {one.together.pairs for one in found} == {3}
    assert look_back([spread(MONDAY, last, habits=rows)], WEEK, AFTER).pairs == ()


def test_without_health_no_figure_of_it_is_left() -> None:
    """What a common page is made from."""
    rows = (row("xxxxxxx"), water(["7"] * 7))
    found = look_back([spread(habits=rows)], WEEK, AFTER, health=False)
    assert [one.id for one in found.habits] == ["walk"]
    assert found.pairs == ()
