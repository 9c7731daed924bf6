"""Which tasks to move from a day that is too full: as few as can be, those that can wait first."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from datetime import date

from weeksync.model.spread import PlanTask


def to_move(
    standing: Sequence[tuple[PlanTask, int]],
    over: int,
    day: date,
    priorities: Collection[str] = (),
) -> tuple[str, ...]:
    """The ids of the tasks whose moving takes `over` minutes or more off the day.

    The fewest that do; among as few, the ones that can wait longest. Priorities of the day stay
    where the others are enough. Where all of them are too little, all are named. `standing` are
    tasks with their minutes; done ones cannot be moved.
    """
    if over <= 0:
        return ()
    could = [one for one in standing if one[0].done is None]
    others = [one for one in could if one[0].id not in priorities]
    if sum(minutes for _, minutes in others) >= over:
        could = others
    could.sort(key=lambda one: _pressing(one[0], day), reverse=True)
    chosen = fewest_from_front([minutes for _, minutes in could], over)
    return tuple(could[place][0].id for place in chosen)


def _pressing(task: PlanTask, day: date) -> tuple[object, ...]:
    """The order in which tasks press on a day, the most pressing first."""
    by = task.last_day or date.max
    priority = task.priority or 10
    return by > day, priority, by, -task.carried, task.title.casefold(), task.source, task.id


def fewest_from_front(minutes: Sequence[int], wanted: int) -> list[int]:
    """The fewest places whose minutes reach `wanted`, of as few the ones nearest the front.

    All places where their sum is too little. The largest show how few will do; then each place
    from the front is taken whose place the largest of the rest can still make up for.
    """
    largest = sorted((-one, place) for place, one in enumerate(minutes))
    few = rest_of_sum = 0
    while few < len(largest) and rest_of_sum < wanted:
        rest_of_sum -= largest[few][0]
        few += 1
    if rest_of_sum < wanted:
        return list(range(len(minutes)))
    found = []
    for place, one in enumerate(minutes):
        if few == 0:
            break
        smallest = largest[few - 1]
        is_among = (-one, place) <= smallest
        if not is_among and one + rest_of_sum + smallest[0] < wanted:
            continue
        found.append(place)
        rest_of_sum -= one if is_among else -smallest[0]
        del largest[bisect_left(largest, (-one, place))]
        wanted -= one
        few -= 1
    return found
