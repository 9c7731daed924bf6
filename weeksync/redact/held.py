"""What a household holds: every string of its files and calendars, by how private it is.

Files are read without their records: what stands in a file that has mistakes, in a key nobody
knows or in a property of a calendar that nothing else uses, is held all the same.
"""

from __future__ import annotations

import csv
import json
import re
import tomllib
from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import Any

from weeksync.lazy import dataclass


class HeldKind(StrEnum):
    """How private a string is. What stands on a shared page of the first five stops the command."""

    PERSON = "person"
    """A name of somebody of the household, or the household's own."""
    NAME = "name"
    """A name of somebody else."""
    PLACE = "place"
    """A place or an address."""
    EMAIL = "e-mail address"
    PHONE = "telephone number"
    AMOUNT = "amount"
    """A sum of money, as minor units."""
    WORDS = "words"
    """A title, a note: what people wrote."""
    CODE = "code"
    """An id, an address of a calendar, a name of a file or of a device."""


@dataclass(frozen=True, slots=True)
class Held:
    """A string of the household, and the place it was found first."""

    text: str
    kind: HeldKind
    where: str
    """As `tasks.toml: title`, or `calendar home: SUMMARY`."""


_EMAIL = re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+")
_PHONE = re.compile(r"(?<![\w.])\+?\(?\d(?:[\s()./\u2010-\u2013-]?\d){6,14}(?!\w)")
_DATE = re.compile(r"(?:19|20)\d\d-?\d\d-?\d\d|\d{1,2}[./]\d{1,2}[./](?:19|20)?\d\d\b")

_PLACES = frozenset({"place", "location", "address", "geo"})
_SUMS = frozenset({"amount", "actual", "balance", "total", "target", "saved", "sum"})
_NO_WORDS = frozenset({
    "format", "colour", "share", "size", "persons", "times", "dates", "locale", "region",
    "currency", "kind", "rule", "repeats", "hours", "days", "day", "weekday", "first_weekday",
    "part", "morning", "afternoon", "evening", "start", "end", "from", "until", "on", "due",
    "date", "first", "last", "taken_at", "recorded_at", "received_at", "done", "dropped",
    "closed_at", "version", "tzdata", "week", "zone", "share_tasks", "estimate", "time_zone",
    "state", "status",
})  # fmt: skip
"""Keys of household files and records whose values are no words of people's own."""

_REFERENCES = frozenset({
    "id", "person", "persons", "child", "area", "calendar", "task", "pay_day", "only_for",
    "terms", "key", "series", "uid", "source", "path", "url", "caldav", "user", "device",
    "templates", "output", "host", "address", "certificate", "certificate_key", "password_file",
    "password_env", "publish_folder",
})  # fmt: skip
"""Keys whose values are ids, addresses and names of files."""

_LONG_PART = 6
"""Shorter parts of an address are no secrets."""

_FOLD = re.compile(r"\r?\n[ \t]")
_LINE = re.compile(
    r'([A-Za-z0-9-]+)((?:;[^=;:]+=(?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)*):(.*)'
)
_PARAMETER = re.compile(r';([^=;:]+)=((?:"[^"]*"|[^";:,]*)(?:,(?:"[^"]*"|[^";:,]*))*)')
_MEANT = {"n": "\n", "N": "\n"}

_NO_TEXT = frozenset({
    "BEGIN", "END", "VERSION", "CALSCALE", "METHOD", "DTSTART", "DTEND", "DTSTAMP", "DUE",
    "DURATION", "COMPLETED", "CREATED", "LAST-MODIFIED", "RRULE", "EXRULE", "RDATE", "EXDATE",
    "RECURRENCE-ID", "SEQUENCE", "STATUS", "CLASS", "TRANSP", "PRIORITY", "PERCENT-COMPLETE",
    "ACTION", "TRIGGER", "REPEAT", "TZID", "TZOFFSETFROM", "TZOFFSETTO", "TZNAME", "FREEBUSY",
    "REFRESH-INTERVAL",
})  # fmt: skip
"""Properties of RFC 5545 whose values are no words."""

_PEOPLE = frozenset({"ATTENDEE", "ORGANIZER", "CONTACT"})
_CODES = frozenset({"UID", "PRODID", "RELATED-TO", "TZURL", "URL", "SOURCE"})


def of_file(name: str, content: bytes) -> Iterator[Held]:
    """Every string of a file of the household; `name` is its POSIX path inside the folder."""
    text = content.decode("utf-8", "replace").removeprefix("\ufeff")
    if name.endswith(".ics"):
        yield from of_calendar(name, content)
    elif name.endswith((".toml", ".json")):
        try:
            data = tomllib.loads(text) if name.endswith(".toml") else json.loads(text)
        except (ValueError, RecursionError):
            yield from _plain(text, name)
        else:
            yield from _of_data(data, name, (), sums=name == "money.toml" or "archive" in name)
    elif name.endswith(".csv"):
        yield from _of_rows(text, name)
    elif name.endswith(".md"):
        yield from _of_note(text, name)


def of_calendar(where: str, content: bytes) -> Iterator[Held]:
    """Every text of a calendar object (RFC 5545, section 3.1: content lines, unfolded)."""
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        text = content.decode("cp1252", "replace")
    for line in re.split(r"\r\n|\n|\r", _FOLD.sub("", text)):
        found = _LINE.fullmatch(line)
        if found is None:
            yield from _worded(line, where)
            continue
        name = found[1].upper()
        yield from _of_parameters(name, found[2], f"{where}: {name}")
        if name not in _NO_TEXT:
            yield from _of_property(name, _unescaped(found[3]), f"{where}: {name}")


