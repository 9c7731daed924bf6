"""Amounts as people type them: what a locale writes is read, and nothing is guessed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.language import Language
from weeksync.language.amounts import read_amount, read_number, written_amount, written_number

LOCALES = ["en_GB", "de_AT", "de_CH", "fr_FR", "ar_EG", "fa_IR", "hi_IN", "pt_PT", "sv_SE"]
LANGUAGES = {name: Language(name) for name in LOCALES}


@given(
    st.sampled_from(LOCALES),
    st.integers(-(10**15), 10**15),
    st.sampled_from(["EUR", "JPY", "KWD", "GBP"]),
)
def test_what_is_written_is_read_again(locale: str, minor: int, currency: str) -> None:
    """In every separator, digit and number of decimals; also as the pages write it."""
    language = LANGUAGES[locale]
    assert read_amount(written_amount(minor, currency, language), currency, language) == minor
    assert read_amount(language.money(minor, currency), currency, language) == minor


@given(st.sampled_from(LOCALES), st.integers(-(10**9), 10**9))
def test_numbers_are_read_again(locale: str, thousandths: int) -> None:
    """A target of 7.5 hours, in the writing of the household."""
    value = thousandths / 1000
    text = written_number(value, LANGUAGES[locale])
    assert read_number(text, LANGUAGES[locale]) == Decimal(repr(value))


@pytest.mark.parametrize(
    ("locale", "text", "minor"),
    [
        ("en_GB", "42.50", 4250),
        ("en_GB", "£ 1,234.5", 123450),
        ("en_GB", "1234", 123400),
        ("en_GB", ".5", 50),
        ("de_AT", "1.234,50", 123450),
        ("de_AT", "42,5 GBP", 4250),
        ("de_CH", "1'234.50", 123450),
        ("fr_FR", "1 234,50", 123450),
        ("ar_EG", "٤٢٫٥٠", 4250),
        ("ar_EG", "42.50", 4250),
        ("hi_IN", "1,23,456", 12345600),
    ],
)
def test_amounts_as_people_type_them(locale: str, text: str, minor: int) -> None:
    """Group separators, signs and codes of currencies are no trouble (CLDR's separators)."""
    assert read_amount(text, "GBP", LANGUAGES[locale]) == minor


@pytest.mark.parametrize(
    ("locale", "text"),
    [
        ("de_AT", "42.50"),  # a group separator there: 42.50 is neither 42,50 nor 4250
        ("en_GB", "42,50"),
        ("en_GB", "1,23.00"),
        ("en_GB", "42.505"),
        ("en_GB", "4e3"),
        ("en_GB", "nan"),
        ("en_GB", "1 2 x"),
        ("en_GB", "42."),
        ("en_GB", "--4"),
        ("en_GB", ""),
        ("en_GB", "9" * 30),
        ("en_GB", "²"),
    ],
)
def test_what_could_be_meant_either_way_is_refused(locale: str, text: str) -> None:
    """An amount is never guessed."""
    with pytest.raises(ValueError, match=r".*"):
        read_amount(text, "GBP", LANGUAGES[locale])
