"""Until when a week is the same, whatever the clock shows."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.plans import at, config, files, planner, timed, todo
from weeksync.model.week import IsoWeek

WEEK = IsoWeek(2027, 12)


def until(now: str, *dues: str, **planning: str) -> datetime:
    """When it ends, for to-dos that are due then."""
    household = files(config(planning=planning))
    due = [todo(f"t{number}", due=at(one)) for number, one in enumerate(dues)]
    return planner(household, todos=due, now=at(now)).steady_until()


@pytest.mark.parametrize(
    ("now", "ends"),
    [
        ("2027-03-24 04:00", "2027-03-24 08:00"),
        ("2027-03-24 08:00", "2027-03-24 08:00"),
        ("2027-03-24 13:17", "2027-03-24 13:17"),
        ("2027-03-24 20:00", "2027-03-25 00:00"),
        # The clocks go on at one o'clock (tzdata): the day ends an hour sooner.
        ("2027-03-28 20:30", "2027-03-29 00:00"),
    ],
)
def test_it_holds_until_the_hours_that_can_be_planned_or_the_next_day(now: str, ends: str) -> None:
    """Within those hours it holds for no moment: less of them is left with each minute."""
    assert until(now) == at(ends)


def test_a_time_at_which_something_is_due_ends_it() -> None:
    """From then on it is late; what was due before is late already."""
    assert until("2027-03-24 04:00", "2027-03-24 06:30", "2027-03-24 03:00") == at(
        "2027-03-24 06:30:01"
    )
    assert until("2027-03-24 20:00", "2027-03-25 07:00") == at("2027-03-25 00:00")


def test_other_hours_of_planning_are_heard() -> None:
    """A whole day of them leaves nothing."""
    assert until("2027-03-24 04:00", hours="05:30-22:00") == at("2027-03-24 05:30")
    assert until("2027-03-24 04:00", hours="00:00-24:00") == at("2027-03-24 04:00")


@given(
    minute=st.integers(0, 24 * 60 - 1),
    later=st.integers(1, 24 * 60),
    due=st.integers(0, 24 * 60 - 1),
)
def test_before_it_ends_the_week_is_the_same(minute: int, later: int, due: int) -> None:
    """With tasks to place, to-dos due at a time, and engagements: whatever the minutes."""
    midnight = at("2027-03-24 00:00")
    now, then = (midnight + timedelta(minutes=one) for one in (minute, minute + later))
    todos = [
        todo("form", due=midnight + timedelta(minutes=due), persons=("ines",)),
        todo("jars", due=at("2027-03-26 18:00"), estimate_minutes=90, persons=("ines",)),
    ]
    shift = timed("market", at("2027-03-24 09:00"), 180, persons=("ines",))

    def made(moment: datetime) -> object:
        spread = planner(None, [shift], todos, now=moment).week(WEEK)
        assert spread.plan is not None
        proposal = spread.plan.proposal
        return spread.days, spread.undated, proposal and (proposal.tasks, proposal.breaks)

    if then < planner(None, [shift], todos, now=now).steady_until():
        assert made(now) == made(then)
