"""What CLDR says about a locale or a territory, read through Babel.

Babel before 2.19 let one locale spoil the stand-alone month names of the next (python-babel
issue 1234); `tests/language/test_cldr.py` holds names against those of fresh processes.
"""

from __future__ import annotations

import re
from functools import cache

from babel import Locale, UnknownLocaleError
from babel.core import get_global

from weeksync.errors import HouseholdError
from weeksync.message import message
from weeksync.model.fields import Weekday
from weeksync.model.week import WeekRule

WIDTHS = ("wide", "abbreviated", "narrow")


def locale_of(name: str) -> Locale:
    """The locale of that name, as `en_GB` or `de-AT`; HouseholdError where CLDR has none."""
    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError, TypeError) as error:
        raise HouseholdError(
            message(
                '"{name}" is no locale; write language and region of CLDR, as en_GB or de_AT',
                name=name,
            )
        ) from error


def territory_of(locale: Locale, region: str = "") -> str:
    """The territory whose habits count: of the locale, else of `region`, else the likely one.

    `region` is ISO 3166 with or without a subdivision, as GB-ENG; "001" (the world) where
    nothing is known.
    """
    if locale.territory:
        return locale.territory
    if region:
        return region.partition("-")[0].upper()
    subtags = get_global("likely_subtags")
    likely = subtags.get(str(locale)) or subtags.get(locale.language, "")
    last = str(likely).rpartition("_")[2]
    return last if len(last) == 2 and last.isupper() else "001"


_PORTUGUESE = {"AO": 0, "CV": 0, "GW": 0, "MZ": 6, "ST": 0, "TL": 0}
"""First weekdays that Babel 2.19 gets wrong, with the minimum of days: it has Portugal's there,
because CLDR takes their words from pt_PT (CLDR 49, supplementalData.xml, weekData)."""


@cache
def _week_data(territory: str) -> tuple[int, int, int, int]:
    """(first weekday, minimum days, weekend start, weekend end) of CLDR's week data."""
    if territory in _PORTUGUESE:
        return (_PORTUGUESE[territory], 1, 5, 6)
    try:
        found = locale_of(f"und_{territory}")
    except HouseholdError:  # a territory without a language of its own: the world's defaults
        return (0, 1, 5, 6)
    return (found.first_week_day, found.min_week_days, found.weekend_start, found.weekend_end)


def week_rule(locale: str, region: str = "", first_weekday: Weekday | None = None) -> WeekRule:
    """How weeks are shown: `first_weekday` where given, all else as CLDR says.

    The territory is that of `locale`; only where it has none (as `en`) the household's `region`
    decides. CLDR has a first weekday and a minimum of days for each territory (UTS 35 part 4,
    week data): GB Monday and 4, US Sunday and 1, EG Saturday and 1, PT Sunday and 4.
    """
    first, least, _, _ = _week_data(territory_of(locale_of(locale), region))
    return WeekRule(first if first_weekday is None else first_weekday.number, least)


def weekend(region: str) -> frozenset[int]:
    """The weekdays (0 Monday … 6 Sunday) of the weekend of an ISO 3166 region, as GB-ENG.

    CLDR's week data; Saturday and Sunday where `region` is empty or unknown.
    """
    _, _, start, end = _week_data(region.partition("-")[0].upper() or "001")
    days = (end - start) % 7 + 1
    return frozenset((start + offset) % 7 for offset in range(days))


def month_names(locale: Locale, width: str) -> tuple[str, ...]:
    """The twelve names as they stand alone (a heading, not a part of a date)."""
    names = locale.months["stand-alone"][width]
    return tuple(str(names[number]) for number in range(1, 13))


def day_names(locale: Locale, width: str) -> tuple[str, ...]:
    """The seven names as they stand alone, Monday first."""
    names = locale.days["stand-alone"][width]
    return tuple(str(names[number]) for number in range(7))


def twelve_hours(locale: Locale) -> bool:
    """Whether the locale's clock has twelve hours (`h` or `K` in its short time pattern)."""
    pattern = re.sub("'[^']*'", "", str(locale.time_formats["short"].pattern))  # as in 14 h 30
    return "h" in pattern or "K" in pattern
