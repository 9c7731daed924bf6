"""What goes together, and never why: figures and energy of one person over the same days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import combinations
from typing import NamedTuple

from weeksync.model.household import CheckIn
from weeksync.model.review import HabitReview, PairLine
from weeksync.review.together import LEAST, together

ENERGY = ""
"""The id that stands for the energy of check-ins, which is no habit."""


class _Series(NamedTuple):
    id: str
    title: str
    values: tuple[float | None, ...]
    only_for: tuple[str, ...]


def pair_lines(
    habits: Iterable[HabitReview], check_ins: Iterable[CheckIn], dates: Sequence[date]
) -> tuple[PairLine, ...]:
    """Every pair of series of each person; the interval allows for how many the person has.

    Where nobody could have enough days there is nothing to look at, and no pair.
    """
    if len(dates) < LEAST:
        return ()
    found: list[PairLine] = []
    for person, series in _by_person(habits, check_ins, dates).items():
        pairs = list(combinations(series, 2))
        found += (
            PairLine(
                person,
                one.id,
                one.title,
                other.id,
                other.title,
                together(one.values, other.values, pairs=len(pairs)),
                tuple(dict.fromkeys((*one.only_for, *other.only_for))),
            )
            for one, other in pairs
        )
    return tuple(found)


def _by_person(
    habits: Iterable[HabitReview], check_ins: Iterable[CheckIn], dates: Sequence[date]
) -> dict[str, list[_Series]]:
    found: dict[str, list[_Series]] = {}
    for habit in habits:
        if habit.figures is not None:
            series = _Series(habit.id, habit.title, habit.figures.values, habit.only_for)
            found.setdefault(habit.person, []).append(series)
    energy: dict[str, dict[date, float | None]] = {}
    for one in check_ins:
        if one.energy is not None:
            energy.setdefault(one.person, {})[one.day] = float(one.energy)
    for person, said in energy.items():
        values = tuple(said.get(day) for day in dates)
        found.setdefault(person, []).append(_Series(ENERGY, "", values, ()))
    return found
