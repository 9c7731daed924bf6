"""What of a week stands on the page of its year; what is missing is never "no"."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from tests.review.test_look_back import MONDAY, SUNDAY, row, spread
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import LessonItem
from weeksync.model.week import IsoWeek
from weeksync.model.year import YearLesson, YearMoney
from weeksync.plan import views
from weeksync.review.year import common, for_person, year_weeks

AFTER = date(2027, 6, 1)


def money(title: str, amount: int | None, kind: MoneyKind, *only_for: str) -> MoneyItem:
    """Money of the side business in pence."""
    return MoneyItem(
        kind, title, title, MONDAY, MONDAY, amount, "GBP", business=True, only_for=only_for
    )


@given(st.text("x-?=· ", min_size=7, max_size=7))
def test_each_day_has_its_own_sign(cells: str) -> None:
    """Of any week: as many signs of each kind as days; a habit that is never due has no row."""
    (week,) = year_weeks(spread(habits=(row(cells),)), AFTER)
    told = str.maketrans("x-?=· ", "mxnpo.")
    if not cells.strip():
        assert week.habits == ()
    else:
        assert [one.cells for one in week.habits] == [cells.translate(told)]


@given(st.lists(st.sampled_from([True, False, None]), max_size=6), st.booleans())
def test_a_lesson_nobody_recorded_is_not_one_that_was_missed(
    said: list[bool | None], is_over: bool
) -> None:
    """Planned, done and not recorded; before the day is over nothing is missing yet."""
    lessons = tuple(
        LessonItem(f"l{n}", "pell", "Maths", 30, done=one) for n, one in enumerate(said)
    )
    today = AFTER if is_over else MONDAY
    (week,) = year_weeks(spread(d0={"lessons": lessons}), today)
    if not said:
        assert week.lessons == ()
        return
    assert week.lessons == (
        YearLesson(
            "pell",
            "Maths",
            planned=len(said),
            done=said.count(True),
            not_recorded=said.count(None) if is_over else 0,
        ),
    )


def test_a_lesson_made_up_stands_apart() -> None:
    """It is no lesson of the week's own."""
    lessons = (
        LessonItem("a", "pell", "Maths", done=False),
        LessonItem("a", "pell", "Maths", make_up=True, done=True),
    )
    (week,) = year_weeks(spread(d0={"lessons": lessons}), AFTER)
    assert week.lessons == (YearLesson("pell", "Maths", planned=1, done=0, made_up=1),)


def test_money_is_summed_by_who_may_see_it() -> None:
    """Everybody's, Ines's; an item without an amount is counted and not guessed; no step."""
    items = (
        money("takings", 16400, MoneyKind.PAY),
        money("flour", 6600, MoneyKind.BILL),
        money("jars", None, MoneyKind.BILL),
        money("order", 5000, MoneyKind.PAY, "ines"),
        replace(money("home", 100, MoneyKind.BILL), business=False),
        money("saved", 300, MoneyKind.STEP),
    )
    (week,) = year_weeks(spread(d0={"money": items}), AFTER)
    open_sum = YearMoney("GBP", 16400, 6600, 1)
    assert week.money == (open_sum, YearMoney("GBP", 5000, 0, 0, ("ines",)))
    assert common(week).money == ()
    assert for_person(week, "ines").money == week.money
    assert for_person(week, "dov").money == (open_sum,)


def test_the_views_are_those_of_pages() -> None:
    """A view of the year's week is the year's week of the view; health hangs nowhere."""
    whole = spread(
        habits=(
            row("x-?=· x", id="walk"),
            row("xxxxxxx", id="sleep", health=True),
            row("xxxxxxx", id="letters", only_for=("ines",)),
            row("xxxxxxx", id="run", person="dov"),
        ),
        d0={"lessons": (LessonItem("a", "pell", "Maths", done=True),)},
    )
    (week,) = year_weeks(whole, AFTER)
    assert [one.id for one in common(week).habits] == ["walk", "run"]
    for person in ("ines", "dov", "pell"):
        (seen,) = year_weeks(views.for_person(whole, person), AFTER)
        assert for_person(week, person) == seen


def test_a_long_span_is_taken_apart_into_its_weeks() -> None:
    """Two weeks as one spread give what each gives alone."""
    later = MONDAY + timedelta(7)
    one, other = row("x-?=· x"), row("--xx?? ", first=later)
    both = replace(
        spread(MONDAY, SUNDAY + timedelta(7)),
        week=None,
        habits=(replace(one, cells=one.cells + other.cells),),
    )
    found = year_weeks(both, AFTER)
    apart = (
        *year_weeks(spread(habits=(one,)), AFTER),
        *year_weeks(spread(later, SUNDAY + timedelta(7), habits=(other,)), AFTER),
    )
    assert found == apart
    assert [one.week for one in found] == [IsoWeek(2027, 12), IsoWeek(2027, 13)]
