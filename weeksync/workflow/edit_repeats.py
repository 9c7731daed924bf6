"""How often a thing repeats: simple choices, and the text of an RRULE for everything else.

RFC 5545 section 3.3.10. A rule that is none of the simple ones stands as it is written, and what
nobody changes is not rewritten.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.site.record import FormField, Option
from weeksync.workflow.edit_codecs import Codec, Values, Whole, read_day
from weeksync.workflow.edit_words import EditWords, Given, Slip

CODES = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
"""BYDAY of section 3.3.10, Monday first."""

CHOICES: dict[str, Message] = {
    "": message("never"),
    "day": message("every day"),
    "week": message("every week, on the days below"),
    "month-day": message("every month, on the same day of the month"),
    "month-weekday": message("every month, on the same weekday, as the second Tuesday"),
    "month-last": message("every month, on its last day"),
    "year": message("every year"),
    "own": message("as the rule below says"),
}
"""What can be chosen; the days are counted from the first date."""

_FREQ = {"day": "DAILY", "week": "WEEKLY", "year": "YEARLY"}


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A rule as the form shows it: `every` n-th time, on `days` (MO …), up to `until`."""

    choice: str = ""
    every: int = 1
    days: tuple[str, ...] = ()
    until: date | None = None
    rule: str = ""


def rhythm(text: str, first: date | None) -> Rhythm:
    """The simple choice that says the same as a rule which counts from `first`, or `own`."""
    if not text:
        return Rhythm()
    own = Rhythm("own", rule=text)
    parts = _parts(text)
    try:
        every = int(parts.pop("INTERVAL", "1"))
        until = _until(parts.pop("UNTIL", ""))
    except ValueError:
        return own
    choice, days = _choice(parts, first)
    return Rhythm(choice, every, days, until) if choice else own


def _parts(text: str) -> dict[str, str]:
    plain = text.strip().upper().removeprefix("RRULE:")
    return dict(part.split("=", 1) for part in plain.split(";") if "=" in part)


def _until(text: str) -> date | None:
    if not text:
        return None
    if len(text) != 8:
        raise ValueError(text)
    return date.fromisoformat(f"{text[:4]}-{text[4:6]}-{text[6:]}")


def _choice(parts: dict[str, str], first: date | None) -> tuple[str, tuple[str, ...]]:
    """(the choice, its days), ("", ()) where there is none."""
    frequency = parts.pop("FREQ", "")
    if frequency == "WEEKLY":
        days = tuple(parts.pop("BYDAY", "").split(",")) if "BYDAY" in parts else ()
        plain = not parts and set(days) <= set(CODES)
        return ("week", tuple(one for one in CODES if one in days)) if plain else ("", ())
    if frequency == "MONTHLY" and first is not None:
        known = {
            (): "month-day",
            (("BYMONTHDAY", str(first.day)),): "month-day",
            (("BYMONTHDAY", "-1"),): "month-last",
            (("BYDAY", _nth(first)),): "month-weekday",
        }
        return known.get(tuple(parts.items()), ""), ()
    simple = {"DAILY": "day", "YEARLY": "year"}.get(frequency, "")
    return ("" if parts else simple), ()


def _nth(day: date) -> str:
    """The weekday of a day and which one of its month it is: 2TU."""
    return f"{(day.day - 1) // 7 + 1}{CODES[day.weekday()]}"


def rule_text(one: Rhythm, first: date | None) -> str:
    """The RRULE text of a choice that counts from `first`; "" for none."""
    if one.choice in ("", "own"):
        return one.rule if one.choice == "own" else ""
    parts = [f"FREQ={_FREQ.get(one.choice, 'MONTHLY')}"]
    if one.every != 1:
        parts.append(f"INTERVAL={one.every}")
    if one.choice == "week" and one.days:
        parts.append(f"BYDAY={','.join(one.days)}")
    elif one.choice == "month-last":
        parts.append("BYMONTHDAY=-1")
    elif first is not None and one.choice == "month-day":
        parts.append(f"BYMONTHDAY={first.day}")
    elif first is not None and one.choice == "month-weekday":
        parts.append(f"BYDAY={_nth(first)}")
    if one.until is not None:
        parts.append(f"UNTIL={one.until:%Y%m%d}")
    return ";".join(parts)


