"""Digits: which ones a locale writes by default, and text in them.

Babel takes the separators of a numbering system, but writes ASCII digits in every one, and in
dates whatever the locale; `Numbering.digits` puts the digits in afterwards. What machines read
(ids, addresses, `datetime` attributes, marks) never passes through here and stays ASCII.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import field

from babel import Locale
from babel.numbers import get_group_symbol

from weeksync.lazy import dataclass

ASCII = "latn"
"""CLDR's name of the digits 0 to 9 of ASCII."""

_ZEROS = {
    "adlm": 0x1E950,
    "arab": 0x0660,
    "arabext": 0x06F0,
    "beng": 0x09E6,
    "cakm": 0x11136,
    "deva": 0x0966,
    "hmnp": 0x1E140,
    "mtei": 0xABF0,
    "mymr": 0x1040,
    "nkoo": 0x07C0,
    "olck": 0x1C50,
    "tibt": 0x0F20,
}
"""The digit zero of each system that is some locale's default; one to nine follow it (CLDR,
numberingSystems.xml; The Unicode Standard, section 4.6: decimal digits are encoded in order)."""


@dataclass(frozen=True, slots=True)
class Numbering:
    """A numbering system of CLDR: its `name`, as latn or arab, and its ten digits."""

    name: str
    _table: dict[int, int] = field(repr=False, compare=False)

    def digits(self, text: str) -> str:
        """`text` with the digits of this system in place of the ASCII ones."""
        return text.translate(self._table) if self._table else text


def numbering(locale: Locale) -> Numbering:
    """The default numbering system of the locale: arab for ar_EG, latn for ar_MA (CLDR).

    A system whose digits are not known here is written in ASCII, whole pages of it, rather than
    in a mixture.
    """
    name = str(locale.default_numbering_system)
    zero = _ZEROS.get(name)
    if zero is None:
        return Numbering(ASCII, {})
    return Numbering(name, {ord("0") + value: zero + value for value in range(10)})


def grouped(locale: Locale, name: str, write: Callable[[bool], str]) -> str:
    """`write(True)`: a number, its thousands grouped as the locale does in the system `name`.

    Babel 2.19 takes two apostrophes of a number for quotation marks of its pattern and drops
    them: de_CH has 1234567.5 for 1'234'567.5. There `write(False)` is grouped by threes here.
    """
    if get_group_symbol(locale, numbering_system=name) != "'":
        return write(True)
    return re.sub(
        r"[0-9]+", lambda run: f"{int(run[0]):,}".replace(",", "'"), write(False), count=1
    )
