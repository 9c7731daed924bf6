"""Stretches over several days in the rows of a month."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.support.plans import all_day, at, config, files, planner, timed
from weeksync.model.files import TermBreak
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import MonthPlan, MonthSpan
from weeksync.model.week import Month

MARCH = Month(2027, 3)


def month(*occurrences: Occurrence, **parts: Any) -> MonthPlan:
    """March 2027: rows from Monday 1 March to Sunday 4 April."""
    return planner(files(**parts), occurrences).month(MARCH)


def told(row: tuple[MonthSpan, ...]) -> list[tuple[str, int, int, bool, bool, int]]:
    """(title, first day, last day, from before, goes on, lane) of each."""
    return [
        (one.title, one.first.day, one.last.day, one.from_before, one.goes_on, one.lane)
        for one in row
    ]


def test_a_stay_over_the_end_of_a_week_is_in_two_rows() -> None:
    """From Friday 26 to Monday 29 March; a single day and a timed night are no stretches."""
    found = month(
        all_day("Cousin", date(2027, 3, 26), 4),
        all_day("Library", date(2027, 3, 25)),
        timed("Night", at("2027-03-26 19:00"), 720),
    )
    assert len(found.spans) == len(found.weeks) == 5
    assert [told(row) for row in found.spans] == [
        [],
        [],
        [],
        [("Cousin", 26, 28, False, True, 0)],
        [("Cousin", 29, 29, True, False, 0)],
    ]
    assert found.spans[3][0].occurrence is not None


def test_breaks_from_lessons_lie_in_the_lowest_lane() -> None:
    """The break of a term, and what lies on it; the lane is free again after a stretch."""
    easter = TermBreak(name="Easter break", start=date(2027, 3, 24), end=date(2027, 4, 12))
    found = month(
        all_day("Fair", date(2027, 3, 22), 2),
        all_day("Cousin", date(2027, 3, 26), 4),
        term_breaks=(easter,),
    )
    assert told(found.spans[3]) == [
        ("Fair", 22, 23, False, False, 0),
        ("Easter break", 24, 28, False, True, 0),
        ("Cousin", 26, 28, False, True, 1),
    ]
    assert told(found.spans[4])[0] == ("Easter break", 29, 4, True, True, 0)
    assert [one.occurrence for one in found.spans[3]][1] is None


def test_a_month_lists_what_is_to_be_begun_in_it() -> None:
    """What takes a week or longer, by the day to begin; baking the day before is no such thing."""
    settings = config(rules=[
        {"title": "birthday", "prepare": [{"what": "Post the parcel", "days": 21}]},
        {"title": "fair", "prepare": [{"what": "Bake", "days": 1}]},
    ])  # fmt: skip
    events = [all_day("Birthday", date(2027, 4, 14)), all_day("Fair", date(2027, 3, 20))]
    found = planner(files(settings), events).month(MARCH)
    assert [(one.what, one.begin) for one in found.coming_up] == [
        ("Post the parcel", date(2027, 3, 24))
    ]


def test_a_journal_is_no_stretch() -> None:
    """A diary over two days is on no overview."""
    assert month(all_day("Diary", date(2027, 3, 2), 2, journal=True)).spans == ((),) * 5


@given(st.lists(st.tuples(st.integers(0, 34), st.integers(2, 12)), max_size=12))
def test_lanes_are_as_few_as_can_be_and_never_meet(stays: list[tuple[int, int]]) -> None:
    """As many lanes as stretches lie on one day at most (Kleinberg & Tardos, section 4.1)."""
    first = date(2027, 3, 1)
    found = month(
        *(all_day(f"Stay {n}", first + timedelta(days=day), length)
          for n, (day, length) in enumerate(stays))
    )  # fmt: skip
    for row in found.spans:
        held = [
            (one.lane, one.first + timedelta(days=offset))
            for one in row
            for offset in range((one.last - one.first).days + 1)
        ]
        assert len(held) == len(set(held))
        days = [day for _, day in held]
        most = max((days.count(day) for day in set(days)), default=0)
        assert len({lane for lane, _ in held}) == most
        assert {lane for lane, _ in held} == set(range(most))
