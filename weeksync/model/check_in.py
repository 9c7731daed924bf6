"""What a check-in may say, and the bounds of what is written into one."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import fields

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.marking import plain_digits

MOST_SIGNS = {"feeling": 200, "why": 1000, "help": 1000, "gratitude": 1000}
"""The longest text of each field; the bounds are ours. What stands in a file may be longer."""

STEPS = range(1, 6)
"""Energy, from 1, empty, to 5, full."""

LABELS = {
    "feeling": message("Feeling"),
    "energy": message("Energy"),
    "why": message("Why"),
    "help": message("What would help"),
    "gratitude": message("Grateful for"),
}
"""What the fields are called, in the order in which they are asked."""


@dataclass(frozen=True, slots=True)
class CheckInFields:
    """The five fields of a check-in; each may be empty."""

    feeling: str = ""
    energy: int | None = None
    why: str = ""
    help: str = ""
    gratitude: str = ""

    @property
    def empty(self) -> bool:
        """Whether it says nothing."""
        return self == CheckInFields()

    def said(self) -> dict[str, str | int | None]:
        """Each field by its name."""
        return {one.name: getattr(self, one.name) for one in fields(self)}

    def loses(self, other: CheckInFields) -> bool:
        """Whether something that `other` says would be gone with these in its place."""
        new = self.said()
        return any(value not in ("", None, new[key]) for key, value in other.said().items())


def fields_of(given: Mapping[str, object]) -> CheckInFields:
    """The fields as they arrive, cleaned; UsageError where one cannot be what it is.

    Line ends become newlines and tabs spaces; blanks at the ends are left off. Energy may be a
    number, its digit, or nothing.
    """
    texts = {key: _text(key, given.get(key, "")) for key in MOST_SIGNS}
    return CheckInFields(energy=_energy(given.get("energy")), **texts)


def _text(key: str, value: object) -> str:
    if not isinstance(value, str):
        raise UsageError(message("{field} is no text; write words, or nothing", field=key))
    lines = value.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ").split("\n")
    text = "\n".join(line.rstrip() for line in lines).strip()
    if any(unicodedata.category(sign) in {"Cc", "Cs"} and sign != "\n" for sign in text):
        raise UsageError(message("{field} has control signs; take them out", field=key))
    if len(text) > MOST_SIGNS[key]:
        raise UsageError(
            message(
                "{field} has {count} signs, and at most {most} are taken; write the rest as notes",
                field=key,
                count=len(text),
                most=MOST_SIGNS[key],
            )
        )
    return text


def _energy(value: object) -> int | None:
    if value in (None, ""):
        return None
    known = {str(step): step for step in STEPS}
    found = None if isinstance(value, bool | float) else known.get(plain_digits(str(value).strip()))
    if found is None:
        raise UsageError(
            message(
                'energy = "{value}" is no step; write a number from 1 to 5, or nothing',
                value=str(value)[:40].encode(errors="replace").decode(),
            )
        )
    return found
