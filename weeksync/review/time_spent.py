"""Minutes planned and done, and how estimates compared with what was taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field
from datetime import date
from statistics import median

from weeksync.lazy import dataclass
from weeksync.model.fields import MarkKind
from weeksync.model.review import (
    FACTOR_FROM,
    Activity,
    EstimateLine,
    HabitReview,
    MinutesLine,
)
from weeksync.model.spread import Day, LessonItem, PlanTask
from weeksync.review.habits import figure_of
from weeksync.review.tasks import Key, key_of

_PER_HOUR = 60


@dataclass(slots=True)
class _Sum:
    planned: float = 0
    done: float = 0
    not_recorded: float = 0
    unknown: int = 0


_Whose = tuple[Activity, str | None, str | None]
"""(activity, area, person)"""


def minutes_lines(
    days: Sequence[Day], habits: Iterable[HabitReview], today: date
) -> tuple[MinutesLine, ...]:
    """A line for each activity, area and person with something in it.

    What stood on several days and is still open is planned on each of them.
    """
    sums: dict[_Whose, _Sum] = {}
    for day in days:
        for task in day.tasks:
            _task(sums, task)
        for lesson in day.lessons:
            _lesson(sums, lesson, over=day.date < today)
    for habit in habits:
        _habit(sums, habit)
    return tuple(
        MinutesLine(
            activity=activity,
            area=area,
            person=person,
            planned=round(one.planned),
            done=round(one.done),
            not_recorded=round(one.not_recorded),
            unknown=one.unknown,
        )
        for (activity, area, person), one in sorted(sums.items(), key=_order)
    )


def _order(item: tuple[_Whose, _Sum]) -> tuple[int, str, str]:
    activity, area, person = item[0]
    return list(Activity).index(activity), area or "~", person or "~"


def _task(sums: dict[_Whose, _Sum], task: PlanTask) -> None:
    if task.dropped is not None:
        return
    minutes = task.minutes or task.estimate
    for person in task.persons or (None,):
        held = sums.setdefault((Activity.TASKS, task.area, person), _Sum())
        if minutes is None:
            held.unknown += 1
            continue
        held.planned += minutes
        held.done += minutes if task.done is not None else 0


def _lesson(sums: dict[_Whose, _Sum], lesson: LessonItem, *, over: bool) -> None:
    held = sums.setdefault((Activity.LESSONS, None, lesson.child), _Sum())
    taught = figure_of(MarkKind.MINUTES, lesson.value.casefold())
    if lesson.minutes is None and taught is None:
        held.unknown += 1
        return
    held.planned += lesson.minutes or 0
    if lesson.done is None and over:
        held.not_recorded += lesson.minutes or 0
    elif lesson.done:
        held.done += taught if taught is not None else lesson.minutes or 0


def _habit(sums: dict[_Whose, _Sum], habit: HabitReview) -> None:
    if habit.kind not in {MarkKind.MINUTES, MarkKind.HOURS}:
        return
    held = sums.setdefault((Activity.HABITS, habit.area, habit.person), _Sum())
    scale = _PER_HOUR if habit.kind is MarkKind.HOURS else 1
    due = habit.rate.days + habit.not_recorded + habit.to_come
    if habit.target is None:
        held.unknown += due
    else:
        held.planned += habit.target * scale * due
        held.not_recorded += habit.target * scale * habit.not_recorded
    if habit.figures is not None:
        held.done += scale * sum(one for one in habit.figures.values if one is not None)


@dataclass(slots=True)
class _Estimates:
    known: list[tuple[int, float]] = field(default_factory=list)
    unknown: int = 0


def estimate_lines(days: Sequence[Day]) -> tuple[EstimateLine, ...]:
    """A line for each area of tasks, and each subject of lessons, of which something was done."""
    held: dict[tuple[Activity, str | None, str], _Estimates] = {}
    for task in _done(days):
        one = held.setdefault((Activity.TASKS, task.area, ""), _Estimates())
        _note(one, task.estimate, task.took)
    for lesson in (one for day in days for one in day.lessons if one.done):
        one = held.setdefault((Activity.LESSONS, None, lesson.subject), _Estimates())
        _note(one, lesson.minutes, figure_of(MarkKind.MINUTES, lesson.value.casefold()))
    return tuple(
        EstimateLine(
            activity=activity,
            area=area,
            subject=subject,
            count=len(one.known),
            estimated=sum(estimate for estimate, _ in one.known),
            actual=round(sum(actual for _, actual in one.known)),
            factor=_factor(one.known),
            unknown=one.unknown,
        )
        for (activity, area, subject), one in held.items()
    )


def _done(days: Iterable[Day]) -> Iterator[PlanTask]:
    met: set[Key] = set()
    for day in days:
        for task in day.tasks:
            if task.done is not None and key_of(task) not in met:
                met.add(key_of(task))
                yield task


def _note(one: _Estimates, estimate: int | None, actual: float | None) -> None:
    if estimate and actual:
        one.known.append((estimate, actual))
    else:
        one.unknown += 1


def _factor(known: Sequence[tuple[int, float]]) -> float | None:
    """The median, so that one task that went wrong altogether does not turn it."""
    if len(known) < FACTOR_FROM:
        return None
    return median(actual / estimate for estimate, actual in known)