def ended(text: str, last: date) -> str:
    """The rule with `last` as the last day it can fall on."""
    parts = _parts(text)
    parts.pop("COUNT", None)
    parts["UNTIL"] = f"{last:%Y%m%d}"
    return ";".join(f"{name}={value}" for name, value in parts.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats(Codec):
    """The key `repeats`; `first` is the field with the day it counts from.

    `until` is whether the last day is asked for here; some entries have a key of their own.
    """

    first: str
    until: bool = True

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        text = self.value(record) or ""
        shown = rhythm(text, _day_of(record, self.first))
        if shown.until is not None and not self.until:
            shown = Rhythm("own", rule=text)  # there is no field for its last day
        options = tuple(Option(value, words.say(text)) for value, text in CHOICES.items())
        weekdays = _weekdays(words)
        every = str(shown.every) if shown.every != 1 else ""
        made = [
            FormField("choice", self.key, words.say(self.label), (shown.choice,), options),
            FormField(
                "several",
                f"{self.key}_on",
                words.say(message("On these days of the week")),
                shown.days,
                weekdays,
                hint=words.say(message("None: the weekday of the first date.")),
            ),
            FormField(
                "number",
                f"{self.key}_every",
                words.say(message("Every how many")),
                (words.context.language.digits(every),) if every else (),
                hint=words.say(message("2 is every second one; empty is each.")),
                narrow=True,
            ),
        ]
        if self.until:
            last = shown.until.isoformat() if shown.until is not None else ""
            label = words.say(message("Last day of repeating"))
            made.append(
                FormField("date", f"{self.key}_until", label, (last,) if last else (), narrow=True)
            )
        made.append(
            FormField(
                "text",
                f"{self.key}_rule",
                words.say(message("Rule of your own")),
                (shown.rule,) if shown.rule else (),
                hint=words.say(
                    message("RRULE of RFC 5545, as {example}", example="FREQ=MONTHLY;BYDAY=-1FR")
                ),
                most=300,
            )
        )
        return tuple(made)

    def _read(self, words: EditWords, given: Given) -> Values:
        choice, rule = given.text(self.key), given.text(f"{self.key}_rule")
        if choice not in CHOICES:
            raise Slip(self.key, message("nothing is chosen here yet"), message("choose one"))
        self._check_rule(choice, rule)
        every = Whole(key=f"{self.key}_every", label=self.label).read(words, given)
        number = every[f"{self.key}_every"]
        if number is not None and not 1 <= number <= 99_999:
            raise Slip(
                f"{self.key}_every",
                message("there is no such distance"),
                message("write a number from 1 on"),
            )
        until = read_day(given, f"{self.key}_until") if self.until else None
        days = tuple(one for one in CODES if one in given.many(f"{self.key}_on"))
        first = _soft_day(given, self.first)
        wanted = Rhythm(choice, number or 1, days, until, rule)
        return {self.key: rule_text(wanted, first) or None}

    def _check_rule(self, choice: str, rule: str) -> None:
        if choice == "own" and not rule:
            raise Slip(
                f"{self.key}_rule",
                message("there is no rule here yet"),
                message("write one, or choose something else above"),
            )


def _soft_day(given: Given, name: str) -> date | None:
    try:
        return read_day(given, name)
    except Slip:
        return None  # told at its own field


def _day_of(record: Any, key: str) -> date | None:
    found = getattr(record, {"day": "start"}.get(key, key), None)
    return found.date() if isinstance(found, datetime) else found


def _weekdays(words: EditWords) -> tuple[Option, ...]:
    codes = dict(zip(("monday", "tuesday", "wednesday", "thursday", "friday", "saturday",
                      "sunday"), CODES, strict=True))  # fmt: skip
    return tuple(Option(codes[one.value], one.text) for one in words.weekdays())
