"""Public holidays against the published list, and dates moved by ISDA's rules."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.config import Holiday
from weeksync.model.money import BusinessDayRule
from weeksync.plan.business_days import BusinessDays
from weeksync.plan.public_holidays import PublicHolidays
from weeksync.plan.repeats import Repeats

FOLLOWING = BusinessDayRule.FOLLOWING
MODIFIED = BusinessDayRule.MODIFIED_FOLLOWING
PRECEDING = BusinessDayRule.PRECEDING

BANK_HOLIDAYS = {
    2026: ["01-01", "04-03", "04-06", "05-04", "05-25", "08-31", "12-25", "12-28"],
    2027: ["01-01", "03-26", "03-29", "05-03", "05-31", "08-30", "12-27", "12-28"],
}
"""Bank holidays of England and Wales: 2026 as on pages that quote the list of gov.uk; 2027
computed, with the rule of substitute days from such a page."""

ISDA = [
    ("2026-01-31", "GB-ENG", "2026-02-02", "2026-01-30", "2026-01-30"),
    ("2026-04-03", "GB-ENG", "2026-04-07", "2026-04-07", "2026-04-02"),
    ("2026-08-31", "GB-ENG", "2026-09-01", "2026-08-28", "2026-08-28"),
    ("2026-08-31", "US", "2026-08-31", "2026-08-31", "2026-08-31"),
    ("2026-12-26", "GB-ENG", "2026-12-29", "2026-12-29", "2026-12-24"),
    ("2027-01-01", "GB-ENG", "2027-01-04", "2027-01-04", "2026-12-31"),
    ("2027-03-28", "GB-ENG", "2027-03-30", "2027-03-30", "2027-03-25"),
    ("2026-07-04", "US", "2026-07-06", "2026-07-06", "2026-07-02"),
]
"""(date, region, following, modified following, preceding): rules of 2006 ISDA Definitions
section 4.12(a) as a page quotes them in full, dates computed apart."""

LAST_WORKING_DAYS = [
    "01-30", "02-27", "03-31", "04-30", "05-29", "06-30", "07-31", "08-28", "09-30", "10-30",
    "11-30", "12-31",
]  # fmt: skip
"""Last working days of 2026 in England, computed apart; in the US August ends on the 31st."""


def business_days(region: str) -> BusinessDays:
    """The business days of a region with a Saturday–Sunday weekend."""
    return BusinessDays(PublicHolidays(region, "en_GB").holds)


@pytest.mark.parametrize("year", BANK_HOLIDAYS)
def test_days_banks_are_closed(year: int) -> None:
    """Weekdays without business are exactly the published bank holidays.

    The library also lists Saturday 26 December 2026 beside its substitute, and 25 and 26
    December 2027: counting holidays would find one or two too many.
    """
    open_days = business_days("GB-ENG")
    weekdays = (date(year, 1, 1) + timedelta(days=offset) for offset in range(365))
    closed = [d for d in weekdays if d.weekday() < 5 and not open_days.holds(d)]
    assert [f"{day:%m-%d}" for day in closed] == BANK_HOLIDAYS[year]


def test_the_list_of_the_library_is_longer_than_that_of_the_banks() -> None:
    """The trap is real: Saturday 26 December 2026 is a holiday, and its Monday is one too."""
    listed = PublicHolidays("GB-ENG", "en_GB")
    assert listed.holds(date(2026, 12, 26))
    assert listed.holds(date(2026, 12, 28))
    days = (date(2026, 1, 1) + timedelta(days=offset) for offset in range(365))
    assert sum(listed.holds(day) for day in days) == 9


def test_a_year_has_its_business_days() -> None:
    """2026 has 261 weekdays and 8 bank holidays on weekdays: 253 business days."""
    open_days = business_days("GB-ENG")
    days = [date(2026, 1, 1) + timedelta(days=offset) for offset in range(365)]
    assert sum(day.weekday() < 5 for day in days) == 261
    assert sum(open_days.holds(day) for day in days) == 253


@pytest.mark.parametrize(("day", "region", "following", "modified", "preceding"), ISDA)
def test_dates_are_moved_as_isda_says(
    day: str, region: str, following: str, modified: str, preceding: str
) -> None:
    """A date goes where each of the conventions sends it."""
    open_days = business_days(region)
    nominal = date.fromisoformat(day)
    moved = [open_days.adjusted(nominal, rule) for rule in (FOLLOWING, MODIFIED, PRECEDING)]
    assert [one.isoformat() for one in moved] == [following, modified, preceding]
    assert open_days.adjusted(nominal, BusinessDayRule.NONE) == nominal


@pytest.mark.parametrize(
    ("region", "days"),
    [
        ("GB-ENG", LAST_WORKING_DAYS),
        ("US", [*LAST_WORKING_DAYS[:7], "08-31", *LAST_WORKING_DAYS[8:]]),
    ],
)
def test_last_working_days(region: str, days: list[str]) -> None:
    """BYMONTHDAY=-1 with the preceding rule is the last working day of each month."""
    open_days = business_days(region)
    ends = Repeats("FREQ=MONTHLY;BYMONTHDAY=-1", date(2026, 1, 31))
    dues = ends.between(date(2026, 1, 1), date(2026, 12, 31))
    assert [f"{open_days.adjusted(due, PRECEDING):%m-%d}" for due in dues] == days


@pytest.mark.parametrize(
    ("day", "name"),
    [
        ("2026-07-03", "Independence Day (observed)"),
        ("2027-06-18", "Juneteenth National Independence Day (observed)"),
        ("2027-07-05", "Independence Day (observed)"),
        ("2027-12-24", "Christmas Day (observed)"),
        ("2027-12-31", "New Year's Day (observed)"),
    ],
)
def test_us_holidays_on_weekends_have_a_day_of_their_own(day: str, name: str) -> None:
    """5 U.S.C. 6103: Saturday goes to Friday, Sunday to Monday (a page quotes it; computed)."""
    assert PublicHolidays("US", "en_US").names(date.fromisoformat(day)) == (name,)


def test_another_weekend() -> None:
    """Where the weekend is Friday and Saturday (CLDR: Egypt), Sunday is a business day."""
    open_days = BusinessDays(lambda day: False, {4, 5})
    assert open_days.holds(date(2027, 3, 28))
    assert open_days.adjusted(date(2027, 3, 26), FOLLOWING) == date(2027, 3, 28)
    assert open_days.adjusted(date(2027, 3, 27), PRECEDING) == date(2027, 3, 25)


def test_where_no_day_is_a_business_day_a_date_stays() -> None:
    """A household that takes every day off the list still gets an answer."""
    never = BusinessDays(lambda day: True)
    assert never.adjusted(date(2027, 3, 24), FOLLOWING) == date(2027, 3, 24)
    assert never.adjusted(date(2027, 3, 24), PRECEDING) == date(2027, 3, 24)


@pytest.mark.parametrize(
    ("language", "name"),
    [("de_AT", "Heilige Drei Könige"), ("de", "Heilige Drei Könige"), ("en_GB", "Epiphany"),
     ("en-US", "Epiphany"), ("pt_BR", "Heilige Drei Könige")],
)  # fmt: skip
def test_names_come_in_the_language_of_the_household(language: str, name: str) -> None:
    """Else in a related one, else in the region's own, whatever the machine's locale is."""
    assert PublicHolidays("DE-BY", language).names(date(2027, 1, 6)) == (name,)


def test_without_a_language_of_the_household_names_are_in_the_region_s_own() -> None:
    """Not in the first of those there are, which is English here, nor in the machine's."""
    assert PublicHolidays("JP", "pt_BR").names(date(2027, 1, 1)) == ("元日",)
    assert PublicHolidays("JP", "en_GB").names(date(2027, 1, 1)) == ("New Year's Day",)


