"""The crowded week of the benchmark is what it says, and its plan has something in every part."""

from __future__ import annotations

from benchmarks.plan import HABITS, OCCURRENCES, TASKS, WEEK, crowded, measured
from weeksync.model.engagement import ClashKind


def test_the_crowded_week_is_as_large_as_it_says() -> None:
    """400 occurrences that all touch the week, 300 open tasks and 40 habits, fixed by the seed."""
    week = crowded()
    assert (len(week.occurrences), len(week.files.tasks), len(week.files.habits)) == (400, 300, 40)
    assert (OCCURRENCES, TASKS, HABITS) == (400, 300, 40)
    spread = week.planner().week(WEEK)
    shown = {one.occurrence.uid for day in spread.days for one in day.occurrences}
    assert len(shown) == 400
    assert all(task.open for task in week.files.tasks)
    assert crowded() == week
    assert crowded(seed=2) != week


def test_its_plan_is_full() -> None:
    """Loads, all three kinds of clashes, hours worked, bedtimes, and a proposal of everything."""
    plan = crowded().planner().week(WEEK).plan
    assert plan is not None
    assert len(plan.loads) == 3 * 7
    assert {one.kind for one in plan.clashes} == set(ClashKind)
    assert plan.hand_overs
    assert len(plan.worked) == 5
    assert plan.sleep
    assert plan.proposal is not None
    assert len(plan.proposal.tasks) > 250
    assert plan.proposal.late > 0
    for part in (plan.proposal.priorities, plan.proposal.habits, plan.proposal.breaks):
        assert part


def test_planning_grows_as_sorting_does() -> None:
    """Eight times as much: n log n takes about 11 times as long, a hidden square 64 times."""
    one, eight = (min(measured(crowded(scale), 3)[1]) for scale in (1, 8))
    assert eight < 20 * one
