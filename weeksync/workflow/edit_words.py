"""What the forms of entries are made with: the household's words, what was sent, and slips."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from typing import Any

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.fields import Weekday
from weeksync.model.record import Record
from weeksync.site.record import Option
from weeksync.workflow.context import Context

MOST_ROWS = 60
"""So many rows of a list are read from a form."""

_ROW = re.compile(r"-(\d{1,3})(?:-|\Z)", re.ASCII)


class Slip(Exception):
    """What was typed into the field `name` cannot be: `what` is wrong, and the `remedy`."""

    def __init__(self, name: str, what: Message, remedy: Message) -> None:
        super().__init__(name)
        self.name = name
        self.what = what
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Given:
    """What was sent, by the names of the fields."""

    fields: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """The text in a field, without blanks around it; "" where there is none."""
        return next(iter(self.fields.get(name, ())), "").strip()

    def many(self, name: str) -> tuple[str, ...]:
        """What was ticked in a field."""
        return tuple(dict.fromkeys(one.strip() for one in self.fields.get(name, ()) if one.strip()))

    def rows(self, key: str) -> int:
        """How many rows of the list `key` were sent."""
        found = (
            int(row[1])
            for name in self.fields
            if name.startswith(f"{key}-") and (row := _ROW.match(name, len(key)))
        )
        return min(max(found, default=-1) + 1, MOST_ROWS)


@dataclass(frozen=True, slots=True)
class EditWords:
    """The household as whoever fills in the form may know it.

    `person` has unlocked their own pages; `all_seen` is set at a terminal, where the files lie
    open anyway.
    """

    context: Context
    person: str | None = None
    all_seen: bool = False

    def say(self, sentence: Message) -> str:
        """The sentence in the household's language, its dates as people write them."""
        return self.context.language.text(sentence, dates=True)

    @property
    def amounts(self) -> bool:
        """Whether amounts of money may be shown."""
        return self.all_seen or self.person is not None

    def may_see(self, record: Record) -> bool:
        """Whether an entry is for everybody, or for this person among others."""
        only_for = getattr(record, "only_for", ())
        return self.all_seen or not only_for or self.person in only_for

    def currency(self, record: Any = None) -> str | None:
        """The currency of an entry: its own, else that of its file."""
        return getattr(record, "currency", None) or self.context.files.currency

    def people(self) -> tuple[Option, ...]:
        """Everybody of the household."""
        return tuple(Option(one.id, one.name) for one in self.context.config.people)

    def children(self) -> tuple[Option, ...]:
        """The children, or everybody where nobody is called one."""
        found = [one for one in self.context.config.people if one.child]
        return tuple(Option(one.id, one.name) for one in found) or self.people()

    def areas(self) -> tuple[Option, ...]:
        """The areas of life."""
        return tuple(Option(one.id, one.name) for one in self.context.config.areas)

    def pay_days(self) -> tuple[Option, ...]:
        """The pay days that may be seen."""
        found = [one for one in self.context.files.pay_days if self.may_see(one)]
        return tuple(Option(one.id, one.title) for one in found)

    def terms(self) -> tuple[Option, ...]:
        """The terms."""
        return tuple(Option(one.id, one.name) for one in self.context.files.terms)

    def weekdays(self) -> tuple[Option, ...]:
        """The days of the week, in the order in which the household's begins."""
        days = list(Weekday)
        first = self.context.rule.first_weekday
        ordered = days[first:] + days[:first]
        name = self.context.language.weekday
        return tuple(Option(one.value, name(one.number)) for one in ordered)

    def name(self, person: str) -> str:
        """A person's name; the id where nobody is called so."""
        found = self.context.config.person(person)
        return found.name if found is not None else person


NO_CHOICE = message("none of these")
"""What a list offers where nothing has to be chosen."""
