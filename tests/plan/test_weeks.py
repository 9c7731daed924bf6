"""Weeks by ISO 8601 and by CLDR, held against published examples and against Babel."""

from __future__ import annotations

from datetime import date

import pytest
from babel import Locale

from tests.support.plans import planner
from weeksync.model.week import IsoWeek, Month, WeekRule

PUBLISHED = [
    ("1985-04-12", "1985-W15", 5),
    ("1995-01-01", "1994-W52", 7),
    ("1996-12-31", "1997-W01", 2),
    ("2003-12-29", "2004-W01", 1),
    ("2004-01-04", "2004-W01", 7),
]
"""Examples of the text of ISO 8601 and, the last two, of Python's datetime documentation (both
from memory, reproduced by computing)."""

YEARS = [
    (2019, "2018-12-31", "2020-W01", 52),
    (2020, "2019-12-30", "2020-W53", 53),
    (2021, "2021-01-04", "2021-W52", 52),
    (2022, "2022-01-03", "2022-W52", 52),
    (2023, "2023-01-02", "2023-W52", 52),
    (2024, "2024-01-01", "2025-W01", 52),
    (2025, "2024-12-30", "2026-W01", 52),
    (2026, "2025-12-29", "2026-W53", 53),
    (2027, "2027-01-04", "2027-W52", 52),
    (2028, "2028-01-03", "2028-W52", 52),
    (2032, "2031-12-29", "2032-W53", 53),
]
"""(year, Monday of W01, week of 31 December, weeks), by the rule of ISO 8601-1:2019 (computed)."""

LONG_YEARS = [
    1981, 1987, 1992, 1998, 2004, 2009, 2015, 2020, 2026, 2032, 2037, 2043, 2048, 2054, 2060,
]  # fmt: skip

TERRITORIES = {
    "GB": (0, 4),
    "US": (6, 1),
    "AU": (0, 1),
    "PT": (6, 4),
    "EG": (5, 1),
}
"""First weekday (0 Monday) and minimum days in week 1 of CLDR 49."""

NUMBERS = {
    "2026-12-26": {"GB": (2026, 52), "US": (2026, 52), "AU": (2026, 52), "PT": (2026, 51),
                   "EG": (2027, 1)},
    "2026-12-27": {"GB": (2026, 52), "US": (2027, 1), "AU": (2026, 52), "PT": (2026, 52),
                   "EG": (2027, 1)},
    "2026-12-31": {"GB": (2026, 53), "US": (2027, 1), "AU": (2027, 1), "PT": (2026, 52),
                   "EG": (2027, 1)},
    "2027-01-03": {"GB": (2026, 53), "US": (2027, 2), "AU": (2027, 1), "PT": (2027, 1),
                   "EG": (2027, 2)},
    "2027-01-04": {"GB": (2027, 1), "US": (2027, 2), "AU": (2027, 2), "PT": (2027, 1),
                   "EG": (2027, 2)},
}  # fmt: skip
"""Week numbers of the same days by the rules of those territories (computed apart)."""


@pytest.mark.parametrize(("text", "week", "weekday"), PUBLISHED)
def test_published_week_dates(text: str, week: str, weekday: int) -> None:
    """A date lies in the week, and on the day of it, that the published example gives."""
    day = date.fromisoformat(text)
    assert str(IsoWeek.of(day)) == week
    assert WeekRule().days(IsoWeek.parse(week))[weekday - 1] == day


@pytest.mark.parametrize(("year", "monday", "end", "weeks"), YEARS)
def test_years_have_their_weeks(year: int, monday: str, end: str, weeks: int) -> None:
    """A year's first week begins, and its last day lies, where the table says."""
    assert IsoWeek(year, 1).monday == date.fromisoformat(monday)
    assert str(IsoWeek.of(date(year, 12, 31))) == end
    assert IsoWeek.of(date(year, 12, 28)).number == weeks


def test_years_with_53_weeks() -> None:
    """The long years of 1980 to 2060 are these, and 71 of any 400."""

    def long(year: int) -> bool:
        return WeekRule().number(date(year, 12, 28)) == (year, 53)

    assert [year for year in range(1980, 2061) if long(year)] == LONG_YEARS
    assert sum(long(year) for year in range(2000, 2400)) == 71


@pytest.mark.parametrize("territory", TERRITORIES)
def test_territories_are_as_cldr_has_them(territory: str) -> None:
    """The rules used here are those of CLDR, as Babel carries it."""
    locale = Locale.parse(f"und_{territory}")
    assert (locale.first_week_day, locale.min_week_days) == TERRITORIES[territory]


@pytest.mark.parametrize("text", NUMBERS)
def test_numbers_by_territory(text: str) -> None:
    """The same day bears the number that the people of each territory give its week."""
    day = date.fromisoformat(text)
    numbers = {name: WeekRule(*rule).number(day) for name, rule in TERRITORIES.items()}
    assert numbers == NUMBERS[text]


@pytest.mark.parametrize("territory", TERRITORIES)
def test_every_day_lies_in_the_spread_that_claims_it(territory: str) -> None:
    """Whatever the first weekday, a spread is seven days round the Thursday of its ISO week."""
    rule = WeekRule(*TERRITORIES[territory])
    asked = planner(rule=rule)
    for week in (IsoWeek(2026, 52), IsoWeek(2026, 53), IsoWeek(2027, 1), IsoWeek(2027, 12)):
        spread = asked.week(week)
        days = [day.date for day in spread.days]
        assert spread.week == week
        assert days[0].weekday() == rule.first_weekday
        assert week.thursday in days
        assert {day.week for day in spread.days} == {week}


@pytest.mark.parametrize("territory", TERRITORIES)
def test_a_month_is_full_weeks(territory: str) -> None:
    """A month overview is whole weeks that together hold each of its days once."""
    rule = WeekRule(*TERRITORIES[territory])
    for month in (Month(2027, 2), Month(2027, 3), Month(2026, 12), Month(2028, 2)):
        plan = planner(rule=rule).month(month)
        days = [day.date for _, week in plan.weeks for day in week]
        assert all(len(week) == 7 for _, week in plan.weeks)
        assert all(day.week == week for week, row in plan.weeks for day in row)
        assert days == sorted(set(days))
        assert days[0] <= month.first < month.last <= days[-1]
        assert plan.weeks[0][1][-1].date >= month.first
        assert plan.weeks[-1][1][0].date <= month.last
