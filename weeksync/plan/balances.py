"""The lowest balance of an account between two pays, where the household wrote balances down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property

from weeksync.lazy import dataclass
from weeksync.model.household import HouseholdFiles
from weeksync.model.money import Balance
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.week_plan import LowestBalance
from weeksync.plan.audiences import audiences, may_see
from weeksync.plan.money import Money

AROUND = timedelta(days=92)
"""How far before and after a week pays are looked for: a quarter, ours."""

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class _Account:
    """An account that is followed, with its balances by day; they are never empty."""

    business: bool
    currency: str
    written: tuple[Balance, ...]

    @property
    def only_for(self) -> tuple[str, ...]:
        """The persons who may see it: a balance reserved once stays so."""
        return next((one.only_for for one in self.written if one.only_for), ())


@dataclass(frozen=True, slots=True)
class _State:
    """How an account stands at the end of `day`, counted from the balance of `from_day`."""

    day: date
    amount: int
    from_day: date
    unknown: int = 0
    set_aside: int = 0


class Balances:
    """The balances of the household, counted on from those written down.

    Bills and pay of home and of business run, in each currency, over the account that
    `money.toml` lists first for it; other accounts are not followed. A balance holds from the end
    of its day; from then on every bill and pay is counted on the day it moves: a bill that is
    paid on the day it was paid, with what was paid; an overdue one today, or when the account was
    looked at today, tomorrow. Balances are those at the end of a day: what is collected in the
    morning of a pay day is not told apart from it. Steps of saving goals stay in the account and
    are told beside it.
    """

    def __init__(self, files: HouseholdFiles, money: Money, today: date) -> None:
        self._money = money
        self._today = today
        self._currency = files.currency or ""
        self._accounts = tuple(_followed(files.balances, self._currency))
        self._found: tuple[tuple[date, date], tuple[MoneyItem, ...]] | None = None

    def lowest(self, first: date, last: date) -> tuple[LowestBalance, ...]:
        """The lowest balances of the times between two pays that touch `first` to `last`.

        One for everybody, without what is only for somebody; and where that makes a difference,
        one for each person who may see more.
        """
        found: list[LowestBalance] = []
        for account in self._accounts:
            if account.written[0].day > last:
                continue
            begin = _latest(account.written, first - AROUND).day
            moves = self._moves(account, begin, last + AROUND)
            told: set[LowestBalance] = set()
            for audience in audiences(item for _, item in moves):
                if account.only_for and not set(audience) <= set(account.only_for):
                    continue
                seen = [move for move in moves if may_see(audience, move[1])]
                for low in _lowest(account, begin, seen, (first, last)):
                    if low not in told:
                        found.append(replace(low, only_for=audience or account.only_for))
                    if not audience:
                        told.add(low)
        return tuple(found)

    @cached_property
    def _late(self) -> tuple[list[MoneyItem], set[tuple[str, date]]]:
        """The overdue bills, and by which id and due date they are known."""
        late = [item for group in self._money.overdue(self._today) for item in group]
        return late, {(item.id, item.due) for item in late}

    def _within(self, begin: date, until: date) -> tuple[MoneyItem, ...]:
        """What moves in a time; asked by one account after the other, and found once."""
        if self._found is None or self._found[0] != (begin, until):
            self._found = (begin, until), self._money.within(begin, until)
        return self._found[1]

    def _moves(self, account: _Account, begin: date, until: date) -> list[tuple[date, MoneyItem]]:
        """(day, what moves on it) of one account, by day."""
        late, known = self._late
        looked = max(one.day for one in account.written)
        moves = [(max(self._today, looked + _DAY), item) for item in late]
        moves += [
            (item.day, item)
            for item in self._within(begin, until)
            if item.paid_on is None and (item.id, item.due) not in known
        ]
        moves += [(item.paid_on or item.day, item) for item in self._money.paid(begin, until)]
        pool = (account.business, account.currency)
        return sorted(
            (one for one in moves if (one[1].business, one[1].currency or "") == pool),
            key=lambda one: one[0],
        )


def _followed(balances: Iterable[Balance], currency: str) -> Iterator[_Account]:
    """The accounts that are followed, in the order of the file."""
    pools: dict[tuple[bool, str], list[Balance]] = defaultdict(list)
    for one in balances:
        known = pools[one.business, one.currency or currency]
        if not known or known[0].account == one.account:
            known.append(one)
    for (business, its), known in pools.items():
        yield _Account(business, its, tuple(sorted(known, key=lambda one: one.day)))


def _latest(written: Sequence[Balance], day: date) -> Balance:
    """The latest balance up to `day`, the first one where all are later."""
    return next((one for one in reversed(written) if one.day <= day), written[0])


def _lowest(
    account: _Account,
    begin: date,
    moves: Sequence[tuple[date, MoneyItem]],
    week: tuple[date, date],
) -> Iterator[LowestBalance]:
    """The lowest state of each time between pays that touches the week."""
    states = list(_states(account.written, begin, moves))
    pays = sorted({day for day, item in moves if item.kind is MoneyKind.PAY and day > begin})
    starts: list[date] = [begin, *pays]
    ends: list[date | None] = [*pays, None]
    for since, until in zip(starts, ends, strict=True):
        if since > week[1] or (until is not None and until <= week[0]):
            continue
        low = min(_within(states, since, until), key=lambda one: (one.amount, one.day))
        yield LowestBalance(
            account=account.written[0].account,
            currency=account.currency,
            since=since,
            until=until,
            day=low.day,
            amount=low.amount,
            from_day=low.from_day,
            unknown=low.unknown,
            set_aside=low.set_aside,
            business=account.business,
        )


def _states(
    written: Sequence[Balance], begin: date, moves: Sequence[tuple[date, MoneyItem]]
) -> Iterator[_State]:
    """The state at the end of each day from `begin` on which it changes; a balance wins."""
    looked = {one.day: one.amount for one in written if one.day >= begin}
    by_day: dict[date, list[MoneyItem]] = defaultdict(list)
    for day, item in moves:
        by_day[day].append(item)
    state = _State(begin, looked[begin], begin)
    for day in sorted({*looked, *(day for day in by_day if day > begin)}):
        seen = looked.get(day)
        state = _moved(state, day, by_day[day]) if seen is None else _State(day, seen, day)
        yield state


def _moved(state: _State, day: date, items: Iterable[MoneyItem]) -> _State:
    amount, unknown, set_aside = state.amount, state.unknown, state.set_aside
    for item in items:
        if item.kind is MoneyKind.STEP:
            set_aside += item.sum or 0
        elif item.sum is None:
            unknown += 1
        else:
            amount += item.sum if item.kind is MoneyKind.PAY else -item.sum
    return _State(day, amount, state.from_day, unknown, set_aside)


def _within(states: Sequence[_State], since: date, until: date | None) -> list[_State]:
    """The states on the days from `since` to before `until`; every pay day has one of its own."""
    return [one for one in states if since <= one.day and (until is None or one.day < until)]
