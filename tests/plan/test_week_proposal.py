"""Proposals of a planner: week after week, from now on. Now is Wednesday 24 March 2027."""

from __future__ import annotations

import random
import time as clock
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest

from tests.support.plans import LONDON, config, files, planner, timed
from weeksync.model.chosen import ChosenDay, LighterWeek, PlacedTask, WeekFile
from weeksync.model.fields import DayPart
from weeksync.model.files import Habit, Routine, Task
from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import Proposal, Standing
from weeksync.plan import Planner
from weeksync.plan.proposal import moves

W11, W12, W13, W14 = (IsoWeek(2027, number) for number in (11, 12, 13, 14))
ALONE = config(people=[{"id": "ines", "name": "Ines"}])


def march(day: int) -> date:
    """A day of March 2027, and on into April."""
    return date(2027, 3, 1) + timedelta(days=day - 1)


def task(title: str, **keys: Any) -> Task:
    """A task whose id is its title."""
    return Task(**({"id": title, "title": title, "person": "ines"} | keys))


def made(planned: Planner, week: IsoWeek) -> Proposal:
    """The proposal of a week."""
    plan = planned.week(week).plan
    assert plan is not None
    assert plan.proposal is not None
    return plan.proposal


def times(proposal: Proposal) -> dict[str, list[str]]:
    """Title → its pieces as `24 08:00-09:00`."""
    return {
        one.title: [f"{piece.start:%d %H:%M}-{piece.end:%H:%M}" for piece in one.pieces]
        for one in proposal.tasks
    }


def test_around_what_takes_time() -> None:
    """Engagements with their way and buffer, routines, and what has passed of today.

    At 07:30 nothing of the planning hours from 08:00 is over.
    """
    household = files(
        ALONE,
        tasks=(task("sheet", estimate=90, due=march(24)),),
        routines=(Routine(title="Dinner", person="ines", hours="12:00-13:00"),),
    )
    meeting = timed(
        "Meeting",
        datetime(2027, 3, 24, 9, tzinfo=LONDON),
        150,
        persons=("ines",),
        travel_minutes=15,
    )
    found = made(planner(household, [meeting]), W12)
    assert times(found) == {"sheet": ["24 13:00-14:30"]}
    later = made(planner(household, [meeting], now=datetime(2027, 3, 24, 15, tzinfo=LONDON)), W12)
    assert times(later) == {"sheet": ["24 15:00-16:30"]}


def test_weeks_that_are_over_or_far_ahead_have_none() -> None:
    """Six weeks ahead are looked at where nothing else is said."""
    planned = planner(files(ALONE, tasks=(task("kite"),)))
    for week, there in ((W11, False), (W12, True), (IsoWeek(2027, 18), True)):
        plan = planned.week(week).plan
        assert plan is not None
        assert (plan.proposal is not None) is there
    far = planned.week(IsoWeek(2027, 19)).plan
    assert far is not None
    assert far.proposal is None


@pytest.mark.parametrize("order", [(W12, W13), (W13, W12)])
def test_what_has_a_place_in_one_week_is_not_proposed_in_the_next(
    order: tuple[IsoWeek, IsoWeek],
) -> None:
    """In whatever order the weeks are asked for."""
    tasks = tuple(task(f"t{number:02}", estimate=400) for number in range(12))
    planned = planner(files(ALONE, tasks=tasks))
    found = {week: made(planned, week) for week in order}
    placed = {week: {one.task for one in found[week].tasks if one.pieces} for week in (W12, W13)}
    assert placed[W12]
    assert placed[W13]
    assert not placed[W12] & placed[W13]


def test_chosen_things_stay() -> None:
    """Put by a week file, planned for a day, a priority."""
    week = WeekFile(
        format=1,
        placed=(PlacedTask(task="put", date=march(25), start=time(9, 15), minutes=45),),
        days=(ChosenDay(date=march(27), priorities=("first",)),),
    )
    household = files(
        ALONE,
        tasks=(task("put"), task("planned", day=march(26)), task("first", due=march(28))),
        weeks={W12: week},
    )
    found = made(planner(household), W12)
    assert {one.standing for one in found.tasks} == {Standing.CHOSEN}
    assert times(found) == {
        "put": ["25 09:15-10:00"],
        "planned": ["26 08:00-08:30"],
        "first": ["27 08:00-08:30"],
    }
    assert moves(found, {}) == ()


