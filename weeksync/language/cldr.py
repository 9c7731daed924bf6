"""What CLDR says about a locale or a territory, read through Babel.

Babel before 2.19 let one locale spoil the stand-alone month names of the next (python-babel
issue 1234); `tests/language/test_cldr.py` holds names against those of fresh processes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time, timedelta

from babel import Locale, UnknownLocaleError
from babel.core import get_global
from babel.dates import match_skeleton, parse_pattern, tokenize_pattern
from babel.numbers import get_decimal_symbol, get_group_symbol

from weeksync.errors import HouseholdError
from weeksync.language.forms import Field, Forms, Moment, Pattern
from weeksync.language.numbering import system
from weeksync.message import message

WIDTHS = ("wide", "abbreviated", "narrow")

_SKELETONS = {
    "day month": "MMMMd",
    "weekday day month": "MMMEd",
    "month": "yMMMM",
    "weekday day month year": "yMMMEd",
    "span": "yMMMd",
}
"""CLDR skeletons (UTS 35 part 4) of the forms that are none of the four named ones."""


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


def read_forms(name: str) -> Forms:
    """The forms of the locale of that name; HouseholdError where CLDR has none."""
    locale = locale_of(name)
    numbers = system(str(locale.default_numbering_system))
    skeletons, intervals = locale.datetime_skeletons, locale.interval_formats
    patterns = {
        form: str(locale.date_formats[form]) for form in ("full", "long", "medium", "short")
    }
    for form, skeleton in _SKELETONS.items():
        patterns[form] = str(skeletons[_nearest(skeleton, skeletons)])
    dates = {form: _pattern(one) for form, one in patterns.items()}
    clock = _pattern(str(locale.time_formats["short"]))
    spans = {
        field: tuple(map(_pattern, parts))
        for field, parts in intervals[_nearest(_SKELETONS["span"], intervals)].items()
    }
    decimal = locale.decimal_formats[None]
    return Forms(
        locale=str(locale),
        language=locale.language,
        territory=locale.territory or "",
        likely_territory=_likely_territory(locale),
        direction=locale.text_direction,
        numbers=numbers,
        months={width: month_names(locale, width) for width in WIDTHS},
        days={width: day_names(locale, width) for width in WIDTHS},
        names=_names(
            locale, [*dates.values(), clock, *(one for two in spans.values() for one in two)]
        ),
        dates=dates,
        clock=clock,
        spans=spans,
        from_to=str(intervals[None]),
        date_and_time=str(locale.datetime_formats["medium"]).replace("'", ""),
        lists={key: str(one) for key, one in locale.list_patterns["standard"].items()},
        point=get_decimal_symbol(locale, numbering_system=numbers),
        comma=get_group_symbol(locale, numbering_system=numbers),
        groups=decimal.grouping,
        decimals=decimal.frac_prec[1],
        twelve_hours=_twelve_hours(locale),
    )


def _nearest(skeleton: str, there: Mapping[str, object]) -> str:
    """The skeleton that CLDR has for it in this locale."""
    return skeleton if skeleton in there else match_skeleton(skeleton, there) or skeleton


def _pattern(pattern: str) -> Pattern:
    return tuple(value for _, value in tokenize_pattern(pattern))


_DAYS = [date(2027, 3, 22) + timedelta(days=day) for day in range(7)]
_MONTHS = [date(2027, month, 1) for month in range(1, 13)]
_MINUTES = [time(minute // 60, minute % 60) for minute in range(24 * 60)]
_SAMPLES: dict[str, Sequence[Moment]] = {
    "G": _DAYS[:1],
    "M": _MONTHS,
    "L": _MONTHS,
    "E": _DAYS,
    "c": _DAYS,
    "a": [time(0), time(12)],
    "b": _MINUTES,
    "B": _MINUTES,
}
_NAMES_FROM = 3
"""The width from which on a month or a weekday is a name and no number."""


def _names(locale: Locale, patterns: Iterable[Pattern]) -> dict[Field, tuple[str, ...]]:
    """The names of the fields in these patterns, as `forms.written` asks for them."""
    fields = {one for pattern in patterns for one in pattern if not isinstance(one, str)}
    return {
        (letter, width): tuple(
            parse_pattern(letter * width).apply(one, locale) for one in _SAMPLES[letter]
        )
        for letter, width in sorted(fields)
        if letter in _SAMPLES and (letter not in "ML" or width >= _NAMES_FROM)
    }


def _likely_territory(locale: Locale) -> str:
    subtags = get_global("likely_subtags")
    likely = subtags.get(str(locale)) or subtags.get(locale.language, "")
    last = str(likely).rpartition("_")[2]
    return last if len(last) == 2 and last.isupper() else "001"


_PORTUGUESE = {"AO": 0, "CV": 0, "GW": 0, "MZ": 6, "ST": 0, "TL": 0}
"""First weekdays that Babel 2.19 gets wrong, with the minimum of days: it has Portugal's there,
because CLDR takes their words from pt_PT (CLDR 49, supplementalData.xml, weekData)."""


def read_week_data(territory: str) -> tuple[int, int, int, int]:
    """(first weekday, minimum days, weekend start, weekend end) of CLDR's week data."""
    if territory in _PORTUGUESE:
        return (_PORTUGUESE[territory], 1, 5, 6)
    try:
        found = locale_of(f"und_{territory}")
    except HouseholdError:  # a territory without a language of its own: the world's defaults
        return (0, 1, 5, 6)
    return (found.first_week_day, found.min_week_days, found.weekend_start, found.weekend_end)


def read_cities(name: str) -> dict[str, str]:
    """Zone of the IANA database → the city that stands for it, where its name says another one."""
    locale = locale_of(name)
    zones, metazones = locale.time_zones, locale.meta_zones
    aliases, of_metazone = get_global("zone_aliases"), get_global("meta_zones")
    found = {}
    for zone in {*zones, *aliases, *of_metazone}:
        known = aliases.get(zone, zone)
        info = zones.get(known, {})
        if "city" not in info:
            info = metazones.get(of_metazone.get(known), {})
        city = str(info.get("city") or _last(known))
        if city != _last(zone):
            found[zone] = city
    return found


def _last(zone: str) -> str:
    return zone.rpartition("/")[2].replace("_", " ")


def month_names(locale: Locale, width: str) -> tuple[str, ...]:
    """The twelve names as they stand alone (a heading, not a part of a date)."""
    names = locale.months["stand-alone"][width]
    return tuple(str(names[number]) for number in range(1, 13))


def day_names(locale: Locale, width: str) -> tuple[str, ...]:
    """The seven names as they stand alone, Monday first."""
    names = locale.days["stand-alone"][width]
    return tuple(str(names[number]) for number in range(7))


def _twelve_hours(locale: Locale) -> bool:
    """Whether the locale's clock has twelve hours (`h` or `K` in its short time pattern)."""
    pattern = re.sub("'[^']*'", "", str(locale.time_formats["short"].pattern))  # as in 14 h 30
    return "h" in pattern or "K" in pattern
