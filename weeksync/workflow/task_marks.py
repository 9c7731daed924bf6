"""What a mark says of a task, and what it changes in the task's entry.

`done` and `dropped` write their day. `later` takes the task off the rest of its week: it cannot
be begun before the first day of the next one, and counts as carried from then on. Its places in
the week's file stay as they were, so that taking the mark back puts it there again; so does its
due date, and a task that is put off beyond it is late.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING

from weeksync.household.toml_edits import Value
from weeksync.message import counted, message
from weeksync.model.files import Task
from weeksync.model.household import Mark
from weeksync.model.marking import DONE, DROPPED, LATER
from weeksync.workflow.context import Context
from weeksync.workflow.not_taken import NotTaken
from weeksync.workflow.placing import carried_values

if TYPE_CHECKING:
    from weeksync.plan import Planner

Values = Mapping[str, Value | None]
"""Keys of the task's entry with their new values, None to take a key away."""


def check_task(task: Task, mark: Mark) -> None:
    """NotTaken where a mark cannot say that of a task, whatever else is written down."""
    if mark.value not in ("", DONE, DROPPED, LATER):
        raise NotTaken(
            message(
                'value = "{value}" says nothing about the task “{title}”',
                value=mark.value[:40],
                title=task.title,
            ),
            message("write done, dropped or later"),
        )
    if task.repeats and mark.value != DONE:
        raise NotTaken(
            message("“{title}” repeats, and of one time it can only be done", title=task.title),
            message("change done or dropped under it in tasks.toml"),
        )


def task_values(context: Context, planner: Planner, task: Task, mark: Mark) -> Values:
    """What the mark changes in the entry of the task; nothing where it says so already.

    NotTaken where another end is written down, since none replaces one without a word, and
    where a task cannot be put off.
    """
    _check_open(task, mark)
    if not mark.value:
        return _reopened(context, task)
    if mark.value == LATER:
        return _later(context, planner, task, mark.day)
    day = _closes(planner, task, mark.day) if mark.value == DONE else mark.day
    stood = task.done if mark.value == DONE else task.dropped
    if stood is not None and (stood == day or (task.repeats and stood > day)):
        return {}
    return {mark.value: day}


def lacks_line(context: Context, task: Task, mark: Mark, held: Iterable[Mark]) -> bool:
    """Whether the task says what the mark says, and none of its marks in `held` does.

    So a run leaves it that is killed, or finds the disk full, between the task and its mark.
    Asked where `task_values` has nothing to change.
    """
    standing: list[Mark] = []
    for one in sorted(held, key=lambda one: one.counts_from):
        standing = [*standing, one] if one.value else []  # else it takes back those before it
    if not mark.value:
        return task.open and standing != []
    days = _said_by(context, task, mark)
    return days is not None and not any(
        one.value == mark.value and days[0] <= one.day <= days[1] for one in standing
    )


def _said_by(context: Context, task: Task, mark: Mark) -> tuple[date, date] | None:
    """(first, last) of the days whose mark the entry would stand for, None where for none."""
    if mark.value == LATER:
        after = _week_after(context, mark.day)
        return (after - timedelta(days=7), after) if task.not_before == after else None
    stood = task.done if mark.value == DONE else task.dropped
    return (mark.day, stood) if stood is not None else None


def _check_open(task: Task, mark: Mark) -> None:
    if not mark.value:
        return
    stands = {DONE: task.done, DROPPED: task.dropped, LATER: None}
    other = DROPPED if mark.value == DONE else DONE
    ended = stands[other] if task.repeats else task.done or task.dropped
    if ended is None or stands[mark.value] == mark.day:
        return
    raise NotTaken(
        message("“{title}” has ended on {day} already", title=task.title, day=ended.isoformat()),
        message("take that back first: weeksync mark {id} --undo", id=task.id),
    )


def _closes(planner: Planner, task: Task, day: date) -> date:
    """The day to write as `done`: for a repeating task not before the due date it was done for.

    Done on Friday what is due on Saturday, it would else stand there on Saturday once more.
    """
    if not task.repeats:
        return day
    entries = [one for one in planner.day(day).tasks if one.id == task.id]
    return max([day, *(one.due for one in entries if one.due is not None)])


def _later(context: Context, planner: Planner, task: Task, day: date) -> Values:
    """What puts the task off to the week after that of `day`.

    Where that week has come, being carried is done by time alone; nothing is written then.
    """
    following = _week_after(context, day)
    if following <= context.today or (task.not_before or date.min) >= following:
        return {}
    plan = next((one for one in planner.open_tasks() if one.id == task.id), None)
    if plan is None:
        raise AssertionError(task)  # an open task of the files is an open task of the plan
    limit = context.config.planning.carry_limit_weeks
    if plan.carried >= limit:
        raise NotTaken(
            counted(
                "“{title}” has been carried {count} week, and a decision is due",
                "“{title}” has been carried {count} weeks, and a decision is due",
                plan.carried,
                title=task.title,
            ),
            message("do it, drop it, or give it a date or split it with weeksync carry"),
        )
    carried = {"carried_until": context.today, **carried_values(plan, context.today)}
    return {"not_before": following, **carried}


def _week_after(context: Context, day: date) -> date:
    """The first day of the week after that of `day`."""
    return context.rule.start(day) + timedelta(days=7)


def _reopened(context: Context, task: Task) -> Values:
    """What takes back an end, else that the task was put off this week."""
    ends = {"done": task.done, "dropped": task.dropped}
    if not task.open:
        return {key: None for key, day in ends.items() if day is not None}
    since = task.carried_until
    if since is None or task.repeats or task.not_before != _week_after(context, context.today):
        return {}
    if context.rule.start(since) != context.rule.start(context.today):
        return {}
    counted: Values = {} if task.carried else {"carried_until": None}
    return {"not_before": None, **counted}
