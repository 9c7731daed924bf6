"""Terms, term weeks and lessons: the Marlowicks' spring term of 2027."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tests.support.plans import files, mark, planner
from weeksync.model.fields import Weekday
from weeksync.model.files import Lesson, Term, TermBreak
from weeksync.model.spread import Day, LessonItem
from weeksync.model.week import IsoWeek, WeekRule

SPRING = Term(id="spring", name="Spring term", start=date(2027, 1, 5), end=date(2027, 3, 25))
SUMMER = Term(id="summer", name="Summer term", start=date(2027, 4, 13), end=date(2027, 7, 15))
HALF = TermBreak(name="Half-term", start=date(2027, 2, 15), end=date(2027, 2, 19))
EASTER = TermBreak(name="Easter break", start=date(2027, 3, 26), end=date(2027, 4, 12))
TEACHING = (Weekday.TUESDAY, Weekday.WEDNESDAY, Weekday.THURSDAY)
MATHS = Lesson(
    id="maths",
    child="pell",
    subject="Maths",
    days=TEACHING,
    minutes=50,
    not_on=(date(2027, 3, 23),),
    make_up=(date(2027, 3, 27),),
)


def day(when: date, *lessons: Lesson, rule: WeekRule | None = None, **parts: Any) -> Day:
    """A day of the household with these lessons."""
    household = files(terms=(SUMMER, SPRING), term_breaks=(HALF, EASTER), lessons=lessons, **parts)
    return planner(household, rule=rule or WeekRule()).day(when)


@pytest.mark.parametrize(
    ("when", "label", "number", "without"),
    [
        ("2027-01-04", "", None, ""),
        ("2027-01-05", "Spring term", 1, ""),
        ("2027-01-10", "Spring term", 1, ""),
        ("2027-01-11", "Spring term", 2, ""),
        ("2027-02-16", "Spring term", 7, "Half-term"),
        ("2027-02-22", "Spring term", 8, ""),
        ("2027-03-25", "Spring term", 12, ""),
        ("2027-03-26", "", None, "Easter break"),
        ("2027-04-13", "Summer term", 1, ""),
    ],
)
def test_a_day_knows_its_term_and_week(
    when: str, label: str, number: int | None, without: str
) -> None:
    """The week of the first day is week 1; a break does not stop the count."""
    found = day(date.fromisoformat(when))
    assert (found.term, found.term_week, found.term_break) == (label, number, without)


def test_term_weeks_are_those_of_the_household() -> None:
    """With Sunday weeks a new week of the term begins on Sunday 10 January."""
    assert day(date(2027, 1, 10), rule=WeekRule(6, 1)).term_week == 2


@pytest.mark.parametrize(
    ("when", "lessons"),
    [
        ("2027-03-24", 1),
        ("2027-03-22", 0),
        ("2027-03-23", 0),
        ("2027-02-16", 0),
        ("2027-03-30", 0),
        ("2027-04-13", 1),
    ],
    ids=["planned", "no day of it", "not on", "in a break", "outside", "next term"],
)
def test_lessons_are_on_their_days_in_terms(when: str, lessons: int) -> None:
    """Not in breaks, not outside terms, not where the lesson says so."""
    assert len(day(date.fromisoformat(when), MATHS).lessons) == lessons


def test_no_lessons_on_public_holidays() -> None:
    """3 May 2027 is a bank holiday and a Monday of the summer term."""
    monday = Lesson(id="art", child="juno", subject="Art", days=(Weekday.MONDAY,))
    assert day(date(2027, 5, 3), monday).lessons == ()
    assert len(day(date(2027, 5, 10), monday).lessons) == 1


def test_lessons_of_one_term_only() -> None:
    """A subject of the summer is not taught in spring."""
    nature = replace(MATHS, terms=("summer",))
    assert day(date(2027, 3, 24), nature).lessons == ()
    assert len(day(date(2027, 4, 14), nature).lessons) == 1


def test_a_missed_lesson_is_made_up() -> None:
    """On whatever day was chosen, a Saturday outside the lesson's days."""
    assert day(date(2027, 3, 27), MATHS).lessons == (
        LessonItem("maths", "pell", "Maths", 50, make_up=True),
    )


@pytest.mark.parametrize(
    ("value", "done"),
    [("yes", True), ("no", False), ("45", True), ("0", False), ("", None), ("soon", None)],
)
def test_marks_say_whether_it_took_place(value: str, done: bool | None) -> None:
    """Yes and no, or minutes; what says neither is not recorded."""
    when = date(2027, 3, 24)
    (lesson,) = day(when, MATHS, marks=(mark("maths", when, value),)).lessons
    assert lesson.done is done


def test_lessons_come_by_child_and_subject() -> None:
    """Children in the order of config.toml, Pell before Juno."""
    made = [
        replace(MATHS, id=f"{child}-{subject}".lower(), child=child,
                                 subject=subject)
        for child, subject in (("juno", "Art"), ("pell", "music"), ("pell", "Maths"))
    ]  # fmt: skip
    found = day(date(2027, 3, 24), *made).lessons
    assert [(one.child, one.subject) for one in found] == [
        ("pell", "Maths"),
        ("pell", "music"),
        ("juno", "Art"),
    ]


def test_lessons_nobody_recorded_are_asked_about() -> None:
    """Of 17 to 23 March two were taught (23 is none) and one was recorded; today is the 24th."""
    household = files(
        terms=(SPRING,), lessons=(MATHS,), marks=(mark("maths", date(2027, 3, 17), "no"),)
    )
    spread = planner(household).week(IsoWeek(2027, 12))
    assert [str(text) for text in spread.decisions] == [
        "1 lesson of the last seven days is not recorded"
    ]
