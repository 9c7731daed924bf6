"""How habits stand on their days. Now is Wednesday 24 March 2027, week 22 to 28."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import files, mark, planner
from weeksync.model.chosen import LighterWeek, WeekFile
from weeksync.model.fields import MarkKind, Weekday
from weeksync.model.files import Habit, Pause, Term, TermBreak
from weeksync.model.household import Mark
from weeksync.model.spread import CellState, HabitRow
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.plan.habits import reached

W12 = IsoWeek(2027, 12)
LETTERS = {
    CellState.NOT_DUE: ".",
    CellState.OPEN: "o",
    CellState.NOT_RECORDED: "?",
    CellState.MARKED: "x",
    CellState.MISSED: "-",
    CellState.PAUSED: "p",
}


def march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def habit(title: str = "walk", **keys: Any) -> Habit:
    """A habit of Ines, its id its title."""
    return Habit(**({"id": title.lower(), "title": title, "person": "ines"} | keys))


def rows(*habits: Habit, marks: tuple[Mark, ...] = (), **parts: Any) -> tuple[HabitRow, ...]:
    """The habit rows of 2027-W12."""
    return planner(files(habits=habits, marks=marks, **parts)).week(W12).habits


def drawn(one: Habit, *marks: tuple[int, str], **parts: Any) -> tuple[str, int, int]:
    """The week as seven letters, with due and marked days; marks are (day of March, value)."""
    made = tuple(mark(one.id, march(day), value) for day, value in marks)
    (row,) = rows(one, marks=made, **parts)
    return "".join(LETTERS[cell.state] for cell in row.cells), row.due, row.marked


def test_missing_is_not_no() -> None:
    """Not recorded is neither marked nor missed; today and later is open; "no" is missed."""
    assert drawn(habit(), (22, "yes"), (23, "no")) == ("x-ooooo", 7, 1)
    assert drawn(habit(), (23, "yes")) == ("?xooooo", 7, 1)
    assert drawn(habit()) == ("??ooooo", 7, 0)


def test_an_empty_mark_records_nothing() -> None:
    """A mark taken back is as if it had never been."""
    assert drawn(habit(), (22, "")) == ("??ooooo", 7, 0)


def test_only_on_its_days() -> None:
    """Other days are not due, and a mark there is kept and does not count."""
    one = habit(days=(Weekday.MONDAY, Weekday.WEDNESDAY, Weekday.FRIDAY))
    assert drawn(one, (22, "yes"), (23, "yes")) == ("x.o.o..", 3, 1)
    (row,) = rows(one, marks=(mark("walk", march(23), "yes"),))
    assert row.cells[1].value == "yes"


@pytest.mark.parametrize(
    ("marks", "wanted"),
    [
        ([], ("??ooooo", 3, 0)),
        ([(22, "yes")], ("x?ooooo", 3, 1)),
        ([(22, "no"), (23, "yes")], ("-xooooo", 3, 1)),
        ([(22, "yes"), (23, "yes"), (24, "yes")], ("xxx....", 3, 3)),
        ([(22, "yes"), (24, "yes"), (25, "yes"), (27, "yes")], ("x.xx.x.", 3, 4)),
    ],
)
def test_some_times_a_week(marks: list[tuple[int, str]], wanted: tuple[str, int, int]) -> None:
    """Any day will do until three are marked; then no other is due, and more is allowed."""
    assert drawn(habit(times_a_week=3), *marks) == wanted


def test_some_times_a_week_in_part_of_a_week() -> None:
    """Of a span of two days two are due at most; marks of the rest of the week still count."""
    marks = tuple(mark("walk", march(day), "yes") for day in (22, 23, 24))
    asked = planner(files(habits=(habit(times_a_week=3),), marks=marks))
    assert asked.span(march(25), march(26)).habits == ()
    (row,) = asked.span(march(23), march(24)).habits
    assert (row.due, row.marked) == (2, 2)
    (row,) = asked.span(march(22), date(2027, 4, 4)).habits
    assert (row.due, row.marked) == (6, 3)


def test_weeks_of_the_household_are_counted() -> None:
    """With Sunday weeks the Sunday counts for the week it begins."""
    marks = tuple(mark("walk", march(day), "yes") for day in (21, 22))
    household = files(habits=(habit(times_a_week=2),), marks=marks)
    (row,) = planner(household, rule=WeekRule(6, 1)).week(W12).habits
    assert [cell.day.day for cell in row.cells] == [21, 22, 23, 24, 25, 26, 27]
    assert "".join(LETTERS[cell.state] for cell in row.cells) == "xx....."


def test_from_until_and_pauses() -> None:
    """Outside its time a habit is not due; both days of a pause belong to it."""
    assert drawn(habit(start=march(23), end=march(26)))[0] == ".?ooo.."
    assert drawn(habit(pauses=(Pause(start=march(23), end=march(24)),)))[0] == "?ppoooo"
    assert drawn(habit(pauses=(Pause(start=march(26)),))) == ("??ooppp", 4, 0)
    assert drawn(habit(times_a_week=5, pauses=(Pause(start=march(26)),))) == ("??ooppp", 4, 0)


def test_a_mark_in_a_pause_is_kept_and_does_not_count() -> None:
    """Whoever walks on a day of rest is not asked for more afterwards."""
    one = habit(pauses=(Pause(start=march(22), end=march(22)),))
    assert drawn(one, (22, "yes")) == ("p?ooooo", 6, 0)


def test_a_lighter_week_pauses_that_person_s_habits() -> None:
    """Dov's two days of rest leave Ines's habits alone, whichever week file names them."""
    lighter = LighterWeek(person="dov", start=march(27), end=march(28))
    weeks = {IsoWeek(2027, 11): WeekFile(format=1, lighter=(lighter,))}
    assert drawn(habit(person="dov"), weeks=weeks)[0] == "??ooopp"
    assert drawn(habit(), weeks=weeks)[0] == "??ooooo"
    both = LighterWeek(person=("dov", "ines"), start=march(27), end=march(28))
    weeks = {W12: WeekFile(format=1, lighter=(both,))}
    assert drawn(habit(), weeks=weeks)[0] == "??ooopp"


def test_only_in_terms() -> None:
    """Not in breaks, not outside terms, not on public holidays (Good Friday is 26 March)."""
    terms: dict[str, Any] = {
        "terms": (Term(id="spring", name="Spring", start=march(1), end=march(27)),),
        "term_breaks": (TermBreak(name="Fair", start=march(23), end=march(23)),),
    }
    assert drawn(habit(terms_only=True), **terms)[0] == "?.oo.o."


def test_rows_without_anything_are_left_out() -> None:
    """Ended habits, and those of terms only outside terms; a mark brings a row back."""
    ended = habit(end=march(14))
    assert rows(ended, habit(terms_only=True)) == ()
    (row,) = rows(ended, marks=(mark("walk", march(23), "yes"),))
    assert (row.due, row.marked) == (0, 0)


def test_rows_come_in_the_order_of_the_day() -> None:
    """Day part, then order, then title; what has no part of the day comes last."""
    made = [
        habit("anytime"),
        habit("supper", part="evening", order=1),
        habit("Bread", part="morning", order=20),
        habit("apples", part="morning", order=20),
        habit("sleep", part="morning", order=10),
        habit("tea", part="afternoon"),
    ]
    found = [row.title for row in rows(*made)]
    assert found == ["sleep", "apples", "Bread", "tea", "supper", "anytime"]


def test_the_latest_mark_holds() -> None:
    """A later record wins over an earlier one, wherever it stands in the file."""
    late = datetime(2027, 3, 23, 9, tzinfo=UTC)
    marks = (
        mark("walk", march(22), "yes", recorded=late),
        mark("walk", march(22), "no", recorded=datetime(2027, 3, 22, 21, tzinfo=UTC)),
    )
    (row,) = rows(habit(), marks=marks)
    assert row.cells[0].state is CellState.MARKED


@pytest.mark.parametrize(
    ("kind", "target", "value", "kept"),
    [
        (MarkKind.YES_NO, None, "yes", True),
        (MarkKind.YES_NO, None, "Yes", True),
        (MarkKind.YES_NO, None, "no", False),
        (MarkKind.YES_NO, None, "1", False),
        (MarkKind.HOURS, 7.5, "7.5", True),
        (MarkKind.HOURS, 7.5, "7.25", False),
        (MarkKind.HOURS, None, "4", True),
        (MarkKind.COUNT, None, "0", True),
        (MarkKind.COUNT, 100, "nan", False),
        (MarkKind.COUNT, 100, "many", False),
        (MarkKind.MINUTES, 20, "yes", True),
        (MarkKind.MINUTES, None, "no", False),
        (MarkKind.SCALE, 3, "4", True),
    ],
)
def test_when_a_habit_counts_as_kept(
    kind: MarkKind, target: float | None, value: str, kept: bool
) -> None:
    """Yes; the target or more; without a target any figure."""
    assert reached(habit(kind=kind, target=target), value) is kept


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(
    st.dictionaries(st.integers(8, 31), st.sampled_from(["yes", "no", ""]), max_size=24),
    st.one_of(st.none(), st.integers(1, 7)),
    st.sets(st.sampled_from(list(Weekday))),
    st.integers(8, 31),
    st.integers(0, 20),
)
def test_counts_follow_from_the_cells(
    made: dict[int, str], times: int | None, days: set[Weekday], first: int, length: int
) -> None:
    """Every day has one cell; what is counted is what the cells show."""
    one = habit(times_a_week=times, days=() if times else tuple(days))
    marks = tuple(mark("walk", march(day), value) for day, value in made.items())
    last = min(first + length, 31)
    found = planner(files(habits=(one,), marks=marks)).span(march(first), march(last)).habits
    for row in found:
        assert [cell.day.day for cell in row.cells] == list(range(first, last + 1))
        states = [cell.state for cell in row.cells]
        assert row.marked == states.count(CellState.MARKED)
        if times is None:
            assert row.due == sum(state is not CellState.NOT_DUE for state in states)
            assert row.marked <= row.due
        for cell in row.cells:
            if cell.state is CellState.OPEN:
                assert cell.day >= march(24)
            if cell.state is CellState.NOT_RECORDED:
                assert cell.day < march(24)
                assert not made.get(cell.day.day)
