"""Marks taken into the household's files: each is written, known already, or refused.

Marks of habits, lessons and breaks go to the ends of `marks/`; what is said of a task goes into
its entry in `tasks.toml`, and to the end of `marks/` as well: there it is seen which was made
last. What is said of a calendar's to-do goes to the end of `marks/` alone, and from there to its
server (`write_ticks`). One that is refused takes no other one with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from weeksync.errors import EditRefused
from weeksync.household import TaskChange, append_marks, change_tasks
from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.fields import TODO_ID
from weeksync.model.household import Mark, latest_marks
from weeksync.model.marking import DONE
from weeksync.model.occurrence import TodoItem
from weeksync.model.week import IsoWeek
from weeksync.workflow.context import Context
from weeksync.workflow.markable import Markable
from weeksync.workflow.not_taken import NotTaken
from weeksync.workflow.task_marks import lacks_line, task_values
from weeksync.workflow.ticks_taken import note_ticks


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

    Of all marks for one task the latest counts, whenever each arrives; the others are kept.
    HouseholdError where a file of marks cannot be written: what it should have got may be given
    once more.
    """
    things = Markable(context)
    refused: list[Refused] = []
    good: list[Mark] = []
    tasks: dict[str, tuple[int, Mark]] = {}
    held = _held_of_tasks(context, things)
    ticks: list[tuple[Mark, TodoItem]] = []
    known = 0
    for place, mark in enumerate(marks):
        try:
            mark = things.checked(mark)
        except NotTaken as error:
            refused.append(Refused(place, error.what, error.remedy))
            continue
        todo = things.todo(mark.id)
        if todo is not None:
            ticks.append((mark, todo))
        if things.task(mark.id) is None:
            good.append(mark)
            continue
        if _is_held(mark, held.get(mark.id, ())):
            known += 1
            continue
        before = tasks.get(mark.id)
        last = max((one.counts_from for one in held.get(mark.id, ())), default=mark.counts_from)
        if mark.counts_from < last or (before and mark.counts_from < before[1].counts_from):
            good.append(mark)
            continue
        if before is not None:
            good.append(before[1])
        tasks[mark.id] = (place, mark)
    note_ticks(context, ticks)
    ended, wrong = _end_tasks(context, things, tasks.values(), held)
    appended = append_marks(context.folder, [*good, *ended])
    return Taken(
        new=len(appended.new),
        known=len(appended.known) + known + len(tasks) - len(ended) - len(wrong),
        refused=tuple(sorted([*refused, *wrong], key=lambda one: one.place)),
        closed=_closed(context, [one for one in good if not is_of_task(things, one.id)]),
    )


def is_of_task(things: Markable, thing: str) -> bool:
    """Whether it is a task, or a calendar's to-do: of all its marks one holds, whatever its day."""
    return things.task(thing) is not None or things.todo(thing) is not None


def _held_of_tasks(context: Context, things: Markable) -> dict[str, list[Mark]]:
    """The marks of tasks in the files, by task."""
    held: dict[str, list[Mark]] = {}
    for mark in context.files.marks:
        if things.task(mark.id) is not None:
            held.setdefault(mark.id, []).append(mark)
    return held


def _is_held(mark: Mark, held: Iterable[Mark]) -> bool:
    """Whether the files have it already: it may have been sent once more."""
    return any(replace(mark, received_at=one.received_at) == one for one in held)


def _closed(context: Context, marks: Iterable[Mark]) -> tuple[IsoWeek, ...]:
    """The closed weeks that the marks are for."""
    return tuple(sorted({context.rule.week_of(one.day) for one in marks} & context.archive.weeks))


def _end_tasks(
    context: Context,
    things: Markable,
    marks: Iterable[tuple[int, Mark]],
    held: Mapping[str, Sequence[Mark]],
) -> tuple[list[Mark], list[Refused]]:
    """(the marks by which tasks were changed, now or before; those whose task could not be)."""
    ended: list[Mark] = []
    refused: list[Refused] = []
    for place, mark in marks:
        task = things.task(mark.id)
        if task is None:
            continue
        try:
            values = task_values(context, things.planner, task, mark)
            if values:
                change_tasks(context.folder, [TaskChange(task, values)])
            if values or lacks_line(context, task, mark, held.get(mark.id, ())):
                ended.append(mark)
        except NotTaken as wrong:
            refused.append(Refused(place, wrong.what, wrong.remedy))
        except EditRefused as error:
            refused.append(Refused(place, error.message, None))
    return ended, refused


def by_hand(
    context: Context, thing: str, day: date, value: str, *, person: str = "", device: str
) -> Mark:
    """A mark that somebody makes now, with what stands there before their eyes.

    It is later than the one that holds: whoever changes a mark means what they write.
    """
    is_task = thing.startswith(TODO_ID) or any(one.id == thing for one in context.files.tasks)
    held = [
        one.counts_from
        for one in context.files.marks
        if one.id == thing and (is_task or one.day == day)
    ]
    moment = max([context.now, *(one + timedelta(microseconds=1) for one in held)])
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
    todo = things.todo(mark.id)
    if todo is not None:
        stands = "" if todo.open else DONE
    if things.task(mark.id) is None and stands == mark.value:
        return Taken(known=1)
    return take_marks(context, [mark])