def _of_property(name: str, value: str, where: str) -> Iterator[Held]:
    if name in _PEOPLE:
        address = re.sub(r"^mailto:", "", value, flags=re.I)
        yield from _found_in(address, where)
        kind = HeldKind.NAME if name == "CONTACT" else HeldKind.CODE
        yield Held(address, HeldKind.EMAIL if _EMAIL.fullmatch(address) else kind, where)
    elif "LOCATION" in name or name == "GEO":
        yield from _of_place(value, where)
    elif name in _CODES:
        yield from _of_code(value, where)
    else:
        yield from _worded(value, where)


def _of_parameters(name: str, text: str, where: str) -> Iterator[Held]:
    for key, values in _PARAMETER.findall(text):
        for value in re.findall(r'"[^"]*"|[^",]+', values):
            plain = value.strip('"')
            if key.upper() == "CN":
                yield from _found_in(plain, where)
                yield Held(plain, HeldKind.NAME, f"{where}, CN")
            elif key.upper() in {"X-ADDRESS", "X-TITLE"}:
                yield from _of_place(plain, f"{where}, {key.upper()}")
            elif key.upper() in {"DIR", "ALTREP", "SENT-BY", "MEMBER", "DELEGATED-TO"}:
                yield from _of_code(plain, f"{where}, {key.upper()}")


def _unescaped(value: str) -> str:
    """RFC 5545, section 3.3.11."""
    return re.sub(r"\\(.)", lambda found: _MEANT.get(found[1], found[1]), value)


def _of_data(data: Any, name: str, path: tuple[str, ...], *, sums: bool) -> Iterator[Held]:
    """The strings of a tree of tables and lists, each by the keys it lies under."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _of_data(value, name, (*path, str(key)), sums=sums)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _of_data(value, name, path, sums=sums)
    elif isinstance(data, str):
        yield from _of_value(data, f"{name}: {'.'.join(path)}", path)
    elif isinstance(data, int) and not isinstance(data, bool) and sums and _SUMS & {*path[-1:]}:
        yield Held(str(abs(data)), HeldKind.AMOUNT, f"{name}: {'.'.join(path)}")


def _of_value(value: str, where: str, path: tuple[str, ...]) -> Iterator[Held]:
    key = path[-1] if path else ""
    people = key == "name" and not {"people", "persons", "household"}.isdisjoint(path)
    if people or path[-2:] == ("people", "id"):
        yield Held(value, HeldKind.PERSON, where)
    elif key in _PLACES and path[0] != "serve":
        yield from _of_place(value, where)
    elif key in _REFERENCES:
        yield from _of_code(value, where)
    elif key not in _NO_WORDS:
        yield from _worded(value, where)


def _of_place(value: str, where: str) -> Iterator[Held]:
    """A place, and each line or part between commas of it: a street is private without its town."""
    yield from _found_in(value, where)
    yield Held(value, HeldKind.PLACE, where)
    parts = [one.strip() for one in re.split(r"[,;\n]", value)]
    if len(parts) > 1:
        yield from (Held(one, HeldKind.PLACE, where) for one in parts if not one.isdigit())


def _of_code(value: str, where: str) -> Iterator[Held]:
    """An id or an address, and each part of it: a secret may be one step of a path."""
    yield from _found_in(value, where)
    yield Held(value, HeldKind.CODE, where)
    parts = re.split(r"[^\w-]+", value)
    if len(parts) > 1:
        yield from (Held(one, HeldKind.CODE, where) for one in parts if len(one) >= _LONG_PART)


def _of_rows(text: str, name: str) -> Iterator[Held]:
    try:
        head, *rows = csv.reader(text.splitlines())
    except (csv.Error, ValueError):  # no table, or an empty one: whatever it says is held
        yield from _plain(text, name)
        return
    for row in rows:
        for key, value in zip(head, row, strict=False):
            if key in {"id", "person", "device"}:
                yield Held(value, HeldKind.CODE, f"{name}: {key}")
            elif key == "value" and len(re.sub(r"\D", "", value)) > 2:
                yield Held(value, HeldKind.WORDS, f"{name}: {key}")


def _of_note(text: str, name: str) -> Iterator[Held]:
    """A TOML head between lines of +++, and Markdown under it."""
    parts = re.split(r"^\+\+\+\s*$", text, maxsplit=2, flags=re.M)
    if len(parts) == 3:
        try:
            yield from _of_data(tomllib.loads(parts[1]), name, (), sums=False)
        except ValueError:
            yield from _plain(parts[1], name)
        text = parts[2]
    yield from _plain(text, name)


def _plain(text: str, where: str) -> Iterator[Held]:
    for line in text.splitlines():
        yield from _worded(line.strip(), where)


def _worded(value: str, where: str) -> Iterator[Held]:
    if value.strip():
        yield from _found_in(value, where)
        yield Held(value, HeldKind.WORDS, where)


def _found_in(value: str, where: str) -> Iterator[Held]:
    """The e-mail addresses and telephone numbers that stand in a text."""
    if "@" in value:
        for found in _EMAIL.finditer(value):
            yield Held(found[0], HeldKind.EMAIL, where)
            parts = re.split(r"[^\w-]+", found[0])
            yield from (Held(one, HeldKind.CODE, where) for one in parts if len(one) >= _LONG_PART)
    for found in _PHONE.finditer(value):
        if not _DATE.match(found[0]):
            yield Held(found[0], HeldKind.PHONE, where)


def each_once(held: Iterable[Held]) -> tuple[Held, ...]:
    """Each string of each kind once, with the place it was found first."""
    seen: dict[tuple[str, HeldKind], Held] = {}
    for one in held:
        seen.setdefault((one.text, one.kind), one)
    return tuple(seen.values())
