"""Marks taken into the household's files: each is written, known already, or refused.

Marks of habits, lessons and breaks go to the ends of `marks/`; what is said of a task goes into its
entry in `tasks.toml`. One that is refused takes no other one with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from weeksync.errors import EditRefused
from weeksync.household import TaskChange, append_marks, change_tasks
from weeksync.message import Message
from weeksync.model.household import Mark, latest_marks
from weeksync.model.week import IsoWeek
from weeksync.workflow.context import Context
from weeksync.workflow.markable import Markable
from weeksync.workflow.not_taken import NotTaken
from weeksync.workflow.task_marks import task_values


@dataclass(frozen=True, slots=True)
class Refused:
    """A mark that was not written: the place in what was given, and why."""

    place: int
    what: Message
    remedy: Message | None


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of marks: how many are new, how many were there already, which were refused.

    `closed` are closed weeks for which some of them are: these are kept, and do not count yet.
    """

    new: int = 0
    known: int = 0
    refused: tuple[Refused, ...] = ()
    closed: tuple[IsoWeek, ...] = ()


def take_marks(context: Context, marks: Sequence[Mark]) -> Taken:
    """Write marks for habits, lessons and breaks, and what marks say of tasks.

    Of several marks for one task the latest counts. HouseholdError where a file of marks cannot
    be written: what it should have got may be given once more.
    """
    things = Markable(context)
    refused: list[Refused] = []
    good: list[Mark] = []
    tasks: dict[str, tuple[int, Mark]] = {}
    known = 0
    for place, mark in enumerate(marks):
        try:
            checked = things.checked(mark)
        except NotTaken as error:
            refused.append(Refused(place, error.what, error.remedy))
            continue
        if things.task(mark.id) is None:
            good.append(checked)
            continue
        before = tasks.get(mark.id)
        known += before is not None
        if before is None or mark.counts_from >= before[1].counts_from:
            tasks[mark.id] = (place, mark)
    appended = append_marks(context.folder, good)
    ended, wrong = _end_tasks(context, things, tasks.values())
    return Taken(
        new=len(appended.new) + ended,
        known=len(appended.known) + known + len(tasks) - ended - len(wrong),
        refused=tuple(sorted([*refused, *wrong], key=lambda one: one.place)),
        closed=_closed(context, good),
    )


def _closed(context: Context, marks: Iterable[Mark]) -> tuple[IsoWeek, ...]:
    """The closed weeks that the marks are for."""
    return tuple(sorted({context.rule.week_of(one.day) for one in marks} & context.archive.weeks))


def _end_tasks(
    context: Context, things: Markable, marks: Iterable[tuple[int, Mark]]
) -> tuple[int, list[Refused]]:
    """(how many tasks were changed, the marks whose task could not be)."""
    count = 0
    refused: list[Refused] = []
    for place, mark in marks:
        task = things.task(mark.id)
        if task is None:
            continue
        try:
            values = task_values(context, things.planner, task, mark)
            if values:
                change_tasks(context.folder, [TaskChange(task, values)])
                count += 1
        except NotTaken as wrong:
            refused.append(Refused(place, wrong.what, wrong.remedy))
        except EditRefused as error:
            refused.append(Refused(place, error.message, None))
    return count, refused


def by_hand(
    context: Context, thing: str, day: date, value: str, *, person: str = "", device: str
) -> Mark:
    """A mark that somebody makes now, with what stands there before their eyes.

    It is later than the one that holds: whoever changes a mark means what they write.
    """
    held = latest_marks(context.files.marks).get((thing, day))
    moment = context.now
    if held is not None and held.counts_from >= moment:
        moment = held.counts_from + timedelta(microseconds=1)
    return Mark(thing, day, person, value, moment, moment, device)


def take_by_hand(context: Context, mark: Mark) -> Taken:
    """Write one mark that somebody makes now; nothing where the one that holds says the same."""
    things = Markable(context)
    try:
        things.checked(mark)
    except NotTaken as error:
        return Taken(refused=(Refused(0, error.what, error.remedy),))
    held = latest_marks(context.files.marks).get((mark.id, mark.day))
    stands = held.value if held is not None else ""
    if things.task(mark.id) is None and stands == mark.value:
        return Taken(known=1)
    return take_marks(context, [mark])
