"""Digits: which ones a locale writes by default, and text in them.

Babel takes the separators of a numbering system, but writes ASCII digits in every one, and in
dates whatever the locale; `Numbering.digits` puts the digits in afterwards. What machines read
(ids, addresses, `datetime` attributes, marks) never passes through here and stays ASCII.
"""

from __future__ import annotations

from dataclasses import field

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


def system(default: str) -> str:
    """The numbering system that is written where `default` is that of the locale (CLDR): arab for
    ar_EG, latn for ar_MA.

    A system whose digits are not known here is written in ASCII, whole pages of it, rather than
    in a mixture.
    """
    return default if default in _ZEROS else ASCII


def numbering(name: str) -> Numbering:
    """The numbering system of that name."""
    zero = _ZEROS.get(name)
    return Numbering(
        name, {} if zero is None else {ord("0") + value: zero + value for value in range(10)}
    )
