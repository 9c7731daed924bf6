"""Bills, pay days and the steps of saving goals: on which day the money moves."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.household import HouseholdFiles
from weeksync.model.money import Bill, BusinessDayRule, Goal, Paid, PayDay
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.plan.business_days import MOST_DAYS, BusinessDays

if TYPE_CHECKING:
    from weeksync.plan.repeats import Repeats

OVERDUE_DAYS = 92
"""How far back an unpaid bill is asked about; a quarter, ours."""

_KINDS = [MoneyKind.PAY, MoneyKind.STEP, MoneyKind.BILL]


def split(amount: int, parts: int) -> tuple[int, ...]:
    """`amount` minor units in `parts` parts by largest remainder: they differ by 1 at most.

    The larger parts come first; their sum is `amount` exactly.
    """
    each, over = divmod(amount, parts)
    return tuple(each + 1 if place < over else each for place in range(parts))


@dataclass(frozen=True, slots=True)
class _Flow:
    """Something that moves money again and again: a bill or a pay day, with its due dates."""

    thing: Bill | PayDay
    rule: BusinessDayRule
    repeats: Repeats
    paid: dict[date, Paid]


class Money:
    """The household's money, asked by the day on which it moves.

    A due date (nominal) becomes a day by the entry's business-day rule. A payment is written
    down under the due date it was for, wherever that was moved to. `today` is the day on which
    it is asked; without it nothing is overdue.
    """

    def __init__(
        self, files: HouseholdFiles, business_days: BusinessDays, today: date | None = None
    ) -> None:
        self._currency = files.currency
        self._today = today or date.min
        self._business_days = business_days
        self._bills = [
            _Flow(one, one.day_rule, _repeats(one), {paid.due: paid for paid in one.paid})
            for one in files.bills
        ]
        self._pay = [_Flow(one, one.rule, _repeats(one), {}) for one in files.pay_days]
        self._steps: dict[date, list[MoneyItem]] = {}
        self._made: dict[int, dict[date, MoneyItem]] = {}
        self.problems: tuple[Problem, ...] = ()
        by_id = {one.thing.id: one for one in self._pay}
        for goal in files.goals:
            self._take_goal(goal, by_id.get(goal.pay_day))

    def on(self, day: date) -> tuple[MoneyItem, ...]:
        """What moves on `day`: pay, then steps of goals, then bills."""
        return self.within(day, day)

    def within(self, first: date, last: date) -> tuple[MoneyItem, ...]:
        """What moves from `first` to `last`, both included, by day."""
        found = [
            item for flow in (*self._bills, *self._pay) for item in self._moving(flow, first, last)
        ]
        for offset in range((last - first).days + 1):
            found += self._steps.get(first + timedelta(days=offset), ())
        return tuple(sorted(found, key=_order))

    def by_hand(self, first: date, last: date) -> tuple[MoneyItem, ...]:
        """Bills to be paid by hand and not paid yet whose day lies from `first` to `last`."""
        found = (item for flow in self._bills for item in self._moving(flow, first, last))
        return tuple(sorted(filter(_is_to_pay, found), key=_order))

    def paid(self, first: date, last: date) -> tuple[MoneyItem, ...]:
        """Bills that were paid from `first` to `last`, both included, by the day of payment."""
        found = [
            self._item(flow, paid.due, self._business_days.adjusted(paid.due, flow.rule))
            for flow in self._bills
            for paid in flow.paid.values()
            if first <= paid.on <= last
        ]
        return tuple(sorted(found, key=lambda item: (item.paid_on or item.day, _order(item))))

    def overdue(self, today: date) -> tuple[tuple[MoneyItem, ...], ...]:
        """Bills paid by hand whose day is over and that are not paid, grouped by bill.

        At most OVERDUE_DAYS back; the bill that has waited longest first.
        """
        groups = []
        for flow in self._bills:
            moved = self._moving(
                flow, today - timedelta(days=OVERDUE_DAYS), today - timedelta(days=1)
            )
            late = tuple(filter(_is_to_pay, moved))
            if late:
                groups.append(late)
        return tuple(sorted(groups, key=lambda group: _order(group[0])))

    def _moving(self, flow: _Flow, first: date, last: date) -> list[MoneyItem]:
        """The items of one entry that move in a span, from due dates as far as any can move."""
        most = timedelta(days=MOST_DAYS)
        made = self._made.setdefault(id(flow), {})
        found = []
        for due in flow.repeats.between(first - most, last + most):
            item = made.get(due)
            if item is None:
                day = self._business_days.adjusted(due, flow.rule)
                item = made[due] = self._item(flow, due, day)
            if first <= item.day <= last:
                found.append(item)
        return found

    def _item(self, flow: _Flow, due: date, day: date) -> MoneyItem:
        thing = flow.thing
        paid = flow.paid.get(due)
        collected = thing.collected if isinstance(thing, Bill) else True
        return MoneyItem(
            kind=MoneyKind.BILL if isinstance(thing, Bill) else MoneyKind.PAY,
            id=thing.id,
            title=thing.title,
            day=day,
            due=due,
            amount=thing.amount,
            currency=thing.currency or self._currency,
            collected=collected,
            business=thing.business,
            paid_on=paid.on if paid is not None else None,
            paid_amount=paid.amount if paid is not None else None,
            person=thing.person if isinstance(thing, PayDay) else None,
            only_for=thing.only_for,
            overdue=not collected and paid is None and day < self._today,
        )

    def _take_goal(self, goal: Goal, flow: _Flow | None) -> None:
        dues = [] if flow is None else flow.repeats.between(goal.start, goal.end)
        if not dues or flow is None:
            self.problems += (_no_steps(goal),)
            return
        for due, amount in zip(dues, split(goal.amount, len(dues)), strict=True):
            day = self._business_days.adjusted(due, flow.rule)
            self._steps.setdefault(day, []).append(self._step(goal, flow, due, day, amount))

    def _step(self, goal: Goal, flow: _Flow, due: date, day: date, amount: int) -> MoneyItem:
        pay = flow.thing
        return MoneyItem(
            kind=MoneyKind.STEP,
            id=goal.id,
            title=goal.title,
            day=day,
            due=due,
            amount=amount,
            currency=goal.currency or pay.currency or self._currency,
            business=pay.business,
            person=pay.person if isinstance(pay, PayDay) else None,
            only_for=goal.only_for,
        )


def _is_to_pay(item: MoneyItem) -> bool:
    return not item.collected and item.paid_on is None


def _repeats(thing: Bill | PayDay) -> Repeats:
    from weeksync.plan.repeats import Repeats

    return Repeats(thing.repeats, thing.first, thing.until)


def _order(item: MoneyItem) -> tuple[date, int, str, str, date]:
    return (item.day, _KINDS.index(item.kind), item.title.casefold(), item.id, item.due)


def _no_steps(goal: Goal) -> Problem:
    """A goal whose sum cannot be spread; its name is not said, it may be a surprise."""
    return Problem(
        ProblemKind.MISTAKE,
        message(
            "a goal from {start} to {end} has no pay date in that time",
            start=goal.start.isoformat(),
            end=goal.end.isoformat(),
        ),
        Place("money.toml"),
        message("name a pay day that falls between start and end"),
    )
