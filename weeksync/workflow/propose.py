"""The proposed week: what it holds, what would change, and writing down what a person takes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import counted, message
from weeksync.model.chosen import PlannedBreak
from weeksync.model.problem import Problem
from weeksync.model.spread import PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import (
    DayLoad,
    Move,
    Proposal,
    ProposedBreak,
    ProposedTask,
    Standing,
)
from weeksync.plan.confirmed import Confirmed
from weeksync.plan.engagements import planned_people
from weeksync.plan.proposal import moves
from weeksync.plan.record_plan import plan_record
from weeksync.plan.task_records import minutes_of
from weeksync.workflow.context import Context
from weeksync.workflow.placing import Chosen, Put, minutes_between, places_of
from weeksync.workflow.show import planned, view

FORMAT = 1
KIND = "weeksync.proposal"


@dataclass(frozen=True, slots=True)
class Proposed:
    """A week with its proposal, as far as it is asked about; `tasks` are the open ones by id."""

    week: IsoWeek
    spread: Spread
    proposal: Proposal
    tasks: dict[str, PlanTask]
    moves: tuple[Move, ...]
    """What taking it would change, held against the confirmed week."""
    problems: tuple[Problem, ...] = ()
    """What the user should know: a file with a mistake hides what was chosen."""


def proposed(context: Context, week: IsoWeek, person: str | None = None) -> Proposed:
    """The proposal of a week; UsageError where it is over, or further than anybody looks ahead."""
    gathered, spread = planned(context, week)
    seen = view(context, spread, person, None)
    proposal = seen.plan.proposal if seen.plan is not None else None
    if proposal is None:
        raise UsageError(
            counted(
                "nothing is proposed for {week}: it is over, or more than {count} week ahead "
                "(look_ahead_weeks under [planning])",
                "nothing is proposed for {week}: it is over, or more than {count} weeks ahead "
                "(look_ahead_weeks under [planning])",
                context.config.planning.look_ahead_weeks,
                week=str(week),
            )
        )
    stood = Confirmed(context.files.snapshots).pieces(context.tz)
    tasks = {task.id: task for task in gathered.planner.open_tasks()}
    problems = (*gathered.problems, *spread.problems)
    return Proposed(week, seen, proposal, tasks, moves(proposal, stood), problems)


def as_proposal_record(found: Proposed) -> dict[str, Any]:
    """The proposal as JSON has it: the same as `plan.proposal` in the record of the week."""
    record = plan_record(found.spread.plan) or {}
    return {
        "format": FORMAT,
        "kind": KIND,
        "week": str(found.week),
        "loads": record["loads"],
        "proposal": record["proposal"],
    }


def is_open(one: ProposedTask) -> bool:
    """Whether it could be taken: it has a place, and nobody has put it there yet."""
    return one.standing is not Standing.CHOSEN and bool(one.pieces)


def minutes_with(context: Context, found: Proposed, load: DayLoad) -> int:
    """What would be planned on the day of a load if all that is proposed were taken.

    A task that counts on its due date only, and is proposed for other times, counts there no more.
    """
    usual = context.config.planning.usual_estimate_minutes
    people = [person.id for person in planned_people(context.config)]
    taken = [one for one in found.proposal.tasks if is_open(one)]
    moved = {(one.task, one.due) for one in taken}
    off = sum(
        minutes_of(task, usual)
        for day in found.spread.days
        for task in (day.tasks if day.date == load.day else ())
        if not task.chosen and (task.id, task.due) in moved
        if load.person in (task.persons or task.only_for or (people if len(people) == 1 else ()))
    )
    placed = sum(
        minutes_between(piece)
        for one in taken
        for piece in one.pieces
        if one.person == load.person and piece.start.date() == load.day
    )
    return load.planned - off + placed


def choice_of(context: Context, found: Proposed, names: Collection[str]) -> Chosen:
    """What taking the proposal would write.

    Without `names` all of it: places of tasks, priorities and breaks; else the tasks of those
    ids with their priorities. UsageError where one of them has no place that could be taken.
    """
    could = [one for one in found.proposal.tasks if is_open(one)]
    unknown = sorted(set(names) - {one.task for one in could})
    if unknown:
        raise UsageError(
            message(
                'no place is proposed for "{value}"; those with one are: {known}',
                value=unknown[0],
                known=", ".join(one.task for one in could) or "–",
            )
        )
    taken = [one for one in could if not names or one.task in names]
    ids = {one.task for one in taken}
    puts = [
        Put(task, places_of(context, task, one))
        for one in taken
        for task in [found.tasks[one.task]]
    ]
    priorities = [
        (one.day, one.task) for one in found.proposal.priorities if not names or one.task in ids
    ]
    breaks = () if names else tuple(map(_break, found.proposal.breaks))
    return Chosen(puts, priorities, breaks)


def _break(one: ProposedBreak) -> PlannedBreak:
    return PlannedBreak(
        date=one.start.date(),
        start=one.start.time().replace(second=0, microsecond=0),
        minutes=one.minutes,
        what=one.what,
        person=one.person,
    )


def stood_on(spread: Spread, task: str, today: date) -> Sequence[date]:
    """The days of the week that are over on which a task that is open stood."""
    return [
        day.date
        for day in spread.days
        if day.date < today and any(one.id == task and one.chosen for one in day.tasks)
    ]
