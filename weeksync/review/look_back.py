"""Spreads of a span of days into a `Review`: the one door of this part.

Spreads may be closed ones or made anew, weeks or longer; they are taken in the order of their
days, days outside of the span are left out, and a day that is in two of them counts once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from weeksync.model.household import CheckIn, ReviewAnswer
from weeksync.model.review import EnergyLine, Review, SpanName
from weeksync.model.spread import Day, Spread
from weeksync.model.week import days_between
from weeksync.review.habits import habit_reviews
from weeksync.review.pairs import pair_lines
from weeksync.review.tasks import review_tasks
from weeksync.review.time_spent import estimate_lines, minutes_lines


def look_back(
    spreads: Iterable[Spread],
    span: SpanName,
    today: date,
    *,
    health: bool = True,
    answers: Sequence[ReviewAnswer] = (),
) -> Review:
    """Look back on `span` as it stands on `today`, the first day that is not over.

    The spreads say who may see it: of common views nothing private comes into the review. Without
    `health` it has no health habits either, as a common page needs it.
    """
    held = sorted(spreads, key=lambda one: one.days[0].date)
    days = _days(held, span)
    dates = tuple(days_between(span.first, span.last))
    habits = habit_reviews(held, days, dates)
    if not health:
        habits = tuple(one for one in habits if not one.health)
    spent = [one for one in habits if not one.health]
    check_ins = tuple(one for day in days for one in day.check_ins)
    return Review(
        span=span,
        days=dates,
        over=sum(day < today for day in dates),
        tasks=review_tasks(held, days, today),
        habits=habits,
        minutes=minutes_lines(days, spent, today),
        estimates=estimate_lines(days),
        check_ins=check_ins,
        energy=energy_lines(check_ins),
        pairs=pair_lines(habits, check_ins, dates) if health else (),
        answers=tuple(answers),
    )


def energy_lines(check_ins: Iterable[CheckIn]) -> tuple[EnergyLine, ...]:
    """A plain average a person; who never says it has none."""
    found: dict[str, list[int]] = {}
    for one in check_ins:
        if one.energy is not None:
            found.setdefault(one.person, []).append(one.energy)
    return tuple(
        EnergyLine(person, len(said), sum(said) / len(said)) for person, said in found.items()
    )


def _days(spreads: Iterable[Spread], span: SpanName) -> tuple[Day, ...]:
    held: dict[date, Day] = {}
    for spread in spreads:
        for day in spread.days:
            if span.first <= day.date <= span.last:
                held.setdefault(day.date, day)
    return tuple(held[one] for one in sorted(held))
