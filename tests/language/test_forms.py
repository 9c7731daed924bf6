"""Dates, times, numbers, lists and cities: ours are those that Babel writes, in every locale."""

from __future__ import annotations

import subprocess
import sys
from datetime import date, datetime, time, timedelta
from functools import cache
from importlib import resources
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from babel import Locale, localedata
from babel.dates import (
    format_date,
    format_interval,
    format_skeleton,
    format_time,
    get_timezone_location,
)
from babel.lists import format_list
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from weeksync.language import Language, forms, known, week_rule, weekend
from weeksync.language.cldr import read_cities, read_forms
from weeksync.language.forms import written
from weeksync.language.weeks import territory_of

LOCALES = [name for name in sorted(localedata.locale_identifiers()) if name != "root"]
FEW = (
    "en", "en_GB", "en_US", "de", "de_AT", "de_CH", "ar_EG", "ar_MA", "fa", "he", "hi", "ja",
    "zh_Hant", "fi", "lv", "ru", "es_AR", "bg",
)  # fmt: skip
"""Ours, and of the others one of each kind: scripts, digits, clocks, orders, days of the week."""
SKELETONS = {
    "day month": "MMMMd",
    "weekday day month": "MMMEd",
    "month": "yMMMM",
    "weekday day month year": "yMMMEd",
    "span": "yMMMd",
}
NAMED = ("full", "long", "medium", "short")
DAYS = [date(2027, month, 8 + month) for month in range(1, 12)] + [
    date(2027, 12, 5),
    date(2027, 12, 7),
]
"""One of each month and of each weekday, with days of one digit and of two; none at the turn of a
year, where Babel writes the year of the week in one locale whose pattern has a Y by mistake."""


def told(locale: str, day: date) -> list[str]:
    """A date in all its forms, as Babel writes it."""
    return [format_date(day, form, locale=locale) for form in NAMED] + [
        format_skeleton(skeleton, day, locale=locale) for skeleton in SKELETONS.values()
    ]


def test_the_days_are_of_every_month_and_weekday() -> None:
    """Or names would go untested."""
    assert {day.month for day in DAYS} == {*range(1, 13)}
    assert {day.weekday() for day in DAYS} == {*range(7)}


def test_every_date_of_every_locale() -> None:
    """All widths and all skeletons that pages use."""
    for locale in LOCALES:
        made = read_forms(locale)
        for day in DAYS:
            ours = [written(made.dates[form], made.names, day) for form in (*NAMED, *SKELETONS)]
            assert ours == told(locale, day), locale


@pytest.mark.parametrize("locale", FEW)
def test_every_day_of_a_year(locale: str) -> None:
    """And the first and the last there are."""
    made = read_forms(locale)
    days = [date(2027, 1, 1) + timedelta(days=number) for number in range(365)]
    for day in (*days, date.min, date(987, 6, 5), date.max):
        ours = [written(made.dates[form], made.names, day) for form in (*NAMED, *SKELETONS)]
        assert ours == told(locale, day)


def test_every_clock_of_every_locale() -> None:
    """Each hour, on the hour and off it."""
    for locale in LOCALES:
        made, cldr = read_forms(locale), Locale.parse(locale)
        for moment in (time(hour, minute) for hour in range(24) for minute in (0, 7)):
            ours = written(made.clock, made.names, moment)
            assert ours == format_time(moment, "short", locale=cldr), locale


def test_every_minute_where_parts_of_the_day_have_names() -> None:
    """Noon is one minute there."""
    for locale in ("zh_Hant", "zh_Hant_HK", "bg", "en"):
        made, cldr = read_forms(locale), Locale.parse(locale)
        for moment in (time(hour, minute) for hour in range(24) for minute in range(60)):
            ours = written(made.clock, made.names, moment)
            assert ours == format_time(moment, "short", locale=cldr), locale


SPANS = [
    (date(2027, 3, 22), date(2027, 3, 22)),
    (date(2027, 3, 2), date(2027, 3, 28)),
    (date(2027, 3, 29), date(2027, 4, 4)),
    (date(2027, 12, 27), date(2028, 1, 2)),
    (date(2027, 1, 5), date(2028, 1, 5)),
]


@pytest.fixture
def _no_files(monkeypatch: pytest.MonkeyPatch) -> None:
    """A thousand of them would be left."""
    monkeypatch.setattr("sys.dont_write_bytecode", True)


@pytest.mark.usefixtures("_no_files")
def test_every_span_list_and_moment_of_every_locale() -> None:
    """Of one day, within a month, over the end of a month and of a year; lists of up to five."""
    moment = datetime(2027, 3, 2, 15, 5)
    for name in LOCALES:
        language, cldr = Language(name), Locale.parse(name)
        own = language._own
        for first, last in SPANS:
            ours = language.span(first, last)
            assert ours == own(format_interval(first, last, "yMMMd", locale=cldr)), name
        parts = ["{a}", "b", "c", "d", "e"]
        for count in range(6):
            assert forms.listed(language._forms, parts[:count]) == format_list(
                parts[:count], locale=cldr
            ), name
        clock = format_time(moment.time(), "short", locale=cldr)
        day = format_date(moment.date(), "medium", locale=cldr)
        whole = str(cldr.datetime_formats["medium"]).replace("'", "").format(clock, day)
        assert language.moment(moment) == own(whole), name
        assert language.times(time(15, 5), time(15, 5)) == own(
            str(cldr.interval_formats[None]).format(clock, clock)
        ), name


