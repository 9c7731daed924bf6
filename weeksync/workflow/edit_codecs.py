"""Fields of a form and keys of an entry, each way: what stands in the file as people read it,
and what they typed as the file has it.

A codec of one kind of value makes the fields for a record (None: a new entry) and reads what was
sent into keys with their new values, None for a key that is to go. What a form shows and what is
read from it unchanged is the same, so that only what somebody changed is written.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from typing import Any

from weeksync.language.amounts import read_amount, read_number, written_amount, written_number
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.site.record import FormField, Option
from weeksync.workflow.clock import FIRST_YEAR, LAST_YEAR
from weeksync.workflow.edit_words import EditWords, Given, Slip

Values = dict[str, Any]
"""Key of the file → its value; None takes the key away."""

Options = Callable[[EditWords], tuple[Option, ...]]

MOST_SIGNS = 10_000
"""Of a long text in one field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Codec:
    """One key, with the label and the hint of its field."""

    key: str
    label: Message
    hint: Message | None = None
    required: bool = False
    narrow: bool = False

    def fields(self, words: EditWords, record: Any, rows: int = 0) -> tuple[FormField, ...]:
        """The fields with what stands in the record; `rows` of a list at least."""
        return self._fields(words, record, rows)

    def read(self, words: EditWords, given: Given) -> Values:
        """What was typed; Slip where it cannot be."""
        return self._read(words, given)

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        raise NotImplementedError

    def _read(self, words: EditWords, given: Given) -> Values:
        raise NotImplementedError

    def field(self, words: EditWords, kind: str, *values: str, **more: Any) -> FormField:
        """A field of this codec."""
        return FormField(
            kind,
            more.pop("name", self.key),
            words.say(more.pop("label", self.label)),
            tuple(one for one in values if one),
            hint=words.say(self.hint) if self.hint is not None else "",
            required=self.required,
            narrow=self.narrow,
            **more,
        )

    def value(self, record: Any) -> Any:
        """What the record says."""
        return getattr(record, self.key, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text(Codec):
    """Words; `long` ones have several lines."""

    most: int = 300
    long: bool = False

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        most = MOST_SIGNS if self.long else self.most
        kind = "long" if self.long else "text"
        return (self.field(words, kind, self.value(record) or "", most=most),)

    def _read(self, words: EditWords, given: Given) -> Values:
        text = given.text(self.key)
        if self.required and not text:
            raise Slip(self.key, message("there is nothing here yet"), message("write a few words"))
        if not self.long and "\n" in text:
            text = " ".join(text.split())
        return {self.key: text or None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole(Codec):
    """A whole number, in the digits of the household's language or in ASCII."""

    unit: Message | None = None
    default: int | None = None

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value = self.value(record)
        text = "" if value in (None, self.default) else words.context.language.digits(str(value))
        unit = words.say(self.unit) if self.unit is not None else ""
        return (self.field(words, "number", text, unit=unit),)

    def _read(self, words: EditWords, given: Given) -> Values:
        number = _number(words, given, self.key, 30)
        if number is not None and number != int(number):
            raise Slip(
                self.key,
                message("“{value}” is no whole number", value=given.text(self.key)[:40]),
                message("leave the decimals away"),
            )
        return {self.key: int(number) if number is not None else None}


def _number(words: EditWords, given: Given, key: str, example: float) -> Decimal | None:
    text, language = given.text(key), words.context.language
    try:
        return read_number(text, language) if text else None
    except ValueError:
        raise Slip(
            key,
            message("“{value}” is no number", value=text[:40]),
            message("write digits, as {example}", example=written_number(example, language)),
        ) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure(Codec):
    """A number that may have decimals, as the household's language writes it."""

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value = self.value(record)
        text = written_number(value, words.context.language) if value is not None else ""
        return (self.field(words, "amount", text),)

    def _read(self, words: EditWords, given: Given) -> Values:
        number = _number(words, given, self.key, 7.5)
        if number is None:
            return {self.key: None}
        return {self.key: int(number) if number == int(number) else float(number)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount(Codec):
    """Money in minor units, typed as the household's language writes amounts.

    Nobody who has not unlocked their own pages sees it: the field is empty then, and an empty
    field keeps what stands.
    """

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value, currency = self.value(record), words.currency(record)
        text = ""
        if value is not None and currency and words.amounts:
            text = written_amount(value, currency, words.context.language)
        made = self.field(words, "amount", text, unit=currency or "")
        hidden = record is not None and not words.amounts
        if hidden:
            hint = message(
                "It is shown once you have unlocked your own pages. Empty keeps what stands."
            )
            made = replace(made, hint=words.say(hint), required=False)
        return (made,)

    def _read(self, words: EditWords, given: Given) -> Values:
        text = given.text(self.key)
        if not text:
            return {self.key: None} if words.amounts else {}
        currency = given.text("currency").upper() or words.context.files.currency or ""
        if not currency:
            raise Slip(
                "currency",
                message("nothing says in which currency the amount is"),
                message("write the three capital letters of ISO 4217, as GBP"),
            )
        language = words.context.language
        try:
            return {self.key: read_amount(text, currency, language)}
        except ValueError:
            raise Slip(
                self.key,
                message("“{value}” is no amount", value=text[:40]),
                message("write it as {example}", example=written_amount(4250, currency, language)),
            ) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Codec):
    """A date."""

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        value = self.value(record)
        return (self.field(words, "date", value.isoformat() if value is not None else ""),)

    def _read(self, words: EditWords, given: Given) -> Values:
        day = read_day(given, self.key)
        if day is None and self.required:
            raise Slip(self.key, message("there is no date here yet"), message("choose a day"))
        return {self.key: day}


def read_day(given: Given, name: str) -> date | None:
    """The date in a field, None where it is empty; Slip where it is none."""
    text = given.text(name)
    try:
        day = date.fromisoformat(text) if text else None
    except ValueError:
        day = date.max
    if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Slip(
            name,
            message("“{value}” is no date", value=text[:40]),
            message("write year-month-day, as 2027-03-22"),
        )
    return day


def read_clock(given: Given, name: str) -> time | None:
    """The time of day in a field, None where it is empty; Slip where it is none."""
    text = given.text(name)
    try:
        clock = time.fromisoformat(text) if text else None
    except ValueError:
        clock = time.max.replace(tzinfo=None)
        text = text[:40]
    if clock is not None and (clock == time.max or clock.tzinfo is not None):
        raise Slip(
            name,
            message("“{value}” is no time of day", value=text),
            message("write it on the 24-hour clock, as 14:30"),
        )
    return clock


def clock_text(moment: time) -> str:
    """A time of day as `<input type="time">` has it."""
    return moment.isoformat("minutes" if not moment.second else "seconds")
