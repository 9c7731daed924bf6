"""Amounts of money: minor units by ISO 4217, digits and signs by CLDR."""

from __future__ import annotations

import pytest

from weeksync.language import Language, minor_digits


@pytest.mark.parametrize(
    ("digits", "currencies"),
    [
        (0, "JPY KRW CLP ISK"),
        (3, "BHD KWD JOD OMR TND LYD IQD"),
        (4, "CLF UYW"),
        (2, "GBP EUR USD ALL AFN LBP MMK RSD YER"),
    ],
)
def test_minor_units_of_iso_4217(digits: int, currencies: str) -> None:
    """Digits are ISO 4217's, not CLDR's, which has 0 for ALL … YER and IQD (from memory)."""
    assert {minor_digits(one) for one in currencies.split()} == {digits}


@pytest.mark.parametrize(
    ("locale", "minor", "currency", "text"),
    [
        ("en_GB", 4250, "GBP", "£42.50"),
        ("en_GB", -4250, "GBP", "-£42.50"),
        ("de_DE", 123450, "EUR", "1.234,50\xa0€"),
        ("en_GB", 4250, "JPY", "JP¥4,250"),
        ("en_GB", 4250, "KWD", "KWD4.250"),
        ("en_GB", 12300, "LBP", "LBP123"),
        ("en_GB", 12345, "LBP", "LBP123.45"),
        ("en_GB", 1234567, "IQD", "IQD1,234.567"),
        ("en_GB", 100, "XYZ", "XYZ1.00"),
    ],
)
def test_amounts_are_shown_whole(locale: str, minor: int, currency: str, text: str) -> None:
    """CLDR writes the amount; where its digits would hide a part, all of ISO 4217's are shown."""
    assert Language(locale).money(minor, currency).replace("\u200e", "") == text
