"""`Language`: dates, times, names and sentences of several locales."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

import pytest

from weeksync.language import DateForm, Language
from weeksync.message import counted, message

MONDAY = date(2027, 3, 22)


@pytest.mark.parametrize(
    ("locale", "form", "text"),
    [
        ("en_GB", "full", "Monday, 22 March 2027"),
        ("en_GB", "long", "22 March 2027"),
        ("en_US", "day month", "March 22"),
        ("de_AT", "weekday day month", "Mo., 22. März"),
        ("pl", "day month", "22 marca"),
        ("pl", "month", "marzec 2027"),
        ("fi", "month", "maaliskuu 2027"),
        ("en_GB", "short", "22/03/2027"),
        ("en_GB", "medium", "22 Mar 2027"),
    ],
)
def test_forms_of_a_date(locale: str, form: DateForm, text: str) -> None:
    """Inside a date a month is declined, as a heading it stands alone (pl, fi: CLDR 49)."""
    assert Language(locale).date(MONDAY, form) == text


@pytest.mark.parametrize(
    ("locale", "last", "text"),
    [
        ("en_GB", date(2027, 3, 28), "22 – 28 Mar 2027"),
        ("en_GB", date(2027, 4, 4), "22 Mar – 4 Apr 2027"),
        ("de", date(2027, 3, 28), "22.–28. März 2027"),
    ],
)
def test_a_span_writes_what_is_shared_once(locale: str, last: date, text: str) -> None:
    """The interval patterns of CLDR join two dates."""
    assert Language(locale).span(MONDAY, last).replace("\u2009", " ") == text


@pytest.mark.parametrize(
    ("locale", "twelve", "text"),
    [("en_GB", False, "15:30"), ("en_US", True, "3:30\u202fPM"), ("fi", False, "15.30")],
)
def test_twelve_or_twenty_four_hours(locale: str, twelve: bool, text: str) -> None:
    """The locale's short pattern decides between 12 and 24 hours."""
    language = Language(locale)
    assert language.twelve_hours is twelve
    assert language.time(time(15, 30)) == text


def test_a_time_is_shown_on_its_own_clock() -> None:
    """An aware time is not moved to another zone: 18:30 in London stays 18:30."""
    evening = datetime(2027, 3, 28, 18, 30, tzinfo=ZoneInfo("Europe/London"))
    language = Language("en_GB")
    assert language.time(evening) == "18:30"
    assert language.moment(evening) == "28 Mar 2027, 18:30"
    assert language.times(evening, evening.replace(hour=19, minute=15)) == "18:30\u2009–\u200919:15"


@pytest.mark.parametrize(
    ("locale", "direction", "tag"), [("ar_EG", "rtl", "ar-EG"), ("de-AT", "ltr", "de-AT")]
)
def test_direction_and_tag(locale: str, direction: str, tag: str) -> None:
    """What stands in `dir` and `lang` of a page."""
    language = Language(locale)
    assert (language.direction, language.tag) == (direction, tag)


def test_names_of_weekdays_start_with_monday() -> None:
    """0 is Monday, in three widths."""
    language = Language("en_GB")
    assert [language.weekday(6, width) for width in ("wide", "abbreviated", "narrow")] == [
        "Sunday",
        "Sun",
        "S",
    ]


def test_a_sentence_is_translated_and_filled() -> None:
    """The sentence comes from the catalogue, the values from the message."""
    text = Language("de_AT").text(message("Week {number}", number="12"))
    assert text == "Woche 12"


def test_a_sentence_with_a_plural_takes_the_form_of_the_language() -> None:
    """`count` chooses the form, and stands in it."""
    made = [counted("{count} problem", "{count} problems", count) for count in (1, 2)]
    assert [Language("de").text(one) for one in made] == ["1 Problem", "2 Probleme"]
    assert [Language("en_GB").text(one) for one in made] == ["1 problem", "2 problems"]


def test_a_sentence_nobody_translated_is_shown_in_english() -> None:
    """A missing translation is no missing sentence."""
    text = Language("de").text(message("{what} that no catalogue has", what="Something"))
    assert text == "Something that no catalogue has"


def test_fractions_in_sentences_are_written_as_the_language_does() -> None:
    """A float gets the locale's decimal sign; whole numbers stay plain, as years do."""
    made = message("{hours} of {year}", hours=1.5, year=2027)
    assert Language("de").text(made) == "1,5 of 2027"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("2027-03-22", "due Mon, 22 Mar 2027"),
        ("2027-02-30", "due 2027-02-30"),
        ("2027-W12", "due 2027-W12"),
        ("on 2027-03-22", "due on 2027-03-22"),
    ],
)
def test_dates_of_a_plan_are_written_out(value: str, text: str) -> None:
    """Only where asked, and only a whole date that exists; what quotes a file stays as it is."""
    made = message("due {day}", day=value)
    assert Language("en_GB").text(made, dates=True) == text
    assert Language("en_GB").text(made) == f"due {value}"


def test_lists_and_cities() -> None:
    """Names are joined as the language joins them; a zone is known by its city."""
    assert Language("en_GB").listed(["Ines", "Dov", "Pell"]) == "Ines, Dov and Pell"
    assert Language("de").listed(["Ines", "Dov"]) == "Ines und Dov"
    assert Language("en_GB").listed([]) == ""
    assert Language("en_GB").city("America/St_Johns") == "St John’s"
    assert Language("de").city("Europe/Vienna") == "Wien"


def test_quotation_marks_are_those_of_the_language() -> None:
    """English has “ ”, German „ “ (CLDR 49, delimiters)."""
    assert Language("en_GB").quoted(["Gate", "Roll"]) == "“Gate” and “Roll”"
    assert Language("de").quoted(iter(["Gate", "Roll"])) == "„Gate“ und „Roll“"
    assert Language("de").quoted([]) == ""


@pytest.mark.parametrize(
    ("locale", "said"),
    [
        ("en_GB", None),
        ("de_AT", "The words in Deutsch are not yet read by a native speaker."),
        ("ar_EG", "The words in العربية are not yet read by a native speaker."),
        (
            "fa",
            "The words are English: nobody has translated them into Persian yet; dates, times "
            "and numbers are as in fa.",
        ),
    ],
)
def test_it_is_said_what_the_words_are_worth(locale: str, said: str | None) -> None:
    """Until somebody has read a catalogue, and where there is none, `weeksync check` says so."""
    about = Language(locale).about_words()
    assert (about and str(about)) == said
