"""Amounts and numbers as people type them, in the separators and digits of a locale.

A point that is a group separator there is never taken for the one before decimals: what could be
meant either way is refused.
"""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal

from babel.numbers import get_decimal_symbol, get_group_symbol

from weeksync.language.language import Language
from weeksync.language.money import minor_digits

MOST_DIGITS = 18
"""More than any household's figure has."""

_BLANKS = re.compile(r"[\s\u00a0\u202f\u2009'’\u2066-\u2069\u200e\u200f\u061c]+")
_MINUS = {"-", "\u2212", "\u2010", "\u2011", "\u2013"}
_GROUP_SIGNS = {",", ".", "\u066c", "\uff0c"}


def read_number(text: str, language: Language) -> Decimal:
    """The number that `text` says as the locale writes numbers; ValueError for anything else."""
    plain = _BLANKS.sub("", "".join(_ascii(sign) for sign in text))
    minus = plain[:1] in _MINUS
    plain = plain[1:] if minus else plain
    point = get_decimal_symbol(language.locale, numbering_system=language.numbers)
    comma = get_group_symbol(language.locale, numbering_system=language.numbers)
    whole, found, rest = plain.partition(point)
    if not found and point not in ".," and "." in plain and comma != ".":
        whole, found, rest = plain.partition(".")  # an Arabic decimal sign is on few keyboards
    if comma in _GROUP_SIGNS and comma in whole:
        if not re.fullmatch(rf"\d{{1,3}}({re.escape(comma)}\d{{2,3}})*{re.escape(comma)}\d{{3}}",
                            whole, re.ASCII):  # fmt: skip
            raise ValueError(text)
        whole = whole.replace(comma, "")
    digits = f"{whole}{rest}"
    if not re.fullmatch(rf"\d{{1,{MOST_DIGITS}}}", digits, re.ASCII) or (found and not rest):
        raise ValueError(text)
    number = Decimal(f"{whole or 0}.{rest or 0}")
    return -number if minus else number


def _ascii(sign: str) -> str:
    value = unicodedata.decimal(sign, None)
    return sign if value is None else str(value)


def read_amount(text: str, currency: str, language: Language) -> int:
    """The minor units of an ISO 4217 currency that `text` says; ValueError for anything else.

    The currency's sign or code may stand beside the number; more decimals than it has are refused.
    """
    plain = _BLANKS.sub("", text)
    minus = plain[:1] in _MINUS
    plain = plain[1:] if minus else plain
    symbol = _BLANKS.sub("", language.locale.currency_symbols.get(currency, ""))
    for sign in (currency, symbol):
        plain = plain.removeprefix(sign).removesuffix(sign)
    plain = f"-{plain}" if minus else plain
    minor = read_number(plain, language).scaleb(minor_digits(currency))
    if minor != int(minor):
        raise ValueError(text)
    return int(minor)


def written_amount(minor: int, currency: str, language: Language) -> str:
    """Minor units as `read_amount` reads them, without the currency: 1234.50."""
    digits = minor_digits(currency)
    point = get_decimal_symbol(language.locale, numbering_system=language.numbers)
    text = f"{abs(Decimal(minor).scaleb(-digits)):.{digits}f}".replace(".", point)
    return language.digits(f"-{text}" if minor < 0 else text)


def written_number(value: float, language: Language) -> str:
    """A number as `read_number` reads it: 7.5, without group separators."""
    point = get_decimal_symbol(language.locale, numbering_system=language.numbers)
    text = f"{Decimal(repr(value)):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return language.digits(text.replace(".", point))