def test_a_part_of_a_country_has_days_of_its_own() -> None:
    """6 January is a holiday in Bavaria and not in all of Germany."""
    assert PublicHolidays("DE-BY", "de").holds(date(2027, 1, 6))
    assert not PublicHolidays("DE", "de").holds(date(2027, 1, 6))
    assert PublicHolidays("GB-ENG", "en").holds(date(2027, 3, 29))
    assert not PublicHolidays("GB", "en").holds(date(2027, 3, 29))


def test_the_household_adds_and_removes_days() -> None:
    """One-off days exist, and so do days that are none at one's own place."""
    own = [
        Holiday(date=date(2027, 5, 8), name="Saltmere Lantern Night"),
        Holiday(date=date(2027, 3, 26), remove=True),
        Holiday(date=date(2027, 3, 29), name="Easter Monday"),
    ]
    listed = PublicHolidays("GB-ENG", "en_GB", own)
    assert listed.names(date(2027, 5, 8)) == ("Saltmere Lantern Night",)
    assert not listed.holds(date(2027, 3, 26))
    assert listed.names(date(2027, 3, 29)) == ("Easter Monday",)


@pytest.mark.parametrize("region", ["ZZ", "England", "GB-ZZZ", "GB_ENG"])
def test_an_unknown_region_is_told_with_a_remedy(region: str) -> None:
    """The value is named, the place is config.toml, and the line says what to write."""
    (problem,) = PublicHolidays(region, "en_GB").problems
    assert region in str(problem.what)
    assert problem.place.file == "config.toml"
    assert problem.remedy is not None
    assert problem.counts


def test_an_unknown_part_keeps_the_days_of_its_country() -> None:
    """Good Friday is no business day in any part of the United Kingdom."""
    assert PublicHolidays("GB-ZZZ", "en_GB").holds(date(2027, 3, 26))


@pytest.mark.parametrize("region", ["", "GB", "GB-ENG", "gb-eng", "US", "DE-BY", "US-CA"])
def test_known_regions_are_no_problem(region: str) -> None:
    """Codes are taken in either case; no region at all is fine too."""
    assert PublicHolidays(region, "en_GB").problems == ()


def by_counting(day: date, closed: set[date], rule: BusinessDayRule) -> date:
    """Where a date goes, from a list of all open days (2006 ISDA Definitions section 4.12)."""
    around = [day + timedelta(days=offset) for offset in range(-40, 41)]
    open_days = [one for one in around if one.weekday() < 5 and one not in closed]
    if rule is BusinessDayRule.NONE or day in open_days:
        return day
    before = max(one for one in open_days if one < day)
    after = min(one for one in open_days if one > day)
    if rule is PRECEDING or (rule is MODIFIED and after.month != day.month):
        return before
    return after


@given(
    st.dates(date(2026, 1, 1), date(2028, 12, 31)),
    st.sets(st.integers(-9, 9)),
    st.sampled_from(list(BusinessDayRule)),
)
def test_rules_agree_with_a_list_of_open_days(
    day: date, around: set[int], rule: BusinessDayRule
) -> None:
    """Whatever days near a date are closed, it goes where a list of all open days says."""
    closed = {day + timedelta(days=offset) for offset in around}
    open_days = BusinessDays(lambda one: one in closed)
    assert open_days.adjusted(day, rule) == by_counting(day, closed, rule)