def snapshot(week: IsoWeek, title: str, day: date, start: str, end: str) -> Snapshot:
    """A snapshot of a week in which a task was proposed for a time."""
    line = SnapshotLine(
        kind=LineKind.PROPOSED,
        key=f"task|{title}",
        day=day,
        title=title,
        start=start,
        end=end,
        part=DayPart.MORNING,
    )
    at = datetime(2027, 3, 21, 18, tzinfo=LONDON)
    return Snapshot(format=1, week=str(week), taken_at=at, lines=(line,))


def test_what_was_confirmed_stays() -> None:
    """In its week, though an earlier one has room; unless it is due before."""
    kept = {
        W12: snapshot(W12, "kept", march(26), "10:00", "10:30"),
        W13: snapshot(W13, "later", march(31), "09:00", "09:30"),
        W14: snapshot(W14, "sooner", march(38), "09:00", "09:30"),
    }
    household = files(
        ALONE,
        tasks=(task("kept"), task("later"), task("sooner", due=march(25))),
        snapshots=kept,
    )
    planned = planner(household)
    assert times(made(planned, W12)) == {
        "sooner": ["24 08:00-08:30"],
        "kept": ["26 10:00-10:30"],
    }
    assert times(made(planned, W13)) == {"later": ["31 09:00-09:30"]}


def test_nothing_is_proposed_in_a_lighter_week() -> None:
    """Until it is over."""
    rest = WeekFile(format=1, lighter=(LighterWeek(person="ines", start=march(22), end=march(28)),))
    planned = planner(files(ALONE, tasks=(task("kite"),), weeks={W12: rest}))
    assert times(made(planned, W12)) == {"kite": []}
    assert times(made(planned, W13)) == {"kite": ["29 08:00-08:30"]}


def crowded(size: int) -> Planner:
    """A household with `size` tasks, and a week with as many occurrences and a third more."""
    chance = random.Random(size)
    days = [march(22 + offset) for offset in range(14)]
    tasks = tuple(
        Task(
            id=f"t{number}",
            title=f"task {number}",
            person=chance.choice(["ines", "dov", None]),
            due=chance.choice([None, *days]),
            estimate=chance.choice([None, 15, 45, 90]),
            priority=chance.choice([None, 1, 5]),
            carried=chance.randrange(5),
        )
        for number in range(size)
    )
    monday = datetime(2027, 3, 22, tzinfo=LONDON)
    occurrences = [
        timed(
            f"event {number}",
            monday + timedelta(minutes=chance.randrange(7 * 1440)),
            chance.choice([15, 45]),
            persons=(chance.choice(["ines", "dov", "pell"]),),
        )
        for number in range(size * 4 // 3)
    ]
    habits = tuple(
        Habit(id=f"h{number}", title=f"habit {number}", person="ines", times_a_week=3)
        for number in range(size // 8)
    )
    return planner(files(tasks=tasks, habits=habits), occurrences)


def seconds(size: int) -> float:
    """CPU seconds that the proposal of a crowded week takes beyond its days; the best of three."""

    def once() -> float:
        planned = crowded(size)
        for day in planned.week(W11).days:
            planned.day(day.date + timedelta(weeks=1))
        start = clock.process_time()
        found = made(planned, W12)
        taken = clock.process_time() - start
        assert len(found.tasks) > size / 2
        return taken

    return min(once() for _ in range(3))


def test_eight_times_as_many_tasks_do_not_take_sixty_four_times_as_long() -> None:
    """Sorting takes a little over 8 times as long; a hidden square would take 64 times."""
    assert seconds(1_600) < 24 * seconds(200)
