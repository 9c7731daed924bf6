"""Lessons planned, done and to make up, and days attended: a term counted by hand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.plans import files, mark
from weeksync.model.fields import Weekday
from weeksync.model.files import Lesson, Term, TermBreak
from weeksync.model.household import Mark, latest_marks
from weeksync.model.week import WeekRule
from weeksync.model.week_plan import Attendance, LessonTally
from weeksync.plan.lesson_tally import LessonTallies
from weeksync.plan.public_holidays import PublicHolidays
from weeksync.plan.terms import Terms

TERM = Term(id="spring", name="Spring term", start=date(2027, 3, 2), end=date(2027, 3, 25))
SUMMER = Term(id="summer", name="Summer term", start=date(2027, 4, 13), end=date(2027, 7, 15))
OFF = TermBreak(name="Days off", start=date(2027, 3, 9), end=date(2027, 3, 11))
TODAY = date(2027, 3, 24)
WEEK = (date(2027, 3, 22), date(2027, 3, 28))


def lesson(subject: str = "Maths", child: str = "pell", **keys: Any) -> Lesson:
    """A lesson on Tuesdays and Thursdays: 2, 4, 16, 18, 23, 25 March with the days off."""
    plain: dict[str, Any] = {"days": (Weekday.TUESDAY, Weekday.THURSDAY)}
    ident = f"{child}-{subject}".lower()
    return Lesson(id=ident, child=child, subject=subject, **(plain | keys))


def tallies(
    *lessons: Lesson,
    marks: tuple[Mark, ...] = (),
    rests: Callable[[str, date], bool] | None = None,
) -> LessonTallies:
    """The tallies of a household with these lessons and marks, on Wednesday 24 March 2027."""
    household = files(terms=(SUMMER, TERM), term_breaks=(OFF,), lessons=lessons, marks=marks)
    holidays = PublicHolidays("GB-ENG", "en_GB")
    terms = Terms(household, holidays.holds, WeekRule(), latest_marks(marks))
    return LessonTallies(terms, TODAY, rests)


def in_march(day: int) -> date:
    """A day of March 2027."""
    return date(2027, 3, day)


def marks(subject: str = "maths", **days: str) -> tuple[Mark, ...]:
    """Marks of Pell's lesson: d2="yes" is 2 March."""
    return tuple(mark(f"pell-{subject}", in_march(int(d[1:])), value) for d, value in days.items())


def test_planned_done_missed_and_not_recorded() -> None:
    """Six lessons up to the end of the week; of the four over one was missed, one is unknown."""
    made = marks(d2="yes", d4="no", d16="50", d23="yes")
    asked = tallies(lesson(), marks=made)
    assert asked.lessons(*WEEK) == (LessonTally("pell", "Maths", "Spring term", 6, 3, 1, 1),)


def test_only_what_lies_before_the_end_of_the_week_counts() -> None:
    """A week back there were four, and 18 March is the one that nobody wrote down."""
    asked = tallies(lesson(), marks=marks(d2="yes", d4="no", d16="50", d23="yes"))
    (found,) = asked.lessons(in_march(15), in_march(21))
    assert (found.planned, found.done, found.to_make_up, found.not_recorded) == (4, 2, 1, 1)


@pytest.mark.parametrize(
    ("keys", "days", "wanted"),
    [
        # 4 March was missed and made up on Monday 22: nothing is left to make up.
        ({"make_up": (in_march(22),)}, {"d4": "no", "d22": "yes"}, (6, 1, 0, 4)),
        # Made up, but not yet: 24 March is today.
        ({"make_up": (in_march(24),)}, {"d4": "no"}, (6, 0, 1, 4)),
        # 18 March was left out and given on Monday 22 in its place.
        (
            {"not_on": (in_march(18),), "make_up": (in_march(22),)},
            {"d4": "no", "d22": "yes"},
            (6, 1, 1, 3),
        ),
        # Left out and never given: no lesson was planned.
        ({"not_on": (in_march(18),)}, {}, (5, 0, 0, 4)),
        # Left out on a day that has no lesson anyway.
        ({"not_on": (in_march(10), in_march(17))}, {}, (6, 0, 0, 5)),
        # The replacement of a left-out lesson was missed, too.
        ({"not_on": (in_march(18),), "make_up": (in_march(22),)}, {"d22": "no"}, (6, 0, 1, 4)),
    ],
)
def test_what_is_made_up(
    keys: dict[str, Any], days: dict[str, str], wanted: tuple[int, int, int, int]
) -> None:
    """Made-up lessons stand for those left out first, then for those missed."""
    (found,) = tallies(lesson(**keys), marks=marks(**days)).lessons(*WEEK)
    assert (found.planned, found.done, found.to_make_up, found.not_recorded) == wanted


