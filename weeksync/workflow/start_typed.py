"""What was filled in on a page of the first evening, and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from weeksync.language import Language, minor_digits
from weeksync.message import Message, message
from weeksync.model.money import MOST

Fields = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class FieldWrong:
    """A mistake in what was sent; `field` is the name of the field, "" where it is none's."""

    field: str
    what: Message
    remedy: Message | None = None

    def text(self, language: Language) -> str:
        """What is wrong and what to do, in that language."""
        said = language.text(self.what)
        if self.remedy is None:
            return said
        return language.text(
            message("{what}; {remedy}", what=said, remedy=language.text(self.remedy))
        )


class Typed:
    """The fields of a form as sent; where nothing was sent yet, what stands takes their place."""

    def __init__(self, fields: Fields | None = None) -> None:
        self._fields = fields

    def one(self, name: str, stands: str = "") -> str:
        """A text without the blanks around it."""
        if self._fields is None:
            return stands
        return next(iter(self._fields.get(name, ())[-1:]), "").strip()

    def yes(self, name: str, *, stands: bool = False) -> bool:
        """Whether a box is ticked."""
        return stands if self._fields is None else bool(self._fields.get(name))

    def several(self, name: str, stands: tuple[str, ...] = ()) -> tuple[str, ...]:
        """The boxes of a group that are ticked."""
        return stands if self._fields is None else self._fields.get(name, ())

    def raw(self, name: str) -> str:
        """A text as it was sent, blanks and all."""
        return next(iter((self._fields or {}).get(name, ())[-1:]), "")


def minor_amount(text: str, currency: str) -> int:
    """An amount as people type it, 42.50 or 1 042,50, in minor units; ValueError for none.

    The last point or comma with at most as many digits behind it as the currency has is the
    decimal sign; others group.
    """
    digits = minor_digits(currency)
    plain = "".join(sign for sign in text if not sign.isspace() and sign not in "'’")
    at = max(plain.rfind("."), plain.rfind(","))
    if at >= 0 and 0 < len(plain) - at - 1 <= digits:
        whole, part = plain[:at], plain[at + 1 :]
    else:
        whole, part = plain, ""
    whole = whole.replace(".", "").replace(",", "")
    wrong = ValueError(f"{text[:40]!r} is no amount")
    if not any(sign.isdigit() for sign in plain):
        raise wrong
    try:
        amount = Decimal(f"{whole or '0'}.{part or '0'}").scaleb(digits)
    except InvalidOperation as error:
        raise wrong from error
    if not 0 <= amount <= MOST or amount != amount.to_integral_value():
        raise wrong
    return int(amount)
