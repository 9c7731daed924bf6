"""ISO 8601 weeks, and weeks as territories count them, against published examples."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.week import IsoWeek, Month, WeekRule, days_between

ISO_EXAMPLES = {
    # ISO 8601's own examples of week dates (from memory; the standard is a paid text).
    date(1985, 4, 12): ("1985-W15", 5),
    date(1995, 1, 1): ("1994-W52", 7),
    date(1996, 12, 31): ("1997-W01", 2),
    # Python documentation, datetime.date.isocalendar.
    date(2003, 12, 29): ("2004-W01", 1),
    date(2004, 1, 4): ("2004-W01", 7),
}

LONG_YEARS = (1981, 1987, 1992, 1998, 2004, 2009, 2015, 2020, 2026, 2032, 2037, 2043, 2048, 2054)
"""Years of 53 weeks by the rule RFC 5545 section 3.3.10 restates: 1 January is a Thursday, or a
leap year's is a Wednesday."""

TERRITORIES = {
    # weeks of 26, 27, 31 December 2026, 3 and 4 January 2027, computed with Babel's CLDR 49 data
    WeekRule(0, 4): ((2026, 52), (2026, 52), (2026, 53), (2026, 53), (2027, 1)),  # ISO, GB, DE
    WeekRule(6, 1): ((2026, 52), (2027, 1), (2027, 1), (2027, 2), (2027, 2)),  # US
    WeekRule(0, 1): ((2026, 52), (2026, 52), (2027, 1), (2027, 1), (2027, 2)),  # AU, NZ
    WeekRule(6, 4): ((2026, 51), (2026, 52), (2026, 52), (2027, 1), (2027, 1)),  # PT
    WeekRule(5, 1): ((2027, 1), (2027, 1), (2027, 1), (2027, 2), (2027, 2)),  # EG
}

dates = st.dates(date(1900, 1, 1), date(2199, 12, 31))
rules = st.builds(WeekRule, st.integers(0, 6), st.integers(1, 7))


@pytest.mark.parametrize(("day", "expected"), ISO_EXAMPLES.items(), ids=str)
def test_published_examples(day: date, expected: tuple[str, int]) -> None:
    """The week of a day, and its place in it."""
    week = IsoWeek.of(day)
    assert (str(week), (day - week.monday).days + 1) == expected
    assert IsoWeek.parse(expected[0]) == week


def test_years_of_53_weeks() -> None:
    """The rule and the list agree, and only those years have a week 53."""
    by_rule = [
        year
        for year in range(1980, 2056)
        if date(year, 1, 1).weekday() == 3
        or (date(year, 1, 1).weekday() == 2 and date(year, 12, 31).timetuple().tm_yday == 366)
    ]
    assert tuple(by_rule) == LONG_YEARS
    for year in range(1980, 2056):
        if year in LONG_YEARS:
            assert IsoWeek(year, 53).shifted(1) == IsoWeek(year + 1, 1)
        else:
            with pytest.raises(ValueError, match="53"):
                IsoWeek(year, 53)


@pytest.mark.parametrize(
    "text",
    ["2027-W1", "2027W12", "2027-W54", "2027-W00", "27-W12", "2027-W12-1", "２０２７-W12", ""],
)
def test_what_is_no_week(text: str) -> None:
    """Only the extended form of ISO 8601, in ASCII digits."""
    with pytest.raises(ValueError):  # noqa: PT011 - the text of Python's own is not ours
        IsoWeek.parse(text)


@given(dates)
def test_a_week_is_monday_to_sunday_and_belongs_to_the_year_of_its_thursday(day: date) -> None:
    """The defining rule of ISO 8601."""
    week = IsoWeek.of(day)
    assert week.monday.weekday() == 0
    assert week.monday <= day < week.monday + timedelta(days=7)
    assert week.thursday.year == week.year
    assert week.shifted(1).shifted(-1) == week
    assert week < week.shifted(1)


@pytest.mark.parametrize(("rule", "numbers"), TERRITORIES.items(), ids=str)
def test_numbers_as_territories_count_them(
    rule: WeekRule, numbers: tuple[tuple[int, int], ...]
) -> None:
    """Five rules over one New Year."""
    days = [date(2026, 12, 26), date(2026, 12, 27), date(2026, 12, 31)]
    days += [date(2027, 1, 3), date(2027, 1, 4)]
    assert tuple(rule.number(day) for day in days) == numbers


@pytest.mark.parametrize("tag", ["en_GB", "en_US", "en_AU", "pt_PT", "ar_EG"])
def test_the_rules_above_are_those_of_cldr(tag: str) -> None:
    """First weekday and least days of a first week, from Babel's CLDR."""
    locale = Locale.parse(tag)
    assert WeekRule(locale.first_week_day, locale.min_week_days) in TERRITORIES


@given(dates, rules)
def test_a_spread_holds_its_thursday(day: date, rule: WeekRule) -> None:
    """Every day stands on exactly one spread, which bears the ISO week of its Thursday."""
    week = rule.week_of(day)
    days = rule.days(week)
    assert day in days
    assert week.thursday in days
    assert len(days) == 7
    assert days[0].weekday() == rule.first_weekday
    assert rule.days(week.shifted(1))[0] == days[-1] + timedelta(days=1)


@given(dates)
def test_with_the_iso_rule_the_shown_week_is_the_iso_week(day: date) -> None:
    """Monday first, four days: both ways of counting are one."""
    rule = WeekRule()
    week = IsoWeek.of(day)
    assert rule.week_of(day) == week
    assert rule.number(day) == (week.year, week.number)
    assert rule.spread_start(week) == week.monday


def test_months() -> None:
    """First and last day, and months before and after over a year's end."""
    month = Month.of(date(2028, 2, 15))
    assert (str(month), month.first, month.last) == (
        "2028-02",
        date(2028, 2, 1),
        date(2028, 2, 29),
    )
    assert month.shifted(-2) == Month(2027, 12)
    assert month.shifted(11) == Month(2029, 1)


def test_days_between_are_both_included() -> None:
    """One day where both are the same, none where the last is earlier."""
    first = date(2027, 2, 27)
    assert len(list(days_between(first, date(2027, 3, 1)))) == 3
    assert list(days_between(first, first)) == [first]
    assert list(days_between(first, first - timedelta(days=1))) == []
