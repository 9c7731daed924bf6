"""What was filled in on a page of the first evening, and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping

from weeksync.language import Language
from weeksync.language.amounts import read_amount
from weeksync.lazy import dataclass
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


def bill_amount(text: str, currency: str, language: Language) -> int:
    """What is to be paid, in minor units, as it is typed in that language; ValueError for less
    than nothing, and for no amount."""
    found = read_amount(text, currency, language)
    if not 0 <= found <= MOST:
        raise ValueError(text)
    return found
