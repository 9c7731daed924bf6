"""Week rules, weekends and names: CLDR's data, whatever locale was read before."""

from __future__ import annotations

import itertools
import json
import subprocess
import sys

import pytest

from weeksync.errors import HouseholdError
from weeksync.language import Language, Width, week_rule, weekend
from weeksync.model.fields import Weekday

LOCALES = ("he", "ja", "de", "de_AT", "pl", "cs", "ar_EG", "ru", "fi", "en_GB")

FRESH = """
import json, sys
from babel import Locale
names = Locale.parse(sys.argv[1]).months["stand-alone"]
print(json.dumps([[names[w][n] for n in range(1, 13)] for w in ("wide", "abbreviated", "narrow")]))
"""
"""What Babel says in a process that has seen no other locale: the truth to hold ours against."""


@pytest.fixture(scope="module")
def alone() -> dict[str, list[list[str]]]:
    """The stand-alone month names of each locale, each from a process of its own."""
    return {
        name: json.loads(
            subprocess.run(
                [sys.executable, "-c", FRESH, name], check=True, capture_output=True
            ).stdout
        )
        for name in LOCALES
    }


def names(language: Language) -> list[list[str]]:
    """The same names as `FRESH` prints, from our side."""
    widths: tuple[Width, ...] = ("wide", "abbreviated", "narrow")
    return [[language.month(number, width) for number in range(1, 13)] for width in widths]


@pytest.mark.parametrize(("first", "second"), list(itertools.permutations(LOCALES, 2)))
def test_one_locale_does_not_spoil_another(
    first: str, second: str, alone: dict[str, list[list[str]]]
) -> None:
    """Stand-alone month names are right in either order.

    Babel 2.18 failed it: python-babel issue 1234; 2.19, the least we take, has that mended.
    """
    one, two = Language(first), Language(second)
    assert names(two) == alone[second]
    assert names(one) == alone[first]


@pytest.mark.parametrize(
    ("locale", "first", "least"),
    [("en_GB", 0, 4), ("en_US", 6, 1), ("pt_PT", 6, 4), ("ar_EG", 5, 1), ("en_AU", 0, 1)],
)
def test_week_rules_of_five_territories(locale: str, first: int, least: int) -> None:
    """First weekday and minimum days are those of CLDR 49's week data."""
    rule = week_rule(locale)
    assert (rule.first_weekday, rule.min_days) == (first, least)


def test_the_household_may_choose_its_first_weekday() -> None:
    """A chosen first weekday replaces the territory's; the minimum of days stays."""
    rule = week_rule("en_US", "US", Weekday.MONDAY)
    assert (rule.first_weekday, rule.min_days) == (0, 1)


@pytest.mark.parametrize(
    ("locale", "region", "first"), [("en", "GB-ENG", 0), ("en", "US-CA", 6), ("en", "", 6)]
)
def test_a_locale_without_territory_asks_the_region(locale: str, region: str, first: int) -> None:
    """`en` alone says nothing about weeks: the region decides, then the likely territory."""
    assert week_rule(locale, region).first_weekday == first


def test_the_locales_territory_wins_over_the_region() -> None:
    """Public holidays may be those of another region without turning the pages' weeks."""
    assert week_rule("en_GB", "US").first_weekday == 0


@pytest.mark.parametrize(
    ("region", "days"),
    [
        ("GB-ENG", {5, 6}),
        ("EG", {4, 5}),
        ("AF", {3, 4}),
        ("IR", {4}),
        ("IN", {6}),
        ("", {5, 6}),
        ("AQ", {5, 6}),
    ],
)
def test_weekends(region: str, days: set[int]) -> None:
    """Weekends are those of CLDR 49; an unknown or absent region has Saturday and Sunday."""
    assert weekend(region) == days


@pytest.mark.parametrize("name", ["xx_YY", "", "en_GB_", "not a locale", "12"])
def test_no_such_locale_is_said_with_a_remedy(name: str) -> None:
    """A locale that CLDR lacks is a mistake of the household, with what to write instead."""
    with pytest.raises(HouseholdError, match="as en_GB or de_AT"):
        Language(name)
