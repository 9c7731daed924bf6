"""How often a year pays: counts per year, and what the anchor and the business-day rule do to it.

The dates were computed apart from this project, with python-dateutil; where web pages disagree
(26 or 27 fortnightly dates in 2026) the answer depends on the first one.
"""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import EXPECTED, files
from weeksync.model.money import BusinessDayRule, PayDay
from weeksync.model.money_item import MoneyItem
from weeksync.plan.business_days import BusinessDays
from weeksync.plan.money import Money
from weeksync.plan.public_holidays import PublicHolidays

WEEKLY = "FREQ=WEEKLY"
FORTNIGHTLY = "FREQ=WEEKLY;INTERVAL=2"
FOUR_WEEKLY = "FREQ=WEEKLY;INTERVAL=4"
MON, TUE, WED, THU, FRI = range(5)


def pays(
    first: date, repeats: str, year: int, rule: BusinessDayRule = BusinessDayRule.NONE
) -> list[MoneyItem]:
    """The pays that come in a year, by the day they come."""
    pay = PayDay(id="pay", title="Pay", first=first, repeats=repeats, rule=rule)
    household = files(pay_days=(pay,))
    asked = Money(household, BusinessDays(PublicHolidays("GB-ENG", "en_GB").holds))
    return list(asked.within(date(year, 1, 1), date(year, 12, 31)))


def first_of(year: int, weekday: int) -> date:
    """The first such weekday of a year."""
    return next(
        day for number in range(1, 8) if (day := date(year, 1, number)).weekday() == weekday
    )


@pytest.mark.parametrize(
    ("year", "weekdays"),
    [(2026, {THU}), (2027, {FRI}), (2029, {MON}), (2030, {TUE}), (2031, {WED}), (2032, {THU, FRI}),
     (2028, set())],
)  # fmt: skip
def test_weekly_pay_comes_52_or_53_times(year: int, weekdays: set[int]) -> None:
    """53 where the year begins on the weekday, or a leap year on the day before (computed).

    2028 begins on a Saturday: of the days from Monday to Friday none comes 53 times.
    """
    counts = {day: len(pays(first_of(year, day), WEEKLY, year)) for day in range(5)}
    assert counts == {day: 53 if day in weekdays else 52 for day in range(5)}


@pytest.mark.parametrize(
    ("first", "count"),
    [
        ("2025-01-01", 27), ("2026-01-01", 27), ("2027-01-01", 27), ("2031-01-01", 27),
        ("2032-01-01", 27), ("2032-01-02", 27),
        ("2026-01-02", 26), ("2026-01-08", 26), ("2027-01-08", 26), ("2032-01-03", 26),
    ],
)  # fmt: skip
def test_fortnightly_pay_comes_26_or_27_times(first: str, count: int) -> None:
    """Counted from the first pay date, never from a table of years (computed)."""
    anchor = date.fromisoformat(first)
    assert len(pays(anchor, FORTNIGHTLY, anchor.year)) == count


@pytest.mark.parametrize(("first", "months"), [("2026-01-02", [1, 7]), ("2026-01-09", [5, 10])])
def test_months_with_three_fortnightly_pays(first: str, months: list[int]) -> None:
    """Fridays of 2026: from 2 January in January and July, from the 9th in May and October."""
    by_month = Counter(one.day.month for one in pays(date.fromisoformat(first), FORTNIGHTLY, 2026))
    assert [month for month, count in by_month.items() if count == 3] == months


@pytest.mark.parametrize(
    ("repeats", "count"),
    [("FREQ=MONTHLY;BYMONTHDAY=15,-1", 24), ("FREQ=MONTHLY;BYMONTHDAY=15", 12), (FOUR_WEEKLY, 13)],
)
def test_other_counts_of_a_year(repeats: str, count: int) -> None:
    """Twice a month 24, monthly 12, four-weekly 13 in most years (computed)."""
    assert len(pays(date(2026, 1, 15), repeats, 2026)) == count


def test_fourteen_four_weekly_dates_and_thirteen_pays() -> None:
    """From Friday 1 January 2027: 14 dates, of which the first is paid the year before."""
    first = date(2027, 1, 1)
    assert len(pays(first, FOUR_WEEKLY, 2027)) == EXPECTED["pay_count_nominal_2027"] == 14
    moved = pays(first, FOUR_WEEKLY, 2027, BusinessDayRule.PRECEDING)
    assert len(moved) == EXPECTED["pay_count_actual_2027"] == 13
    before = pays(first, FOUR_WEEKLY, 2026, BusinessDayRule.PRECEDING)
    assert [(one.due, one.day) for one in before] == [(first, date(2026, 12, 31))]


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(st.dates(date(2000, 1, 1), date(2100, 12, 31)), st.sampled_from([1, 2, 4]))
def test_the_count_of_a_year_is_that_of_its_days(first: date, weeks: int) -> None:
    """Against counting by ordinals: every `weeks` weeks from the anchor to the end of the year."""
    rule = f"FREQ=WEEKLY;INTERVAL={weeks}"
    end = date(first.year, 12, 31)
    assert len(pays(first, rule, first.year)) == (end - first).days // (7 * weeks) + 1
