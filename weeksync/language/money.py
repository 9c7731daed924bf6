"""Amounts of money: counted by ISO 4217, shown by CLDR.

CLDR's digits are how many digits people write, not how many the currency has: it gives 0 for
LBP, whose minor unit is a hundredth. Amounts in household files are minor units of ISO 4217.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel import Locale

MINOR_DIGITS: dict[str, int] = dict.fromkeys(
    ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND",
     "VUV", "XAF", "XOF", "XPF"),
    0,
) | dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3) | dict.fromkeys(
    ("CLF", "UYW"), 4
)  # fmt: skip
"""The currencies of ISO 4217 whose minor unit is no hundredth.

Written from memory; compared with the list of the maintenance agency as the PyPI package
`iso4217` 1.16.20260101 carries it: the same 26 codes. The standard itself is a paid text.
"""


def minor_digits(currency: str) -> int:
    """How many decimal digits the minor unit of the currency has by ISO 4217; 2 for most."""
    return MINOR_DIGITS.get(currency, 2)


def format_money(minor: int, currency: str, locale: Locale, numbers: str) -> str:
    """`minor` units of `currency` as the locale writes them, in ASCII digits.

    The separators are those of `numbers`, a numbering system the locale has.

    CLDR decides how many digits are shown, unless that would hide part of the amount: then it
    has all digits of ISO 4217.
    """
    from babel.numbers import get_currency_precision

    digits = minor_digits(currency)
    amount = Decimal(minor).scaleb(-digits)
    pattern = copy.copy(locale.currency_formats["standard"])
    whole = amount == round(amount, get_currency_precision(currency))
    if not whole:
        pattern.frac_prec = (digits, digits)

    def write(group: bool) -> str:
        return str(
            pattern.apply(
                amount,
                locale,
                currency=currency,
                currency_digits=whole,
                group_separator=group,
                numbering_system=numbers,
            )
        )

    return _grouped(locale, numbers, write)


def _grouped(locale: Locale, name: str, write: Callable[[bool], str]) -> str:
    """`write(True)`: a number, its thousands grouped as the locale does in the system `name`.

    Babel 2.19 takes two apostrophes of a number for quotation marks of its pattern and drops
    them: de_CH has 1234567.5 for 1'234'567.5. There `write(False)` is grouped by threes here.
    """
    from babel.numbers import get_group_symbol

    if get_group_symbol(locale, numbering_system=name) != "'":
        return write(True)
    return re.sub(
        r"[0-9]+", lambda run: f"{int(run[0]):,}".replace(",", "'"), write(False), count=1
    )
