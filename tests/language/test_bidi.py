"""Sentences with texts of the other direction in them (Unicode Standard Annex 9)."""

from __future__ import annotations

from datetime import date, time

import pytest

from weeksync.language import Language
from weeksync.language.bidi import filled, isolated, sided
from weeksync.message import counted, message

LRI, FSI, PDI, LRM, RLM = "\u2066", "\u2068", "\u2069", "\u200e", "\u200f"


@pytest.mark.parametrize("text", ["Gate latch", "2027-03-22", "2027-W12", "a.ics"])
def test_latin_texts_and_signed_figures_are_isolated_in_arabic(text: str) -> None:
    """After Arabic letters the parts of 2027-03-22 would stand in reverse (UAX 9, W2 and W4)."""
    assert isolated(text, "rtl") == f"{FSI}{text}{PDI}"
    assert isolated(text, "ltr") == text


@pytest.mark.parametrize(
    "text", ["باب", "12", "https://home.arpa:8427", "10:00\u2009–\u200910:40 ص", "٢٢ مارس", ""]
)
def test_what_runs_with_the_sentence_stays_as_it_is(text: str) -> None:
    """Arabic, figures and times of day need nothing."""
    assert isolated(text, "rtl") == text


def test_arabic_titles_are_isolated_in_english() -> None:
    """An Arabic title cannot turn the English around it; the sentence keeps its side."""
    made = message("{title}: new, {now}", title="باب", now="10:00")
    assert Language("en_GB").text(made) == f"{LRM}{FSI}باب{PDI}: new, 10:00"


def test_english_titles_are_isolated_in_arabic() -> None:
    """A sentence that begins with a Latin title still runs from right to left."""
    made = message("{title}: new, {now}", title="Gate", now="10:00")
    assert Language("ar").text(made) == f"{RLM}{FSI}Gate{PDI}: جديد، 10:00"


def test_a_place_in_a_command_is_filled_as_it_is() -> None:
    """What stands between isolates can be copied and run."""
    made = message("if that is right, run: weeksync pull --accept {source}", source="stall")
    assert f"{LRI}weeksync pull --accept stall{PDI}" in Language("ar").text(made)


def test_braces_stay_braces() -> None:
    """Doubled braces are one brace, as in every message."""
    assert filled("{{ {name} }}", {"name": "باب"}, "ltr") == f"{LRM}{{ {FSI}باب{PDI} }}"


def test_a_missing_value_is_noticed() -> None:
    """As it is where nothing needs isolating."""
    with pytest.raises(KeyError):
        filled("{name}", {}, "rtl")


@pytest.mark.parametrize(
    ("text", "around", "made"),
    [
        ("12: x", "rtl", f"{RLM}12: x"),
        ("12: ب", "rtl", "12: ب"),
        ("ب x", "ltr", f"{LRM}ب x"),
        ("12", "rtl", "12"),
    ],
)
def test_the_first_letter_decides_whether_a_mark_is_needed(
    text: str, around: str, made: str
) -> None:
    """What is laid out by its first letter gets the side of its language."""
    assert sided(text, "rtl" if around == "rtl" else "ltr") == made


def test_a_list_of_latin_names_is_an_arabic_list() -> None:
    """Each name is apart, and the whole runs from right to left inside a sentence, too."""
    names = Language("ar").listed(["Ines", "Dov"])
    assert names == f"{FSI}Ines{PDI} و{FSI}Dov{PDI}"
    assert Language("ar").text(message("only for {names}", names=names)).count(FSI) == 3


def test_arabic_counts_in_six_forms() -> None:
    """Zero, one, two, 3 to 10, 11 to 99, and from 100 on (CLDR, plurals.xml)."""
    language = Language("ar")
    said = [
        language.text(counted("{count} problem", "{count} problems", count))
        for count in (0, 1, 2, 3, 11, 100, 103)
    ]
    assert said == [
        "0 مشكلة", "مشكلة واحدة", "مشكلتان", "3 مشكلات", "11 مشكلة", "100 مشكلة", "103 مشكلات",
    ]  # fmt: skip


def test_counts_are_written_in_the_digits_of_the_locale() -> None:
    """In Egypt and, with words nobody translated, in Persian."""
    made = counted("{count} problem", "{count} problems", 12)
    assert Language("ar_EG").text(made) == "١٢ مشكلة"
    assert Language("fa").text(made) == "۱۲ problems"


def test_dates_in_another_script_than_the_words_are_isolated() -> None:
    """Persian dates on a page of English words read from right to left, each by itself."""
    language = Language("fa")
    assert language.times(time(10), time(10, 40)) == f"{FSI}۱۰:۰۰ تا ۱۰:۴۰{PDI}"
    assert language.date(date(2027, 3, 22), "day month") == f"{FSI}۲۲ مارس{PDI}"
    assert language.time(time(10)) == "۱۰:۰۰"
    said = language.text(message("due {day}", day=language.date(date(2027, 3, 22), "day month")))
    assert said == f"due {FSI}۲۲ مارس{PDI}"
    assert Language("ar").date(date(2027, 3, 22), "day month") == "22 مارس"


def test_a_latin_symbol_of_money_is_kept_together() -> None:
    """CLDR 49 has UK£ in Arabic: the sign would else stand before the letters."""
    assert f"{LRI}UK£{PDI}" in Language("ar").money(4250, "GBP")
    assert Language("en_GB").money(4250, "GBP") == "£42.50"


def test_figures_of_a_sentence_get_the_digits_of_the_page() -> None:
    """Those of a command keep theirs: it is to be copied."""
    made = message("write hours up to 24, as 7.5, or yes or no without a figure")
    said = Language("ar_EG").text(made)
    assert "٢٤" in said
    assert f"{LRI}7.5{PDI}" in said
    assert "24" in Language("ar").text(made)


def test_parts_are_joined_by_the_comma_of_the_language() -> None:
    """Arabic has its own."""
    assert Language("ar").joined(["أ", "ب", "ج"]) == "أ، ب، ج"
    assert Language("de").joined(iter(["a", "b", "c"])) == "a, b, c"
    assert Language("de").joined([]) == ""


def test_apostrophes_between_thousands_are_kept() -> None:
    """de_CH groups by apostrophes (CLDR 49); Babel 2.19 alone would drop them."""
    language = Language("de_CH")
    assert language.number(1234567.5) == "1'234'567.5"
    assert language.money(123456789, "CHF") == "CHF 1'234'567.89".replace(" ", "\xa0")