def test_a_lighter_week_sends_lessons_on() -> None:
    """Days that are lighter for a child are to be made up, unless the lesson was given."""
    asked = tallies(
        lesson(),
        marks=marks(d16="yes"),
        rests=lambda child, day: child == "pell" and in_march(15) <= day <= in_march(19),
    )
    (found,) = asked.lessons(*WEEK)
    assert (found.planned, found.done, found.to_make_up, found.not_recorded) == (6, 1, 1, 3)
    (days,) = asked.attendance(*WEEK)
    assert days == Attendance("pell", "Spring term", 5, 1, 3)


def test_subjects_and_children_are_apart_and_in_order() -> None:
    """Children as the household lists them, then subjects; the same subject twice is one."""
    first = lesson("Reading", "juno", days=(Weekday.THURSDAY,))
    second = Lesson(id="more", child="pell", subject="Maths", days=(Weekday.WEDNESDAY,))
    found = tallies(first, lesson("Nature"), lesson(), second).lessons(*WEEK)
    assert [(one.child, one.subject, one.planned) for one in found] == [
        ("pell", "Maths", 9),
        ("pell", "Nature", 6),
        ("juno", "Reading", 3),
    ]


def test_days_attended() -> None:
    """2: one of two lessons done. 4: both no. 16: one no, one unknown. 18, 23: nothing known."""
    made = marks(d2="yes", d4="no", d16="no") + marks("art", d2="no", d4="no")
    asked = tallies(lesson(), lesson("Art"), marks=made)
    assert asked.attendance(*WEEK) == (Attendance("pell", "Spring term", 5, 1, 3),)


def test_today_counts_once_it_is_known() -> None:
    """A lesson of today is not missing while the day lasts, and counts when it is done."""
    today = lesson(days=(Weekday.WEDNESDAY,))
    assert tallies(today).attendance(*WEEK)[0].days == 2
    assert tallies(today, marks=marks(d24="yes")).attendance(*WEEK)[0] == Attendance(
        "pell", "Spring term", 3, 1, 2
    )


def test_after_a_term_only_what_is_to_be_made_up_is_told() -> None:
    """In the break the lessons made up in it count; before any term there is nothing to tell."""
    week = (in_march(29), date(2027, 4, 4))
    missed = marks(d2="no", d4="no")
    asked = tallies(lesson(make_up=(in_march(31),)), lesson("Art"), marks=missed)
    (found,) = asked.lessons(*week)
    assert (found.subject, found.to_make_up) == ("Maths", 2)
    asked = tallies(
        lesson(make_up=(in_march(31),)), marks=(*missed, mark("pell-maths", in_march(31), "yes"))
    )
    assert asked.lessons(*week)[0].to_make_up == 1
    assert asked.attendance(*week) == ()
    assert asked.lessons(in_march(1) - timedelta(days=7), in_march(1)) == ()


@given(
    st.dictionaries(st.integers(1, 25), st.sampled_from(["yes", "no", "0", "20"])),
    st.sets(st.integers(1, 25)),
    st.sets(st.integers(1, 25)),
)
def test_the_counts_agree_with_each_other(
    days: dict[int, str], left_out: set[int], made_up: set[int]
) -> None:
    """Nothing is counted below zero, and what is done was planned or made up for what was not."""
    made = tuple(mark("pell-maths", in_march(day), value) for day, value in days.items())
    one = lesson(not_on=tuple(map(in_march, left_out)), make_up=tuple(map(in_march, made_up)))
    asked = tallies(one, marks=made)
    for found in asked.lessons(*WEEK):
        assert min(found.planned, found.done, found.to_make_up, found.not_recorded) >= 0
        assert found.planned <= 6 + len(made_up)
        assert found.done <= found.planned + len(made_up)
    for total in asked.attendance(*WEEK):
        assert total.attended + total.not_recorded <= total.days
