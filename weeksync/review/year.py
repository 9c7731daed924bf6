"""What of a week stands on the page of its year, and what of that somebody may see."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import CellState, Day, LessonItem, Spread
from weeksync.model.week import IsoWeek
from weeksync.model.year import YearHabit, YearLesson, YearMoney, YearWeek

CELLS = {
    CellState.MARKED: "m",
    CellState.MISSED: "x",
    CellState.NOT_RECORDED: "n",
    CellState.PAUSED: "p",
    CellState.OPEN: "o",
    CellState.NOT_DUE: ".",
}
"""How a habit stands on a day, as one sign."""


def year_weeks(spread: Spread, today: date, *, closed: bool = False) -> tuple[YearWeek, ...]:
    """The weeks of a spread, in order: one, or those of a longer span.

    `today` is the first day that is not over; of a closed week all are.
    """
    by_week: dict[IsoWeek, list[Day]] = {}
    for day in spread.days:
        by_week.setdefault(spread.week or day.week, []).append(day)
    cells = [(row, {cell.day: CELLS[cell.state] for cell in row.cells}) for row in spread.habits]
    found = []
    for week, days in by_week.items():
        habits = []
        for row, signs in cells:
            said = "".join(signs.get(day.date, ".") for day in days)
            if said.strip("."):
                habits.append(
                    YearHabit(
                        row.id, row.title, row.person, row.area, said, row.health, row.only_for
                    )
                )
        found.append(
            YearWeek(
                week=week,
                first=days[0].date,
                closed=closed,
                terms=tuple(_terms(days)),
                breaks=tuple(dict.fromkeys(day.term_break for day in days if day.term_break)),
                holidays=tuple((day.date, name) for day in days for name in day.holidays),
                habits=tuple(habits),
                lessons=tuple(_lessons(days, date.max if closed else today)),
                money=tuple(_money(one for day in days for one in day.money)),
            )
        )
    return tuple(found)


def common(week: YearWeek) -> YearWeek:
    """What may hang where children and visitors read: no health, no money, nothing reserved."""
    habits = tuple(one for one in week.habits if not (one.health or one.only_for))
    return replace(week, habits=habits, money=())


def for_person(week: YearWeek, person: str) -> YearWeek:
    """What is that person's, or nobody's in particular, as `plan.views.for_person` has it."""
    return replace(
        week,
        habits=tuple(
            one
            for one in week.habits
            if one.person == person and (not one.only_for or person in one.only_for)
        ),
        lessons=tuple(one for one in week.lessons if one.child == person),
        money=tuple(one for one in week.money if not one.only_for or person in one.only_for),
    )


def _terms(days: Sequence[Day]) -> Iterator[tuple[str, int | None]]:
    met = set()
    for day in days:
        if day.term and day.term not in met:
            met.add(day.term)
            yield day.term, day.term_week


def _lessons(days: Sequence[Day], today: date) -> Iterator[YearLesson]:
    held: dict[tuple[str, str], list[tuple[date, LessonItem]]] = {}
    for day in days:
        for one in day.lessons:
            held.setdefault((one.child, one.subject), []).append((day.date, one))
    for (child, subject), items in held.items():
        own = [(day, one) for day, one in items if not one.make_up]
        yield YearLesson(
            child,
            subject,
            planned=len(own),
            done=sum(one.done is True for _, one in own),
            made_up=sum(one.make_up and one.done is True for _, one in items),
            not_recorded=sum(one.done is None and day < today for day, one in own),
        )


def _money(items: Iterable[MoneyItem]) -> Iterator[YearMoney]:
    """Steps of saving goals are no business; what is paid counts with what was paid."""
    held: dict[tuple[str, tuple[str, ...]], list[MoneyItem]] = {}
    for one in items:
        if one.business and one.kind is not MoneyKind.STEP:
            held.setdefault((one.currency or "", tuple(sorted(one.only_for))), []).append(one)
    for (currency, only_for), several in sorted(held.items()):
        yield YearMoney(
            currency,
            money_in=sum(one.sum or 0 for one in several if one.kind is MoneyKind.PAY),
            money_out=sum(one.sum or 0 for one in several if one.kind is MoneyKind.BILL),
            unknown=sum(one.sum is None for one in several),
            only_for=only_for,
        )
