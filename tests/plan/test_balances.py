"""The lowest balance between two pays, and the week of the side business."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import files
from weeksync.model.money import Balance, Bill, BusinessDayRule, Goal, Paid, PayDay
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.week_plan import BusinessWeek, LowestBalance
from weeksync.plan.balances import Balances
from weeksync.plan.business_days import BusinessDays
from weeksync.plan.business_week import business_week
from weeksync.plan.money import Money
from weeksync.plan.public_holidays import PublicHolidays

TODAY = date(2027, 3, 24)
WEEK = (date(2027, 3, 22), date(2027, 3, 28))
PAY = PayDay(id="pay", title="Pay", amount=189_000, first=date(2027, 1, 28),
             repeats="FREQ=MONTHLY;BYMONTHDAY=28")  # fmt: skip


def monthly(ident: str, day: int, amount: int | None, **keys: Any) -> Bill:
    """A bill on that day of each month from February 2027 on."""
    rule = f"FREQ=MONTHLY;BYMONTHDAY={day}"
    first = date(2027, 2, day)
    return Bill(id=ident, title=ident, first=first, repeats=rule, amount=amount, **keys)


def balance(day: date, amount: int, account: str = "Home", **keys: Any) -> Balance:
    """What was on an account at the end of a day."""
    return Balance(account=account, day=day, amount=amount, **keys)


def lowest(week: tuple[date, date] = WEEK, **parts: Any) -> list[LowestBalance]:
    """The lowest balances that touch a week, of a household in England on 24 March 2027."""
    household = files(currency="GBP", **parts)
    money = Money(household, BusinessDays(PublicHolidays("GB-ENG", "en_GB").holds), TODAY)
    return list(Balances(household, money, TODAY).lowest(*week))


def test_the_lowest_balance_between_two_pays() -> None:
    """Counted by hand: pay on Thursday 25 March (28 is a Sunday) and on Wednesday 28 April.

    900.00 on 20 March, less broadband on the 24th 28.50, is 871.50 before pay. Then 1890.00 comes;
    council tax of Sunday 28 goes on Tuesday 30, rent on 1 April, water of the 26th on Tuesday 30
    in March and on Monday 26 April: 871.50 + 1890 − 34.20 − 142 − 815 − 28.50 − 34.20 = 1707.60.
    """
    bills = (
        monthly("broadband", 24, 2_850),
        monthly("water", 26, 3_420),
        monthly("tax", 28, 14_200),
        monthly("rent", 1, 81_500),
    )
    before, after = lowest(
        bills=bills, pay_days=(PAY,), balances=(balance(date(2027, 3, 20), 90_000),)
    )
    assert (before.since, before.until) == (date(2027, 3, 20), date(2027, 3, 25))
    assert (before.day, before.amount) == (date(2027, 3, 24), 87_150)
    assert (after.since, after.until) == (date(2027, 3, 25), date(2027, 4, 28))
    assert (after.day, after.amount) == (date(2027, 4, 26), 170_760)
    assert {(one.account, one.currency, one.from_day, one.unknown) for one in (before, after)} == {
        ("Home", "GBP", date(2027, 3, 20), 0)
    }


def test_what_is_on_the_account_itself_counts_from_the_end_of_its_day() -> None:
    """What moves on the day it was looked at is in it; a later look wins over counting on."""
    bills = (monthly("a", 22, 1_000), monthly("b", 23, 500))
    looks = (balance(date(2027, 3, 22), 10_000), balance(date(2027, 3, 26), 3_000))
    (found,) = lowest(bills=bills, balances=looks)
    assert (found.since, found.until, found.from_day) == (
        date(2027, 3, 22), None, date(2027, 3, 26),
    )  # fmt: skip
    # 10,000 − 500 on the 23rd, 3,000 seen on the 26th, then three more months of 1,500.
    assert (found.day, found.amount) == (date(2027, 6, 23), 3_000 - 3 * 1_500)


def test_a_payment_counts_on_its_day_with_its_amount() -> None:
    """A bill of the 25th paid on the 23rd, and dearer: gone on the 23rd, once."""
    paid = Paid(due=date(2027, 3, 25), on=date(2027, 3, 23), amount=700)
    bill = Bill(id="hand", title="hand", first=date(2027, 3, 25), amount=500, collected=False,
                paid=(paid,))  # fmt: skip
    (found,) = lowest(bills=(bill,), balances=(balance(date(2027, 3, 22), 1_000),))
    assert (found.day, found.amount) == (date(2027, 3, 23), 300)


@pytest.mark.parametrize(("looked", "gone"), [(22, 24), (24, 25)])
def test_an_overdue_bill_is_still_to_be_paid(looked: int, gone: int) -> None:
    """Due on Friday 19 and unpaid: counted today, or tomorrow where the account was seen today."""
    bill = Bill(id="h", title="h", first=date(2027, 3, 19), amount=500, collected=False)
    (found,) = lowest(bills=(bill,), balances=(balance(date(2027, 3, looked), 1_000),))
    assert (found.day, found.amount) == (date(2027, 3, gone), 500)


def test_what_has_no_amount_is_told() -> None:
    """An item without an amount is not guessed: it is counted as unknown."""
    bills = (monthly("a", 24, None), monthly("b", 25, 100, until=date(2027, 3, 31)))
    (found,) = lowest(bills=bills, balances=(balance(date(2027, 3, 20), 1_000),))
    assert (found.day, found.amount, found.unknown) == (date(2027, 3, 25), 900, 1)


def test_steps_of_goals_stay_in_the_account() -> None:
    """What is set aside is told beside the balance and not taken off."""
    goal = Goal(id="g", title="g", amount=2_000, pay_day="pay", start=date(2027, 3, 1),
                end=date(2027, 4, 30))  # fmt: skip
    looks = (balance(date(2027, 3, 20), 1_000),)
    _, found = lowest(pay_days=(PAY,), goals=(goal,), balances=looks)
    assert (found.amount, found.set_aside) == (190_000, 1_000)


def test_home_business_and_currencies_are_apart() -> None:
    """Each bill runs over the account of its kind and currency, the first one written down."""
    bills = (
        monthly("home", 24, 100),
        monthly("stall", 24, 200, business=True),
        monthly("euro", 24, 300, currency="EUR"),
    )
    day = date(2027, 3, 22)
    looks = (
        balance(day, 5_000),
        balance(day, 5_000, "Savings"),
        balance(day, 5_000, "Stall", business=True),
        balance(day, 5_000, "Abroad", currency="EUR"),
    )
    found = {one.account: one for one in lowest(bills=bills, balances=looks)}
    # The lowest is a quarter ahead, in June; of four bills each.
    assert {name: one.amount for name, one in found.items()} == {
        "Home": 4_600, "Stall": 4_200, "Abroad": 3_800,
    }  # fmt: skip
    assert found["Stall"].business


def test_a_surprise_is_in_nobody_else_s_balance() -> None:
    """The balance for all leaves a reserved bill out; who may see it has a figure of their own."""
    gift = Bill(id="gift", title="gift", first=date(2027, 3, 23), amount=400, only_for=("ines",))
    bill = Bill(id="bill", title="bill", first=date(2027, 3, 23), amount=100)
    looks = (balance(date(2027, 3, 22), 1_000),)
    found = lowest(bills=(gift, bill), balances=looks)
    assert [(one.only_for, one.amount) for one in found] == [((), 900), (("ines",), 500)]


def test_where_a_reserved_item_makes_no_difference_nobody_has_a_figure_of_their_own() -> None:
    """The lowest before pay comes before the gift, which only the time after pay can tell."""
    gift = Bill(id="gift", title="gift", first=date(2027, 3, 26), amount=400, only_for=("ines",))
    pay = PayDay(id="pay", title="Pay", amount=50, first=date(2027, 3, 25))
    bill = Bill(id="bill", title="bill", first=date(2027, 3, 23), amount=100)
    looks = (balance(date(2027, 3, 22), 1_000),)
    found = lowest(bills=(gift, bill), pay_days=(pay,), balances=looks)
    assert [(one.only_for, one.since.day, one.amount) for one in found] == [
        ((), 22, 900), ((), 25, 950), (("ines",), 25, 550),
    ]  # fmt: skip


def test_a_reserved_account_is_shown_to_its_persons_alone() -> None:
    """A bill reserved for somebody else does not open the account to them."""
    gift = Bill(id="gift", title="gift", first=date(2027, 3, 23), amount=400, only_for=("dov",))
    looks = (balance(date(2027, 3, 22), 1_000, only_for=("ines",)),)
    found = lowest(bills=(gift,), balances=looks)
    assert [(one.only_for, one.amount) for one in found] == [(("ines",), 1_000)]


def test_before_the_first_look_nothing_is_known() -> None:
    """No balance is counted backwards, and without any there is none."""
    assert lowest(bills=(monthly("a", 24, 100),)) == []
    assert lowest(balances=(balance(date(2027, 4, 1), 1_000),)) == []


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(
    st.lists(
        st.tuples(st.integers(0, 60), st.integers(1, 900), st.booleans()), min_size=1, max_size=12
    ),
    st.integers(0, 20),
)
def test_the_lowest_is_that_of_counting_day_by_day(
    moves: list[tuple[int, int, bool]], into: int
) -> None:
    """Against a ledger kept day by day, with every rule for business days off."""
    start = date(2027, 3, 1)
    none = BusinessDayRule.NONE
    bills, pays = [], []
    for index, (offset, amount, comes) in enumerate(moves):
        day = start + timedelta(days=offset)
        keys: dict[str, Any] = {"title": "x", "first": day, "amount": amount, "rule": none}
        if comes:
            pays.append(PayDay(id=f"p{index}", **keys))
        else:
            bills.append(Bill(id=f"b{index}", **keys))
    week = (start + timedelta(days=into), start + timedelta(days=into + 6))
    found = lowest(week, bills=tuple(bills), pay_days=tuple(pays), balances=(balance(start, 500),))

    ledger, level = {}, 500
    for day in (start + timedelta(days=offset) for offset in range(120)):
        if day > start:
            level += sum(one.amount or 0 for one in pays if one.first == day)
            level -= sum(one.amount or 0 for one in bills if one.first == day)
        ledger[day] = level
    cuts = sorted({start, *(one.first for one in pays if one.first > start)})
    wanted = []
    for since, until in zip(cuts, [*cuts[1:], None], strict=True):
        if since <= week[1] and (until is None or until > week[0]):
            end = until or week[1] + timedelta(days=93)
            wanted.append((since, until, min(ledger[d] for d in ledger if since <= d < end)))
    assert [(one.since, one.until, one.amount) for one in found] == wanted
    assert all(ledger[one.day] == one.amount for one in found)


def item(kind: MoneyKind, amount: int | None, **keys: Any) -> MoneyItem:
    """Money of the side business on a Wednesday."""
    plain: dict[str, Any] = {"business": True, "currency": "GBP"}
    return MoneyItem(kind, "x", "x", TODAY, TODAY, amount, **(plain | keys))


def test_the_week_of_the_business() -> None:
    """In and out by currency; what was paid, not what was expected; home and steps are no part."""
    items = [
        item(MoneyKind.PAY, 21_000),
        item(MoneyKind.PAY, 500, currency="EUR"),
        item(MoneyKind.BILL, 6_600, paid_on=TODAY, paid_amount=6_900),
        item(MoneyKind.BILL, None),
        item(MoneyKind.BILL, 100, business=False),
        item(MoneyKind.STEP, 100),
    ]
    assert business_week(items) == (
        BusinessWeek("EUR", 500, 0, 0),
        BusinessWeek("GBP", 21_000, 6_900, 1),
    )


def test_a_reserved_item_is_in_its_person_s_sum_alone() -> None:
    """Everybody's sum has nothing of it; a week with nothing of the business has no sums."""
    items = [item(MoneyKind.BILL, 10), item(MoneyKind.BILL, 1, only_for=("dov",))]
    assert business_week(items) == (
        BusinessWeek("GBP", 0, 10),
        BusinessWeek("GBP", 0, 11, only_for=("dov",)),
    )
    assert business_week([]) == ()
