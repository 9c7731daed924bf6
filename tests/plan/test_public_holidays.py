"""The public holidays of one country, without importing those of all others."""

from __future__ import annotations

import subprocess
import sys

import pytest

SAY = """
import sys
from weeksync.plan.public_holidays import PublicHolidays
from datetime import date, timedelta

if sys.argv[1] == "all":
    import holidays.countries
days = PublicHolidays(sys.argv[2], "en")
for number in range(365):
    day = date(2027, 1, 1) + timedelta(days=number)
    if days.names(day):
        print(day, days.names(day))
print([str(one.what) for one in days.problems])
print(sum(name.startswith("holidays.countries.") for name in sys.modules), file=sys.stderr)
"""


def said(how: str, region: str) -> tuple[str, int]:
    """What a process says of a region's year, and how many countries it imported."""
    words = [sys.executable, "-c", SAY, how, region]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    return done.stdout, int(done.stderr)


@pytest.mark.parametrize(("region", "countries"), [("GB-ENG", 1), ("GP", 2), ("GB-XX", 1)])
def test_one_country_says_the_same_with_and_without_all_others(region: str, countries: int) -> None:
    """Guadeloupe's are made from those of France; a part that is unknown is told as ever."""
    alone, imported = said("alone", region)
    assert imported == countries
    assert said("all", region)[0] == alone
    assert "2027-12-25" in alone


def test_a_country_that_nobody_knows_is_told() -> None:
    """Nothing is imported for it."""
    assert said("alone", "XX") == ("['no public holidays are known for region = \"XX\"']\n", 0)
