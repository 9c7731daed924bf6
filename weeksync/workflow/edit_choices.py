"""Fields in which something is chosen or ticked, and lists with a row of fields each."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.fields import Weekday
from weeksync.site.record import FormField, Option
from weeksync.workflow.edit_codecs import Codec, Options, Values
from weeksync.workflow.edit_words import NO_CHOICE, EditWords, Given, Slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick(Codec):
    """One of several; `side_by_side` where there are few."""

    options: Options
    none: Message | None = NO_CHOICE
    side_by_side: bool = False
    default: str = ""

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        chosen = str(self.value(record) or self.default)
        options = self._known(words)
        if chosen and chosen not in {one.value for one in options}:
            options = (*options, Option(chosen, chosen))  # what stands is kept
        if self.required and not chosen:
            options = (Option("", words.say(message("choose one"))), *options)
        made = self.field(words, "one" if self.side_by_side else "choice", options=options)
        return (replace(made, values=(chosen,)),)

    def _known(self, words: EditWords) -> tuple[Option, ...]:
        none = (Option("", words.say(self.none)),) if self.none is not None else ()
        return (*none, *self.options(words))

    def _read(self, words: EditWords, given: Given) -> Values:
        chosen = given.text(self.key)
        if self.required and not chosen:
            raise Slip(self.key, message("nothing is chosen here yet"), message("choose one"))
        return {self.key: None if chosen in ("", self.default) else chosen}


@dataclass(frozen=True, slots=True, kw_only=True)
class Several(Codec):
    """Any of several. With `one_alone`, one of them is written without a list."""

    options: Options
    one_alone: bool = False

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value = self.value(record) or ()
        chosen = (value,) if isinstance(value, str) else tuple(map(str, value))
        options = self.options(words)
        known = {one.value for one in options}
        more = tuple(Option(one, one) for one in chosen if one not in known)
        return (self.field(words, "several", *chosen, options=(*options, *more)),)

    def _read(self, words: EditWords, given: Given) -> Values:
        chosen = given.many(self.key)
        if self.required and not chosen:
            raise Slip(self.key, message("nothing is chosen here yet"), message("choose one"))
        if self.one_alone and len(chosen) == 1:
            return {self.key: chosen[0]}
        return {self.key: chosen or None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Weekdays(Codec):
    """Days of the week; with `every_day`, all of them and none say the same."""

    every_day: bool = False

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        chosen = tuple(map(str, self.value(record) or ()))
        return (self.field(words, "several", *chosen, options=words.weekdays()),)

    def _read(self, words: EditWords, given: Given) -> Values:
        chosen = given.many(self.key)
        known = tuple(one.value for one in Weekday if one.value in chosen)
        if self.required and not known:
            raise Slip(self.key, message("no day is chosen yet"), message("choose one or more"))
        if self.every_day and len(known) == len(Weekday):
            return {self.key: None}
        return {self.key: known or None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Yes(Codec):
    """Ticked or not; what the file leaves out is `default`."""

    default: bool = False

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value = self.value(record) if record is not None else self.default
        return (self.field(words, "yes", "yes" if value else ""),)

    def _read(self, words: EditWords, given: Given) -> Values:
        ticked = bool(given.text(self.key))
        return {self.key: None if ticked == self.default else ticked}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows(Codec):
    """A list of entries, a row of fields each, with an empty row to add one.

    `parts` are the fields of a row. One part with the key "" is the value itself: a list of days.
    """

    parts: tuple[Codec, ...]

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        held = self.value(record) or ()
        count = max(len(held) + 1, rows)
        made = []
        for place in range(count):
            row = held[place] if place < len(held) else None
            for part in self.parts:
                shown = _Alone(row) if not part.key else row
                made += [
                    replace(
                        one,
                        name=self._name(place, part),
                        label=words.say(
                            message("{label}, {number}", label=one.label, number=place + 1)
                        ),
                        required=False,
                    )
                    for one in replace(part, key=part.key or "only").fields(words, shown)
                ]
        return tuple(made)

    def _name(self, place: int, part: Codec) -> str:
        return f"{self.key}-{place}-{part.key}".rstrip("-")

    def _read(self, words: EditWords, given: Given) -> Values:
        found = []
        for place in range(given.rows(self.key)):
            row = self._row(words, given, place)
            if any(value is not None for value in row.values()):
                found.append(row[""] if "" in row else _said(row))
        return {self.key: tuple(found) or None}

    def _row(self, words: EditWords, given: Given, place: int) -> Values:
        row: Values = {}
        for part in self.parts:
            name = self._name(place, part)
            value = replace(part, key=name, required=False).read(words, given)[name]
            row[part.key] = value
        missing = next((one for one in self.parts if one.required and row[one.key] is None), None)
        if missing is not None and any(value is not None for value in row.values()):
            raise Slip(
                self._name(place, missing),
                message("this belongs to the row, too"),
                message("fill it in, or empty the whole row"),
            )
        return row


def _said(row: Values) -> Values:
    return {key: value for key, value in row.items() if value is not None}


@dataclass(frozen=True, slots=True)
class _Alone:
    """A value that is no record, as the only field of one."""

    only: Any