NUMBERS = (0, -0.0, 7, 7.5, -7.25, 0.0005, 0.0015, 2.71828, 999.9995, 1234.5, -12345, 1234567.891)


def test_numbers_of_every_locale() -> None:
    """Rounded, grouped, negative; Babel loses the apostrophes of large numbers (`money`)."""
    for locale in LOCALES:
        made, cldr = read_forms(locale), Locale.parse(locale)
        for value in NUMBERS:
            if made.comma == "'" and abs(value) >= 1_000_000:
                continue
            theirs = format_decimal(value, locale=cldr, numbering_system=made.numbers)
            assert forms.number(made, value) == theirs, locale
    assert forms.number(read_forms("de_CH"), 1234567.5) == "1'234'567.5"


@given(st.floats(min_value=-1e15, max_value=1e15), st.sampled_from(("en_GB", "de", "hi", "ar_EG")))
def test_any_number(value: float, locale: str) -> None:
    """Whatever is written into a habit."""
    made = known.forms_of(locale)
    theirs = format_decimal(value, locale=locale, numbering_system=made.numbers)
    assert forms.number(made, value) == theirs


@pytest.mark.parametrize("locale", FEW)
def test_cities(locale: str) -> None:
    """Of every zone there is, old names too."""
    language = Language(locale)
    for zone in zones():
        theirs = get_timezone_location(ZoneInfo(zone), locale=locale, return_city=True)
        assert language.city(zone) == theirs, zone


@cache
def zones() -> list[str]:
    """The zones of the `tzdata` package."""
    found = resources.files("tzdata").joinpath("zones").read_text("utf-8").split()
    assert len(found) > 500
    return found


def test_forms_are_kept_until_another_babel_is_installed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read once, then taken from the file; by another Babel, or where that is spoilt, read anew."""
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    monkeypatch.setattr("sys.pycache_prefix", str(tmp_path))
    read: list[int] = []

    def kept(value: int) -> object:
        def from_cldr() -> dict[str, tuple[int]]:
            read.append(value)
            return {"value": (value,)}

        return known.kept("forms-test", from_cldr)

    assert [kept(1), kept(2)] == [{"value": (1,)}] * 2
    assert read == [1]
    (file,) = tmp_path.rglob("forms-test*.pyc")
    file.write_bytes(file.read_bytes()[:-3])
    assert kept(3) == {"value": (3,)}
    monkeypatch.setattr(known, "_babel", lambda: ("another",))
    assert [kept(4), kept(5)] == [{"value": (4,)}] * 2
    monkeypatch.setattr("sys.dont_write_bytecode", True)
    assert known.kept("forms-other", lambda: 6) == 6
    assert known.kept("../forms-elsewhere", lambda: 7) == 7
    assert [one.name for one in tmp_path.rglob("*.pyc")] == [file.name]


@pytest.mark.parametrize("locale", FEW)
def test_what_is_kept_is_what_was_read(
    locale: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forms, cities and weeks come back from the file as they went in."""
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    monkeypatch.setattr("sys.pycache_prefix", str(tmp_path))
    for _ in range(2):
        for one in (known._forms, known._cities, known.week_data):
            one.cache_clear()
        language = Language(locale)
        assert language._forms == read_forms(locale)
        assert known._cities(locale) == read_cities(locale)
        seen = week_rule(locale), weekend("EG")
    names = {f"forms-{locale}", f"cities-{locale}", "week-EG", f"week-{territory_of(locale)}"}
    there = {one.name.partition(".")[0] for one in tmp_path.rglob("*.pyc")}
    assert there - {"weeksync"} == names  # that is the catalogue
    assert seen == (week_rule(locale), frozenset({4, 5}))


def test_babel_is_not_read_for_what_is_kept(tmp_path: Path) -> None:
    """A night in a household whose forms are known does without it."""
    code = (
        "import sys, datetime as dt\nfrom weeksync.language import Language, week_rule, weekend\n"
        "sys.dont_write_bytecode = False\nsys.pycache_prefix = sys.argv[1]\n"
        "one = Language('en_GB')\nday = dt.date(2027, 3, 22)\n"
        "print(one.date(day, 'full'), one.span(day, day), one.time(dt.time(9)), one.number(7.5))\n"
        "print(one.listed(['a', 'b']), one.city('Asia/Calcutta'), one.script_tag, one.direction)\n"
        "print(week_rule('en_GB', 'GB'), weekend('GB-ENG'), one.about_words())\n"
        "print('babel' in sys.modules)"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    first, second = (
        subprocess.run(command, check=True, capture_output=True, text=True).stdout.splitlines()
        for _ in range(2)
    )
    assert first[:-1] == second[:-1]
    assert (first[-1], second[-1]) == ("True", "False")
