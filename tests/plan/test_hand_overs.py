"""Hand-overs of the children between two who look after them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.plans import CONFIG, at, config, files, planner, timed
from weeksync.model.files import Routine
from weeksync.model.occurrence import Occurrence
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import WeekPlan

CARERS = [{**one, "looks_after_children": not one.get("child")} for one in CONFIG["people"]]
NANA = {"id": "nana", "name": "Nana Brice", "looks_after_children": True}


def plan(
    *occurrences: Occurrence, people: list[dict[str, Any]] | None = None, **parts: Any
) -> WeekPlan:
    """The plan of 2027-W12 of a household whose grown-ups both look after the children."""
    settings = config(people=people or CARERS)
    found = planner(files(settings, **parts), occurrences).week(IsoWeek(2027, 12)).plan
    assert found is not None
    return found


def event(clock: str, minutes: int, *persons: str, **keys: Any) -> Occurrence:
    """An event on Thursday; its title says when it begins."""
    return timed(f"at {clock}", at(f"2027-03-25 {clock}"), minutes, persons=persons, **keys)


SHIFT = event("07:00", 720, "dov")
"""Dov's shift from 7 to 19 o'clock."""


def told(found: WeekPlan) -> list[tuple[str, str, int]]:
    """(who is to come, who has to leave, the slack in minutes) of each."""
    return [(one.first.person, one.second.person, one.minutes) for one in found.hand_overs]


@pytest.mark.parametrize(
    ("clock", "slack"),
    [("19:00", 0), ("19:09", 9), ("19:10", None), ("18:59", None), ("12:00", None)],
)
def test_slack_under_the_buffer(clock: str, slack: int | None) -> None:
    """From none to less than ten minutes; an overlap is no hand-over, and told elsewhere."""
    wanted = [] if slack is None else [("dov", "ines", slack)]
    assert told(plan(SHIFT, event(clock, 90, "ines"))) == wanted


def test_a_way_counts() -> None:
    """Twenty minutes home, and one who has to leave twenty minutes after the shift."""
    home_late = event("07:00", 720, "dov", travel_minutes=20)
    assert told(plan(home_late, event("19:20", 60, "ines"))) == [("dov", "ines", 0)]


@pytest.mark.parametrize(
    ("people", "wanted"),
    [
        (CONFIG["people"], []),
        ([one for one in CARERS if not one.get("child")], []),
        (CARERS, [("dov", "ines", 0)]),
        ([*CARERS, NANA], []),
    ],
    ids=["nobody looks after them", "no children", "two", "a third is free"],
)
def test_whom_it_concerns(people: list[dict[str, Any]], wanted: list[tuple[str, str, int]]) -> None:
    """Two who look after children that there are, and no third who is free."""
    assert told(plan(SHIFT, event("19:00", 90, "ines"), people=people)) == wanted


@pytest.mark.parametrize(
    ("clock", "minutes", "wanted"),
    [("18:00", 180, 1), ("18:00", 55, 1), ("18:00", 40, 0), ("19:09", 60, 1), ("19:10", 60, 0)],
)
def test_a_third_must_be_free_from_the_buffer_before_to_the_buffer_after(
    clock: str, minutes: int, wanted: int
) -> None:
    """The third comes before the one leaves, and stays until the other is there."""
    found = plan(
        SHIFT,
        event("19:00", 90, "ines"),
        event(clock, minutes, "nana"),
        people=[*CARERS, NANA],
    )
    assert sum(pair[:2] == ("dov", "ines") for pair in told(found)) == wanted


def test_children_who_come_along_need_nobody() -> None:
    """All of them in one of the two engagements; one of them left behind needs somebody."""
    assert told(plan(SHIFT, event("19:00", 90, "ines", "pell", "juno"))) == []
    with_them = event("17:00", 120, "dov", "pell", "juno")
    assert told(plan(with_them, event("19:00", 90, "ines"))) == []
    assert len(told(plan(SHIFT, event("19:00", 90, "ines", "juno")))) == 1


def test_children_who_have_something_of_their_own_need_nobody() -> None:
    """Each is engaged or has a routine over the moment."""
    practice = event("18:30", 60, "pell")
    club = Routine(id="club", title="Club", person="juno", hours="18:00-19:30")
    meeting = event("19:00", 90, "ines")
    assert told(plan(SHIFT, meeting, practice, routines=(club,))) == []
    assert len(told(plan(SHIFT, meeting, practice))) == 1


def test_who_was_not_free_hands_nothing_over() -> None:
    """One engagement that follows on another is no new leaving; nor does one come who goes on."""
    assert told(plan(SHIFT, event("17:00", 120, "ines"), event("19:00", 60, "ines"))) == []
    assert told(plan(SHIFT, event("19:00", 60, "dov"), event("19:00", 60, "ines"))) == []


def test_it_is_told_in_the_week_in_which_one_leaves() -> None:
    """Over the edge of two weeks, once."""
    shift = timed("shift", at("2027-03-28 12:00"), 715, persons=("dov",))
    leaving = timed("leaving", at("2027-03-29 00:00"), 60, persons=("ines",))
    made = planner(files(config(people=CARERS)), [shift, leaving])
    counts = []
    for number in (12, 13):
        found = made.week(IsoWeek(2027, number)).plan
        assert found is not None
        counts.append(len(found.hand_overs))
    assert counts == [0, 1]


def test_who_may_see_it() -> None:
    """Who may see both engagements."""
    found = plan(SHIFT, event("19:00", 90, "ines", only_for=("ines",)))
    assert [one.only_for for one in found.hand_overs] == [("ines",)]
    hidden = event("07:00", 720, "dov", only_for=("dov",))
    assert told(plan(hidden, event("19:00", 90, "ines", only_for=("ines",)))) == []
