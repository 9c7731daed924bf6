"""Breaks: proposed in the gaps of long stretches, and nowhere else."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import at, config, files, planner, timed
from weeksync.model.chosen import PlacedTask, PlannedBreak, WeekFile
from weeksync.model.files import Routine, Task
from weeksync.model.occurrence import Occurrence
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import ProposedBreak

W12 = IsoWeek(2027, 12)
MONDAY = date(2027, 3, 22)
EARLY = datetime(2027, 3, 21, 12, tzinfo=UTC)
IDEAS = ("Out to the step", "Once round the lane")


def breaks(
    *occurrences: Occurrence, now: datetime = EARLY, limits: dict[str, Any] | None = None,
    **parts: Any,
) -> tuple[ProposedBreak, ...]:  # fmt: skip
    """The breaks proposed for 2027-W12, ten minutes after an hour where nothing else is said."""
    settings_ = config(breaks={"ideas": IDEAS} | (limits or {}))
    plan = planner(files(settings_, **parts), occurrences, now=now).week(W12).plan
    assert plan is not None
    return plan.proposal.breaks if plan.proposal is not None else ()


def event(clock: str, minutes: int, day: int = 22, **keys: Any) -> Occurrence:
    """An event of Ines in March 2027."""
    return timed(f"at {clock}", at(f"2027-03-{day} {clock}"), minutes,
                 **({"persons": ("ines",)} | keys))  # fmt: skip


def told(found: tuple[ProposedBreak, ...]) -> list[str]:
    """When each begins."""
    return [f"{one.start:%a %H:%M}" for one in found]


@pytest.mark.parametrize(
    ("second", "wanted"),
    [
        ("10:00", []),
        ("10:09", []),
        ("10:10", ["Mon 10:00"]),
        ("10:59", ["Mon 10:00"]),
        ("11:00", []),
    ],
)
def test_a_gap_that_takes_a_break(second: str, wanted: list[str]) -> None:
    """After an hour, where ten minutes fit and the next is less than an hour away."""
    assert told(breaks(event("09:00", 60), event(second, 60))) == wanted


@pytest.mark.parametrize(("minutes", "wanted"), [(59, []), (60, ["Mon 10:00"])])
def test_none_before_it_is_time(minutes: int, wanted: list[str]) -> None:
    """Less than an hour without a pause needs none."""
    first = timed("first", at("2027-03-22 10:00") - timedelta(minutes=minutes), minutes,
                  persons=("ines",))  # fmt: skip
    assert told(breaks(first, event("10:30", 60))) == wanted


def test_short_gaps_do_not_begin_a_stretch_anew() -> None:
    """Three times twenty minutes, ten apart: the hour is over after the second."""
    events = [event(clock, 20) for clock in ("09:00", "09:30", "10:00", "10:30")]
    assert told(breaks(*events)) == ["Mon 10:20"]


def test_after_a_break_the_time_is_counted_anew() -> None:
    """One in each gap that lies an hour or more after the last pause."""
    events = [event("09:00", 60), event("10:10", 30), event("10:50", 30), event("11:35", 60)]
    assert told(breaks(*events)) == ["Mon 10:00", "Mon 11:20"]


@pytest.mark.parametrize(
    ("hours", "wanted"),
    [("10:00-10:15", []), ("10:20-10:25", []), ("07:00-08:00", ["Mon 10:00"])],
)
def test_a_routine_is_a_pause(hours: str, wanted: list[str]) -> None:
    """A meal in the gap, or soon after it, is one; and none is proposed within it."""
    routine = Routine(id="meal", title="Meal", person="ines", hours=hours)
    assert told(breaks(event("09:00", 60), event("10:30", 60), routines=(routine,))) == wanted


@pytest.mark.parametrize(
    ("clock", "person", "wanted"),
    [
        (time(10, 15), "ines", []),
        (time(9, 30), None, []),
        (time(10, 35), "ines", []),
        (time(10, 40), "ines", ["Mon 10:00"]),
        (time(10, 15), "dov", ["Mon 10:00"]),
    ],
)
def test_none_where_one_is_planned_near(clock: time, person: str | None, wanted: list[str]) -> None:
    """Within half an hour, one's own or everybody's."""
    week = WeekFile(
        format=1, breaks=(PlannedBreak(date=MONDAY, start=clock, person=person, minutes=5),)
    )
    found = breaks(event("09:00", 60), event("10:30", 60), weeks={W12: week})
    assert told(found) == wanted


def test_placed_tasks_are_part_of_a_stretch() -> None:
    """A task put at nine, then a meeting."""
    week = WeekFile(
        format=1, placed=(PlacedTask(task="jars", date=MONDAY, start=time(9), minutes=60),)
    )
    jars = Task(id="jars", title="Jars", person="ines", estimate=60)
    found = breaks(event("10:20", 60), weeks={W12: week}, tasks=(jars,))
    assert told(found) == ["Mon 10:00"]
    assert str(found[0].reason) == "after 60 minutes without a pause"


def test_ideas_are_taken_in_turn() -> None:
    """From day to day and within the day; the same week always gives the same."""
    events = [event(clock, 60, day) for day in (22, 23) for clock in ("09:00", "10:30", "12:00")]
    found = breaks(*events)
    first = IDEAS[MONDAY.toordinal() % 2]
    second = IDEAS[1 - IDEAS.index(first)]
    assert [one.what for one in found] == [first, second, second, first]
    assert {one.minutes for one in found} == {10}
    assert found == breaks(*events)


def test_none_without_ideas_nor_in_what_is_over() -> None:
    """Nothing is configured; the gap lies in the past; the week is over."""
    pair = event("09:00", 60), event("10:30", 60)
    assert breaks(*pair, limits={"ideas": ()}) == ()
    assert told(breaks(*pair, now=at("2027-03-22 10:12"))) == ["Mon 10:12"]
    assert told(breaks(*pair, now=at("2027-03-22 10:12").replace(second=30))) == ["Mon 10:13"]
    assert breaks(*pair, now=at("2027-03-22 10:21")) == ()
    assert breaks(*pair, now=at("2027-03-29 08:00")) == ()


def test_grown_ups_of_the_household_have_them() -> None:
    """Neither children nor who lives elsewhere."""
    pair = [event(clock, 60, persons=("ines", "pell")) for clock in ("09:00", "10:30")]
    assert [one.person for one in breaks(*pair)] == ["ines"]


def test_beside_what_is_only_for_some_it_is_theirs() -> None:
    """It would tell that something is there."""
    (found,) = breaks(event("09:00", 60, only_for=("ines",)), event("10:30", 60))
    assert found.only_for == ("ines",)
    (found,) = breaks(event("09:00", 60), event("10:30", 60))
    assert found.only_for == ()


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 600), st.integers(1, 120)), max_size=8),
    st.integers(15, 90),
    st.integers(1, 30),
)
def test_a_break_never_lies_in_an_engagement(
    times: list[tuple[int, int]], after: int, long: int
) -> None:
    """Nor in another break, nor less than the set time after the one before."""
    eight = at("2027-03-22 08:00")
    events = [
        timed(f"event {number}", eight + timedelta(minutes=start), minutes, persons=("ines",))
        for number, (start, minutes) in enumerate(times)
    ]
    found = breaks(*events, limits={"after_minutes": after, "minutes": long})
    taken = {minute for start, minutes in times for minute in range(start, start + minutes)}
    last = -10_000
    for one in found:
        start = int((one.start - eight).total_seconds() // 60)
        assert not taken & set(range(start, start + long))
        assert start - last >= after
        assert start - 1 in taken
        last = start + long


def placed(*pieces: tuple[time, int]) -> dict[str, Any]:
    """Tasks of Ines put on Monday at these times for so many minutes."""
    put = [PlacedTask(task=f"t{n}", date=MONDAY, start=at_, minutes=long)
           for n, (at_, long) in enumerate(pieces)]  # fmt: skip
    tasks = tuple(Task(id=one.task, title=one.task, person="ines") for one in put)
    return {"weeks": {W12: WeekFile(format=1, placed=tuple(put))}, "tasks": tasks}


@pytest.mark.parametrize(
    ("pieces", "wanted"),
    [
        ([(time(8), 60), (time(9), 60)], ["Mon 09:00"]),
        ([(time(8), 45), (time(8, 45), 40), (time(9, 25), 60)], ["Mon 09:25"]),
        ([(time(8), 89)], []),
        ([(time(8), 100)], ["Mon 09:00"]),
        ([(time(8), 90), (time(9, 30), 30)], ["Mon 09:30"]),
        ([(time(8), 240)], ["Mon 09:00", "Mon 10:10", "Mon 11:20"]),
        ([(time(8), 60), (time(9), 5)], []),
    ],
)
def test_a_task_can_be_interrupted(pieces: list[tuple[time, int]], wanted: list[str]) -> None:
    """Where two pieces meet, or inside one of which half an hour or more would follow."""
    assert told(breaks(**placed(*pieces))) == wanted


def test_a_pause_in_a_task_lies_clear_of_engagements_and_meals() -> None:
    """From eight to twelve at the jars; a call from nine to half past, a meal from eleven on."""
    meal = Routine(id="meal", title="Meal", person="ines", hours="11:00-11:30")
    found = breaks(event("09:00", 30), routines=(meal,), **placed((time(8), 240)))
    assert told(found) == ["Mon 09:30"]
