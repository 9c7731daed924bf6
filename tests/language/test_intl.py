"""CLDR as Chromium's Intl has it, against ours by Babel: two readings of the same data.

Both carry CLDR, in releases that need not be the same; Chromium also leaves out the names of
many languages. Whatever differs beyond `EXPLAINED` fails.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from babel import localedata
from playwright.sync_api import Browser

from tests.support.chromium import chromium
from weeksync.language import Language, week_rule

ASKED = """
(tags) => tags.map((tag) => {
  if (!Intl.DateTimeFormat.supportedLocalesOf([tag]).length) return null;
  const named = (options) => new Intl.DateTimeFormat(
    tag, { timeZone: "UTC", calendar: "gregory", ...options });
  const days = [...Array(7).keys()].map((day) => Date.UTC(2027, 2, 22 + day));
  const months = [...Array(12).keys()].map((month) => Date.UTC(2027, month, 15));
  const clock = named({ timeStyle: "short" }).resolvedOptions().hourCycle;
  return {
    weekdays: days.map((day) => named({ weekday: "long" }).format(day)).join(" "),
    months: months.map((month) => named({ month: "long" }).format(month)).join(" "),
    first: String(new Intl.Locale(tag).getWeekInfo().firstDay),
    clock: String(["h11", "h12"].includes(clock)),
    digits: new Intl.NumberFormat(tag).resolvedOptions().numberingSystem,
    number: new Intl.NumberFormat(tag).format(1234567.5),
  };
})
"""
"""What Intl says; null where Chromium does not know the language."""

NO_DATA = "Chromium has no data of this script and takes that of another"
NEWER = "Babel 2.19 has CLDR 49, Chromium 156 (ICU 78) CLDR 48"
TERRITORY = "short times have 24 hours; Intl asks the territory's preference (UTS 35, timeData)"

EXPLAINED: dict[str, dict[str, str]] = {
    "months": {
        "el": "Intl forms a month alone by the pattern MMMM: the name as it stands in a date",
        "en_Dsrt": NO_DATA,
        "en_Shaw": NO_DATA,
        "ms_Arab": NO_DATA,
        "zh_Hans_SG": NEWER,
        "zh_Latn": NO_DATA,
    },
    "weekdays": dict.fromkeys(("en_Dsrt", "en_Shaw", "ms_Arab", "zh_Latn"), NO_DATA),
    "first": {},
    "clock": dict.fromkeys(("en_Dsrt", "en_Shaw"), NO_DATA)
    | dict.fromkeys(("en_ZM", "es_AR", "es_CL", "es_PY", "es_UY"), TERRITORY),
    "digits": {"bn_IN": NEWER},
    "number": dict.fromkeys(
        ("az_Cyrl", "bn_IN", "de_AT", "fr_CH", "fr_MA", "fr_RW", "kk_Arab"), NEWER
    )
    | {"ms_Arab_BN": NO_DATA},
}
"""Why a locale, or all that begin with it, may differ in a field."""


@dataclass(frozen=True)
class Reading:
    """One locale: what Chromium says and what we say, by field."""

    locale: str
    theirs: dict[str, str]
    ours: dict[str, str]


def ours(locale: str) -> dict[str, str]:
    """The same fields from our side."""
    language = Language(locale)
    return {
        "weekdays": " ".join(language.weekday(number) for number in range(7)),
        "months": " ".join(language.month(number) for number in range(1, 13)),
        "first": str(week_rule(locale).first_weekday + 1),
        "clock": str(language.twelve_hours).lower(),
        "digits": language.numbers,
        "number": language.number(1234567.5),
    }


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def readings(browser: Browser) -> list[Reading]:
    """Every locale of Babel whose names Chromium has."""
    names = [name for name in sorted(localedata.locale_identifiers()) if name != "root"]
    found = browser.new_page().evaluate(ASKED, [name.replace("_", "-") for name in names])
    return [
        Reading(name, theirs, ours(name))
        for name, theirs in zip(names, found, strict=True)
        if theirs is not None and not theirs["months"].startswith("M01")
    ]


def test_chromium_knows_enough_to_be_asked(readings: list[Reading]) -> None:
    """Hundreds of locales, of every digit and direction that matters here."""
    known = {one.locale for one in readings}
    assert len(known) > 400
    assert known > {"ar", "ar_EG", "ar_MA", "bn", "de_AT", "en_GB", "fa", "he", "hi", "mr", "ur"}


@pytest.mark.parametrize("locale", ["ar_EG", "de", "en_US", "es_AR", "fa", "mr", "th"])
def test_scripts_write_times_as_pages_do(locale: str, browser: Browser) -> None:
    """`script_tag` holds Intl to the page's calendar, clock and digits."""
    language = Language(locale)
    asked = """(tag) => new Intl.DateTimeFormat(
      tag, { dateStyle: "medium", timeStyle: "short", timeZone: "UTC" }
    ).formatToParts(Date.UTC(2027, 2, 22, 15, 30)).map((part) => part.value)"""
    parts = browser.new_page().evaluate(asked, language.script_tag)
    assert {language.digits("2027"), language.digits("30")} <= set(parts)
    assert language.digits("3" if language.twelve_hours else "15") in parts


@pytest.mark.parametrize("field", EXPLAINED)
def test_intl_says_the_same(field: str, readings: list[Reading]) -> None:
    """Names of days and months, first weekday, clock, digits and separators of every locale."""
    differing = [
        (one.locale, one.ours[field], one.theirs[field])
        for one in readings
        if one.ours[field] != one.theirs[field] and not explained(field, one.locale)
    ]
    assert differing == []


@pytest.mark.parametrize("field", EXPLAINED)
def test_what_is_explained_still_differs(field: str, readings: list[Reading]) -> None:
    """An explanation that nothing needs any more goes."""
    needed = {
        prefix
        for one in readings
        for prefix in EXPLAINED[field]
        if f"{one.locale}_".startswith(f"{prefix}_") and one.ours[field] != one.theirs[field]
    }
    assert needed == set(EXPLAINED[field])


def explained(field: str, locale: str) -> bool:
    """Whether the locale, or a shorter one it belongs to, is in `EXPLAINED`."""
    return any(f"{locale}_".startswith(f"{prefix}_") for prefix in EXPLAINED[field])
