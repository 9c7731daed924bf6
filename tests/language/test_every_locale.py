"""What a week page asks of its language, in every locale CLDR has."""

from __future__ import annotations

import unicodedata
from collections import Counter
from datetime import date, datetime, time

import pytest
from babel import localedata

from weeksync.language import DateForm, Language, week_rule, weekend
from weeksync.language.weeks import territory_of
from weeksync.message import counted, message

LOCALES = [name for name in sorted(localedata.locale_identifiers()) if name != "root"]
FORMS: tuple[DateForm, ...] = (
    "full", "long", "medium", "short", "day month", "weekday day month", "month",
)  # fmt: skip


def said(language: Language) -> list[str]:
    """Dates, times, numbers and money of a week, and a sentence with a count."""
    day, moment = date(2027, 3, 22), datetime(2027, 3, 22, 15, 30)
    return [
        *(language.date(day, form) for form in FORMS),
        language.span(day, date(2027, 3, 28)),
        language.span(date(2027, 12, 27), date(2028, 1, 2)),
        language.time(time(9, 5)),
        language.times(time(10), time(10, 40)),
        language.moment(moment),
        language.number(1234.5),
        language.money(123450, "EUR"),
        language.money(4250, "JPY"),
        language.digits("2027"),
        language.text(counted("{count} task is overdue", "{count} tasks are overdue", 12)),
        language.text(message("{minutes} min", minutes=45)),
    ]


@pytest.fixture(scope="module")
def languages() -> list[Language]:
    """Every locale, in one process: what is read first must not spoil what follows."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.dont_write_bytecode", True)  # a thousand files would be left
        return [Language(name) for name in LOCALES]


def test_there_are_many_locales() -> None:
    """CLDR 49 has more than a thousand; fewer would mean that they were not found."""
    assert len(LOCALES) > 1000


def test_every_locale_writes_one_kind_of_digit(languages: list[Language]) -> None:
    """Every form says something, in the digits of the locale's numbering system and no others."""
    for language in languages:
        texts = said(language)
        assert all(text.strip() for text in texts), language.locale
        named = "".join(language.month(number, "abbreviated") for number in range(1, 13))
        own = {*language.digits("0123456789"), *named}  # bo numbers its months in their names
        used = {one for text in texts for one in text if unicodedata.category(one) == "Nd"}
        assert used <= own, (language.locale, used - own)
        assert len(used) > 5, language.locale


def test_digits_are_those_of_the_unicode_database(languages: list[Language]) -> None:
    """Zero to nine of each system that is a default somewhere, by their numeric values."""
    systems = {language.numbers: language for language in languages}
    assert set(systems) > {"latn", "arab", "arabext", "beng", "deva", "mymr", "tibt"}
    for language in systems.values():
        assert [unicodedata.decimal(one) for one in language.digits("0123456789")] == [*range(10)]


def test_no_default_system_is_written_in_ascii_for_want_of_digits(
    languages: list[Language],
) -> None:
    """What CLDR has as the default is what is written, in every locale."""
    assert [
        language.locale
        for language in languages
        if language.numbers != language.locale.default_numbering_system
    ] == []


def test_every_locale_names_its_days_and_months(languages: list[Language]) -> None:
    """Seven names of days, twelve of months, none empty, in three widths; wide ones all differ."""
    for language in languages:
        days = [language.weekday(number) for number in range(7)]
        months = [language.month(number) for number in range(1, 13)]
        assert (len(set(days)), len(set(months))) == (7, 12), language.locale
        for width in ("abbreviated", "narrow"):
            assert all(language.weekday(number, width) for number in range(7)), language.locale
            assert all(language.month(number, width) for number in range(1, 13)), language.locale


def test_every_locale_has_a_week_and_a_weekend(languages: list[Language]) -> None:
    """A first weekday, one to four days in the first week, a weekend of one or two days."""
    seen: Counter[int] = Counter()
    for language in languages:
        rule = week_rule(language.name)
        seen[rule.first_weekday] += 1
        assert 1 <= rule.min_days <= 4, language.locale
        assert len(weekend(territory_of(language.name))) in {1, 2}, language.locale
    assert set(seen) == {0, 4, 5, 6}  # Monday, Friday (Maldives), Saturday, Sunday


def test_words_nobody_translated_are_marked_as_english(languages: list[Language]) -> None:
    """`lang` and `dir` follow the words, the locale of scripts follows the dates."""
    for language in languages:
        translated = language.locale.language in {"ar", "de", "en"}
        assert language.tag == (language.locale_tag if translated else "en")
        assert language.script_tag.startswith(f"{language.locale_tag}-u-ca-gregory-hc-h")
        assert language.direction == ("rtl" if language.locale.language == "ar" else "ltr")


@pytest.mark.parametrize(
    ("locale", "day", "clock", "amount"),
    [
        ("ar_EG", "الاثنين، ٢٢ مارس ٢٠٢٧", "٣:٣٠ م", "\u200f١٬٢٣٤٫٥٠\xa0€"),
        ("ar_MA", "الاثنين، 22 مارس 2027", "15:30", "\u200f1.234,50\xa0€"),
        ("fa", "\u2068دوشنبه ۲۲ مارس ۲۰۲۷\u2069", "۱۵:۳۰", "\u200e€\xa0۱٬۲۳۴٫۵۰"),
        ("mr", "सोमवार, २२ मार्च, २०२७", "३:३० PM", "€१,२३४.५०"),
        ("hi", "सोमवार, 22 मार्च 2027", "3:30 pm", "€1,234.50"),
        ("bn", "সোমবার, ২২ মার্চ, ২০২৭", "৩:৩০ PM", "১,২৩৪.৫০€"),
        ("ne", "२०२७ मार्च २२, सोमबार", "१५:३०", "€\xa0१,२३४.५०"),
    ],
)
def test_digits_of_seven_locales(locale: str, day: str, clock: str, amount: str) -> None:
    """Native digits where CLDR 49 has them as the default: not in Morocco, nor in Hindi."""
    language = Language(locale)
    assert language.date(date(2027, 3, 22), "full") == day
    assert language.time(time(15, 30)) == clock
    assert language.money(123450, "EUR") == amount
