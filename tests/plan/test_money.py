"""Bills, pay days and goals, held against the demo household's figures computed apart."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import EXPECTED, config, files, planner
from weeksync.model.household import HouseholdFiles
from weeksync.model.money import Bill, BusinessDayRule, Goal, Paid, PayDay
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.week import IsoWeek
from weeksync.plan.business_days import BusinessDays
from weeksync.plan.money import Money, split
from weeksync.plan.public_holidays import PublicHolidays

FOUR_WEEKLY = PayDay(
    id="class",
    title="Evening class",
    amount=31200,
    first=date(2027, 1, 1),
    repeats="FREQ=WEEKLY;INTERVAL=4;BYDAY=FR",
    person="ines",
)


def money(**parts: Any) -> Money:
    """The money of a household in England."""
    return Money(files(**parts), BusinessDays(PublicHolidays("GB-ENG", "en_GB").holds))


def monthly(title: str, day: int, **keys: Any) -> Bill:
    """A bill on that day of each month of 2027, its id made of its title."""
    rule = f"FREQ=MONTHLY;BYMONTHDAY={day}"
    thing = "".join(letter for letter in title.lower() if letter.isalnum())
    return Bill(id=thing, title=title, first=date(2027, 1, day), repeats=rule, **keys)


def moved(items: tuple[MoneyItem, ...]) -> list[tuple[str, str]]:
    """(due date, day) of each item."""
    return [(one.due.isoformat(), one.day.isoformat()) for one in items]


def test_four_weekly_pay() -> None:
    """The pay dates of 2027 and the days on which they are paid."""
    found = money(pay_days=(FOUR_WEEKLY,)).within(date(2026, 12, 1), date(2027, 12, 31))
    assert moved(found) == [tuple(pair) for pair in EXPECTED["four_weekly_pay"]]


def test_nominal_and_actual_pay_are_counted_apart() -> None:
    """Of 14 pay dates of 2027 thirteen are paid in that year: the first moves to 2026."""
    asked = money(pay_days=(FOUR_WEEKLY,))
    around = asked.within(date(2026, 12, 1), date(2028, 1, 31))
    paid_in_2027 = asked.within(date(2027, 1, 1), date(2027, 12, 31))
    assert sum(one.due.year == 2027 for one in around) == EXPECTED["pay_count_nominal_2027"]
    assert len(paid_in_2027) == EXPECTED["pay_count_actual_2027"]


def test_bills_of_the_demo_weeks() -> None:
    """Four bills and the pay of two weeks around Easter go where they are expected."""
    asked = money(
        bills=(
            monthly("Broadband 24th (F)", 24),
            monthly("Water 26th (F)", 26),
            monthly("Council tax 28th (F)", 28),
            monthly("Rent 1st (F)", 1),
        ),
        pay_days=(
            PayDay(id="pay", title="Pay 28th (P)", first=date(2027, 1, 28),
                   repeats="FREQ=MONTHLY;BYMONTHDAY=28"),
        ),
    )  # fmt: skip
    found = asked.within(date(2027, 3, 22), date(2027, 4, 4))
    assert {one.title: one.day.isoformat() for one in found} == EXPECTED["bills_W12_W13"]


def test_steps_of_a_goal() -> None:
    """1200.00 over nine pay dates: three steps of 133.34 and six of 133.33, on the paid days."""
    goal = Goal(id="bench", title="Bench", amount=120_000, pay_day="class",
                start=date(2027, 1, 29), end=date(2027, 9, 10))  # fmt: skip
    found = money(pay_days=(FOUR_WEEKLY,), goals=(goal,)).within(
        date(2027, 1, 1), date(2027, 12, 31)
    )
    steps = [one for one in found if one.kind is MoneyKind.STEP]
    wanted = EXPECTED["saving_1200"]
    assert len(steps) == wanted["dates"]
    assert [one.amount for one in steps] == wanted["minor_units"]
    assert sum(one.amount or 0 for one in steps) == wanted["sum"]
    assert (steps[2].due, steps[2].day) == (date(2027, 3, 26), date(2027, 3, 25))
    assert {one.person for one in steps} == {"ines"}


def test_a_goal_without_a_pay_date_is_told_without_its_name() -> None:
    """The line says where and what to do; what is saved for may be a surprise."""
    goal = Goal(id="gift", title="Gift for Dov", amount=5000, pay_day="class",
                start=date(2027, 1, 2), end=date(2027, 1, 20))  # fmt: skip
    asked = planner(files(pay_days=(FOUR_WEEKLY,), goals=(goal,)))
    (problem,) = asked.problems
    assert "2027-01-02" in str(problem)
    assert problem.remedy is not None
    assert "Dov" not in str(problem)
    assert asked.week(IsoWeek(2027, 1)).problems == (problem,)


@pytest.mark.parametrize(
    ("amount", "parts", "split_up"),
    [
        (100_000, 3, (33_334, 33_333, 33_333)),
        (120_000, 9, (13_334,) * 3 + (13_333,) * 6),
        (2, 3, (1, 1, 0)),
        (7, 1, (7,)),
    ],
)
def test_sums_are_split_by_largest_remainder(
    amount: int, parts: int, split_up: tuple[int, ...]
) -> None:
    """1000.00 in three is 333.34 + 333.33 + 333.33 (common practice), nothing is lost."""
    assert split(amount, parts) == split_up


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(st.integers(1, 10**9), st.integers(1, 400))
def test_a_split_is_whole_and_even(amount: int, parts: int) -> None:
    """The parts give the sum again and differ by one minor unit at most."""
    found = split(amount, parts)
    assert len(found) == parts
    assert sum(found) == amount
    assert max(found) - min(found) <= 1


def by_remainders(amount: int, parts: int) -> list[int]:
    """Largest remainder in exact fractions: floors first, the rest where most is missing."""
    quota = Fraction(amount, parts)
    floors = [quota.numerator // quota.denominator] * parts
    missing = [quota - floor for floor in floors]
    order = sorted(range(parts), key=lambda place: (-missing[place], place))
    for place in order[: amount - sum(floors)]:
        floors[place] += 1
    return floors


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(st.integers(1, 10**12), st.integers(1, 200))
def test_a_split_is_that_of_the_largest_remainders(amount: int, parts: int) -> None:
    """Against the method in exact fractions; equal remainders go to the earlier parts."""
    assert list(split(amount, parts)) == by_remainders(amount, parts)


def test_bills_to_be_paid_by_hand_within_days() -> None:
    """Those whose day lies in them and that are not paid yet; collected ones are no matter."""
    paid = Paid(due=date(2027, 3, 25), on=date(2027, 3, 20))
    asked = money(
        bills=(
            monthly("tax", 28, collected=False),  # Sunday: to be paid on Thursday 25
            monthly("milk", 25, collected=False, paid=(paid,)),
            monthly("rent", 25),
            monthly("late", 30, collected=False),
        ),
    )
    found = asked.by_hand(date(2027, 3, 22), date(2027, 3, 29))
    assert [(one.id, one.day) for one in found] == [("tax", date(2027, 3, 25))]


def test_payments_by_the_day_they_were_made() -> None:
    """A bill of February paid in March is found in March, with what was paid for it."""
    paid = Paid(due=date(2027, 2, 28), on=date(2027, 3, 2), amount=140)
    asked = money(bills=(monthly("tax", 28, amount=142, paid=(paid,)),))
    (found,) = asked.paid(date(2027, 3, 1), date(2027, 3, 31))
    assert (found.due, found.day, found.paid_on) == (
        date(2027, 2, 28), date(2027, 3, 1), date(2027, 3, 2),
    )  # fmt: skip
    assert (found.amount, found.sum) == (142, 140)
    assert asked.paid(date(2027, 2, 1), date(2027, 2, 28)) == ()


@pytest.mark.parametrize(
    ("bill", "is_overdue"),
    [
        (monthly("hand", 23, collected=False), True),
        (monthly("today", 24, collected=False), False),
        (monthly("collected", 23), False),
        (monthly("paid", 23, collected=False,
                 paid=(Paid(due=date(2027, 3, 23), on=date(2027, 3, 23)),)), False),
    ],
    ids=lambda one: str(getattr(one, "title", one)),
)  # fmt: skip
def test_what_is_overdue_on_its_day(bill: Bill, is_overdue: bool) -> None:
    """On Wednesday 24 March: unpaid, by hand, and its day is over."""
    found = _money_of(planner(files(bills=(bill,))).week(IsoWeek(2027, 12)).days)
    assert [one.overdue for one in found] == [is_overdue]


def test_twice_a_month() -> None:
    """The 15th and the last day, each moved by the preceding rule, in the first half of 2026.

    Moved by hand: 15 February and 31 January and others fall on weekends, 15 March on a Sunday.
    """
    pay = PayDay(id="pay", title="Pay", first=date(2026, 1, 15),
                 repeats="FREQ=MONTHLY;BYMONTHDAY=15,-1")  # fmt: skip
    found = money(pay_days=(pay,)).within(date(2026, 1, 1), date(2026, 6, 30))
    assert [f"{one.day:%m-%d}" for one in found] == [
        "01-15", "01-30", "02-13", "02-27", "03-13", "03-31",
        "04-15", "04-30", "05-15", "05-29", "06-15", "06-30",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("bill", "rule"),
    [
        (monthly("a", 1), BusinessDayRule.FOLLOWING),
        (monthly("a", 1, collected=False), BusinessDayRule.PRECEDING),
        (monthly("a", 1, rule=BusinessDayRule.NONE), BusinessDayRule.NONE),
    ],
)
def test_the_rule_where_none_is_written(bill: Bill, rule: BusinessDayRule) -> None:
    """Collected bills follow, bills paid by hand precede, and what is written wins."""
    assert bill.day_rule is rule


def test_a_bill_moved_into_a_week_is_found_there_and_only_there() -> None:
    """Council tax of Sunday 28 March is collected on Tuesday 30, in the next week."""
    asked = planner(files(bills=(monthly("tax", 28),)))
    assert _money_of(asked.week(IsoWeek(2027, 12)).days) == []
    (found,) = _money_of(asked.week(IsoWeek(2027, 13)).days)
    assert (found.due, found.day, found.moved) == (date(2027, 3, 28), date(2027, 3, 30), True)


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(
    st.integers(1, 28),
    st.sampled_from(list(BusinessDayRule)),
    st.integers(1, 20),
    st.booleans(),
)
def test_every_due_date_moves_into_exactly_one_span(
    day: int, rule: BusinessDayRule, length: int, collected: bool
) -> None:
    """Windows laid end to end over two years hold each due date once, moved or not."""
    bill = monthly("bill", day, rule=rule, collected=collected)
    asked = money(bills=(bill,))
    first, last = date(2026, 12, 1), date(2029, 1, 31)
    found: list[date] = []
    start = first
    while start <= last:
        end = min(date.fromordinal(start.toordinal() + length - 1), last)
        found += [one.due for one in asked.within(start, end)]
        start = date.fromordinal(end.toordinal() + 1)
    within = [due for due in sorted(found) if due.year in (2027, 2028)]
    assert within == [date(year, month, day) for year in (2027, 2028) for month in range(1, 13)]


def test_until_is_the_last_due_date() -> None:
    """A bill ends with `until`, though that day itself is still due."""
    asked = money(bills=(monthly("lease", 5, until=date(2027, 3, 5)),))
    found = asked.within(date(2027, 1, 1), date(2027, 12, 31))
    assert [one.due.month for one in found] == [1, 2, 3]


def test_payments_are_known_by_the_due_date_they_were_for() -> None:
    """Tax due on Sunday 28 February was moved to 1 March and paid then, with another amount."""
    paid = Paid(due=date(2027, 2, 28), on=date(2027, 3, 1), amount=14_000)
    asked = money(bills=(monthly("tax", 28, amount=14_200, paid=(paid,)),), currency="GBP")
    february, march = asked.within(date(2027, 2, 20), date(2027, 3, 31))
    assert (february.day, february.paid_on, february.paid_amount) == (
        date(2027, 3, 1), date(2027, 3, 1), 14_000,
    )  # fmt: skip
    assert (march.paid_on, march.amount, march.currency) == (None, 14_200, "GBP")


def overdue(*bills: Bill) -> tuple[HouseholdFiles, list[str]]:
    """The files with those bills, and the decisions of the week of 24 March 2027."""
    household = files(bills=bills)
    spread = planner(household).week(IsoWeek(2027, 12))
    return household, [str(text) for text in spread.decisions]


def test_an_unpaid_bill_stays_in_sight() -> None:
    """A bill paid by hand and due on Monday is asked about on Wednesday, in that week only."""
    household, decisions = overdue(monthly("Milk", 22, collected=False))
    assert decisions == [
        "“Milk” was to be paid 3 times since 2027-01-22: pay, or write down what was paid"
    ]
    assert planner(household).week(IsoWeek(2027, 11)).decisions == ()
    assert planner(household).week(IsoWeek(2027, 13)).decisions == ()


@pytest.mark.parametrize(
    "bill",
    [
        monthly("collected", 22),
        monthly("due today", 24, collected=False, paid=(
            Paid(due=date(2027, 1, 24), on=date(2027, 1, 22)),
            Paid(due=date(2027, 2, 24), on=date(2027, 2, 24)),
        )),
        Bill(id="old", title="older than a quarter", first=date(2026, 10, 1), collected=False),
    ],
    ids=lambda bill: str(bill.title),
)  # fmt: skip
def test_what_is_not_asked_about(bill: Bill) -> None:
    """What is collected, not yet over, paid, or older than a quarter."""
    assert overdue(bill)[1] == []


def test_the_household_s_own_holiday_moves_money() -> None:
    """A bill on a day the household added as a holiday goes to the next business day."""
    settings = config(holidays=[{"date": date(2027, 3, 24), "name": "Fair"}])
    asked = planner(files(settings, bills=(monthly("tax", 24),)))
    (found,) = _money_of(asked.week(IsoWeek(2027, 12)).days)
    assert found.day == date(2027, 3, 25)


def test_the_order_of_a_day() -> None:
    """Pay comes first, then the step, then bills by title."""
    goal = Goal(id="bench", title="Bench", amount=100, pay_day="pay", start=date(2027, 3, 24),
                end=date(2027, 3, 24))  # fmt: skip
    pay = PayDay(id="pay", title="Pay", first=date(2027, 3, 24))
    bills = (monthly("water", 24), monthly("Broadband", 24))
    asked = planner(files(bills=bills, pay_days=(pay,), goals=(goal,)))
    found = asked.day(date(2027, 3, 24)).money
    assert [one.title for one in found] == ["Pay", "Bench", "Broadband", "water"]


def _money_of(days: Any) -> list[MoneyItem]:
    return [item for day in days for item in day.money]
