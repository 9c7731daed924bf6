"""A choice of days written down: where tasks are put, and from when on they are carried anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import field
from datetime import date

from weeksync.errors import EditRefused
from weeksync.household import Choice, TaskChange, change_tasks, choose, files_of
from weeksync.household.toml_edits import Value
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.chosen import PlacedTask, PlannedBreak
from weeksync.model.fields import DayPart
from weeksync.model.files import Task
from weeksync.model.spread import PlanTask
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import Piece, ProposedTask
from weeksync.workflow.context import Context


@dataclass(frozen=True, slots=True)
class Put:
    """A task and all the places it is put in; none of them lies before today."""

    task: PlanTask
    places: tuple[PlacedTask, ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a person has chosen: tasks on days, priorities of days, breaks."""

    puts: Sequence[Put] = ()
    priorities: Sequence[tuple[date, str]] = ()
    breaks: Sequence[PlannedBreak] = field(default=())


def places_of(context: Context, task: PlanTask, found: ProposedTask) -> tuple[PlacedTask, ...]:
    """The pieces of a proposal as week files have them, with whose time they take."""
    person = _to_name(context, task, found.person)
    return tuple(
        PlacedTask(
            task=task.id,
            date=piece.start.date(),
            start=piece.start.time().replace(second=0, microsecond=0),
            minutes=minutes_between(piece),
            person=person,
        )
        for piece in found.pieces
    )


def place_on(
    context: Context, task: PlanTask, day: date, part: DayPart | None = None
) -> PlacedTask:
    """A place on a day; who did it where it stood goes on doing it."""
    person = task.persons[0] if task.chosen and len(task.persons) == 1 else ""
    return PlacedTask(task=task.id, date=day, part=part, person=_to_name(context, task, person))


def _to_name(context: Context, task: PlanTask, person: str) -> str | None:
    """The person as a place has to name them; None where the task itself names them alone.

    The persons of a to-do may be those of the place where it stood.
    """
    seen = task_in_file(context, task.id)
    own = (seen.person,) if seen is not None else () if task.chosen else task.persons
    return None if own == (person,) else person or None


def minutes_between(piece: Piece) -> int:
    """How long a piece is: exact minutes, on a day on which the clocks change, too."""
    return round(piece.end.timestamp() - piece.start.timestamp()) // 60


def write_choice(context: Context, chosen: Chosen) -> tuple[IsoWeek, ...]:
    """Write what was chosen: each week's file whole, then the counts of the tasks put on days.

    Returns the weeks that were written. EditRefused where something has changed meanwhile; of
    what was chosen for one week then all or nothing is written.
    """
    weeks = _by_week(context, chosen)
    for week in sorted(weeks):
        choose(context.folder, week, weeks[week])
    change_tasks(context.folder, [change for _, change in _counts(context, chosen)])
    return tuple(sorted(weeks))


def counted_on(context: Context, chosen: Chosen) -> dict[str, tuple[PlanTask, ...]]:
    """The tasks whose count of weeks carried is written with what was chosen, by their file."""
    found: dict[str, list[PlanTask]] = defaultdict(list)
    for task, change in _counts(context, chosen):
        (name,) = files_of(context.folder, [change.seen])
        found[name].append(task)
    return {name: tuple(tasks) for name, tasks in found.items()}


def _counts(context: Context, chosen: Chosen) -> list[tuple[PlanTask, TaskChange]]:
    return [
        (put.task, change)
        for put in chosen.puts
        if (change := _counted(context, put.task, max(one.date for one in put.places)))
    ]


def _by_week(context: Context, chosen: Chosen) -> dict[IsoWeek, Choice]:
    week_of = context.rule.week_of
    placed: dict[IsoWeek, dict[str, list[PlacedTask]]] = defaultdict(dict)
    priorities: dict[IsoWeek, list[tuple[date, str]]] = defaultdict(list)
    breaks: dict[IsoWeek, list[PlannedBreak]] = defaultdict(list)
    for put in chosen.puts:
        for place in put.places:
            placed[week_of(place.date)].setdefault(put.task.id, []).append(place)
    for day, text in chosen.priorities:
        priorities[week_of(day)].append((day, text))
    for pause in chosen.breaks:
        breaks[week_of(pause.date)].append(pause)
    return {
        week: Choice(
            since=context.today,
            placed=placed.get(week, {}),
            seen={task: _stands(context, week, task) for task in placed.get(week, {})},
            priorities=priorities.get(week, ()),
            breaks=breaks.get(week, ()),
        )
        for week in {*placed, *priorities, *breaks}
    }


def _stands(context: Context, week: IsoWeek, task: str) -> list[PlacedTask]:
    """Where the week's file has the task from today on, as it was read."""
    file = context.files.weeks.get(week)
    entries = file.placed if file is not None else ()
    return [one for one in entries if one.task == task and one.date >= context.today]


def _counted(context: Context, task: PlanTask, until: date) -> TaskChange | None:
    """Keeps the count of a carried task: it is counted on after the week of its day."""
    seen = task_in_file(context, task.id)
    if seen is None or seen.repeats or not task.carried:
        return None
    return TaskChange(seen, carried_values(task, until))


def carried_values(task: PlanTask, until: date) -> dict[str, Value | None]:
    """The keys that say over how many weeks a task has been carried up to that day's week."""
    return {"carried": task.carried, "carried_until": until} if task.carried else {}


def task_in_file(context: Context, task_id: str) -> Task | None:
    """The open task of `tasks.toml` with that id; None for a to-do of a calendar."""
    return next((one for one in context.files.tasks if one.id == task_id and one.open), None)


def needed(context: Context, task: PlanTask) -> Task:
    """The task as its file has it; EditRefused where no file has it."""
    found = task_in_file(context, task.id)
    if found is None:
        raise EditRefused(
            message(
                "“{title}” stands in a calendar, which weeksync does not write to; put it on a "
                "day, or change it there",
                title=task.title,
            )
        )
    return found
