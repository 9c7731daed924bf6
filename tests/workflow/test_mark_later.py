"""A task marked `later`: off this week, open in the next one, and counted as carried there."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.model.household import Mark
from weeksync.model.spread import PlanTask, Spread
from weeksync.workflow import Context, shown
from weeksync.workflow.mark import Taken, take_marks

WEDNESDAY = date(2027, 3, 24)
TASKS = """\
format = 1
[[tasks]]
id = "shelf" # the oak one
title = "Put up the shelf"

[[tasks]]
id = "kite"
title = "Mend the kite"
day = 2027-03-25

[[tasks]]
id = "form"
title = "Send the form"
due = 2027-03-26

[[tasks]]
id = "tax"
title = "Tax papers"
due = 2027-03-10

[[tasks]]
id = "attic"
title = "Clear the attic"
carried = 3
carried_until = 2027-03-22

[[tasks]]
id = "bins"
title = "Wash the bins"
due = 2027-03-27
repeats = "FREQ=WEEKLY"

[[tasks]]
id = "paint"
title = "Paint the door"
done = 2027-03-10
"""
WEEK = """\
format = 1
[[days]]
date = 2027-03-26
priorities = ["shelf"]
[[placed]]
task = "shelf"
date = 2027-03-23
[[placed]]
task = "shelf"
date = 2027-03-26
start = 14:30:00
"""


def household(folder: Path) -> Context:
    """Tasks, one of them put on Tuesday and Friday, on Wednesday morning."""
    write_household(folder, tasks_toml=TASKS)
    (folder / "weeks").mkdir()
    (folder / "weeks/2027-W12.toml").write_text(WEEK)
    return Context.read(folder, NOW)


def later(task: str, value: str = "later", *, day: date = WEDNESDAY, minutes: int = 0) -> Mark:
    """A mark of Wednesday morning."""
    at = NOW + timedelta(minutes=minutes)
    return Mark(task, day, "", value, at, at, "tablet")


def where(spread: Spread, task: str) -> dict[date | None, PlanTask]:
    """The days on which the task stands; None for among those without a day."""
    found: dict[date | None, PlanTask] = {
        day.date: one for day in spread.days for one in day.tasks if one.id == task
    }
    found.update((None, one) for one in spread.undated if one.id == task)
    return found


def week(folder: Path, name: str = "this", now: datetime = NOW) -> Spread:
    """A week as it is shown."""
    return shown(Context.read(folder, now), name)[0]


@pytest.mark.parametrize("task", ["shelf", "kite", "tax", "form"])
def test_a_task_put_off_is_open_next_week_and_counts_as_carried(tmp_path: Path, task: str) -> None:
    """It leaves the days to come; a day that is over keeps it; the week's file is not touched."""
    context = household(tmp_path)
    before = where(week(tmp_path), task)
    assert take_marks(context, [later(task)]) == Taken(new=1)
    left = where(week(tmp_path), task)
    assert set(left) == {day for day in before if day is not None and day < WEDNESDAY}
    assert all(one.later for one in left.values())
    assert (tmp_path / "weeks/2027-W12.toml").read_text() == WEEK
    assert where(week(tmp_path, "next"), task)[None].not_before == date(2027, 3, 29)
    monday = NOW + timedelta(days=5)
    following = where(week(tmp_path, "this", monday), task)
    carried = before[min(before, key=str)].carried
    assert following[None].carried == carried + 1
    assert take_marks(Context.read(tmp_path, NOW), [later(task)]) == Taken(known=1)


def test_a_priority_goes_with_its_task(tmp_path: Path) -> None:
    """It is no priority of the day it was put off from."""
    context = household(tmp_path)
    assert [one.task for one in week(tmp_path).days[4].priorities] == ["shelf"]
    take_marks(context, [later("shelf")])
    assert week(tmp_path).days[4].priorities == ()


def test_taken_back_it_stands_where_it_stood(tmp_path: Path) -> None:
    """On its days and times, with its priority, and counted as before."""
    context = household(tmp_path)
    for task in ("shelf", "kite", "tax", "form"):
        before = week(tmp_path)
        take_marks(context, [later(task)])
        back = take_marks(Context.read(tmp_path, NOW), [later(task, "", minutes=1)])
        assert back == Taken(new=1)
        assert week(tmp_path).days == before.days
        assert week(tmp_path).undated == before.undated
        context = Context.read(tmp_path, NOW)
    again = take_marks(Context.read(tmp_path, NOW), [later("kite", "", minutes=2)])
    assert again == Taken(known=1)
    assert "# the oak one" in (tmp_path / "tasks.toml").read_text()


@pytest.mark.parametrize(
    ("task", "said"),
    [
        ("attic", "“Clear the attic” has been carried 3 weeks, and a decision is due"),
        ("bins", "“Wash the bins” repeats, and of one time it can only be done"),
        ("paint", "“Paint the door” has ended on 2027-03-10 already"),
        ("todo-0011223344556677", 'id = "todo-0011223344556677" is a to-do of a calendar'),
    ],
)
def test_what_cannot_be_put_off_is_refused(tmp_path: Path, task: str, said: str) -> None:
    """What waits for a decision, repeats, has ended, is a calendar's."""
    taken = take_marks(household(tmp_path), [later(task)])
    assert [str(one.what) for one in taken.refused] == [said]
    assert all(one.remedy is not None for one in taken.refused)
    assert (tmp_path / "tasks.toml").read_text() == TASKS


def test_a_mark_that_arrives_weeks_later_changes_nothing(tmp_path: Path) -> None:
    """By then the task has been carried by time alone."""
    context = household(tmp_path)
    old = later("shelf", day=date(2027, 3, 16))
    assert take_marks(context, [old]) == Taken(known=1)
    assert (tmp_path / "tasks.toml").read_text() == TASKS


def test_what_was_parked_by_hand_is_not_taken_back(tmp_path: Path) -> None:
    """A task that cannot be begun before a later day keeps that when a mark is taken back."""
    household(tmp_path)
    parked = TASKS.replace('title = "Mend the kite"', 'title = "Mend"\nnot_before = 2027-04-20')
    (tmp_path / "tasks.toml").write_text(parked)
    for value in ("", "later"):
        assert take_marks(Context.read(tmp_path, NOW), [later("kite", value)]) == Taken(known=1)
    assert (tmp_path / "tasks.toml").read_text() == parked


def test_of_two_devices_the_later_word_holds(tmp_path: Path) -> None:
    """Put off on one and done on the other a minute after: it is done."""
    context = household(tmp_path)
    done = replace(later("kite", "done"), recorded_at=datetime(2027, 3, 24, 6, 41, tzinfo=UTC))
    received = replace(done, received_at=datetime(2027, 3, 24, 6, 45, tzinfo=UTC))
    assert take_marks(context, [received, later("kite")]) == Taken(new=2)
    assert where(week(tmp_path), "kite")[WEDNESDAY].done == WEDNESDAY
