"""Answers questions about calendars with libical, by ctypes: one JSON line in, one line out.

Instances of rules (`icalrecur_iterator`), exceptions (`icalproperty_recurrence_is_excluded`),
zones of the text and arithmetic are the library's own. What it has not is added here: RDATEs
are joined to what the rules give, an instance named by a RECURRENCE-ID gives way to that
component, and of several versions the highest SEQUENCE counts. `RANGE=THISANDFUTURE` is refused.
Its walk over a rule takes a known zone name for the system's zone, so one with rules of its own
in the text (`own`), and one that the system's data have otherwise, gets another name.
It imports nothing of weeksync and is run as a program.
"""

from __future__ import annotations

import ctypes
import json
import re
import sys
from collections.abc import Iterator
from ctypes import POINTER, Structure, byref, c_char_p, c_int, c_int64, c_short, c_uint, c_void_p
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

MOST = 20_000
SYSTEM, PACKAGED = Path("/usr/share/zoneinfo"), files("tzdata.zoneinfo")
DAYS = [datetime(2005, 1, 1, tzinfo=UTC) + timedelta(days=day) for day in range(12_000)]
ZONE = re.compile(r"^TZID:(.*?)\r?$", re.MULTILINE)
EVENT, TIMEZONE = b"VEVENT", b"VTIMEZONE"


class Time(Structure):
    """`struct icaltimetype` of icaltime.h, version 3."""

    _fields_ = [
        *((name, c_int) for name in ("year", "month", "day", "hour", "minute", "second")),
        ("is_date", c_int), ("is_daylight", c_int), ("zone", c_void_p),
    ]  # fmt: skip


class Duration(Structure):
    """`struct icaldurationtype` of icalduration.h."""

    _fields_ = [
        ("is_neg", c_int),
        *((name, c_uint) for name in ("days", "weeks", "hours", "minutes", "seconds")),
    ]


class Rule(Structure):
    """`struct icalrecurrencetype` of icalrecur.h, version 3."""

    _fields_ = [
        ("freq", c_int), ("until", Time), ("count", c_int), ("interval", c_short),
        ("week_start", c_int),
        ("by_second", c_short * 62), ("by_minute", c_short * 61), ("by_hour", c_short * 25),
        ("by_day", c_short * (7 * 55 + 1)), ("by_month_day", c_short * 32),
        ("by_year_day", c_short * 386), ("by_week_no", c_short * 56), ("by_month", c_short * 14),
        ("by_set_pos", c_short * 386), ("rscale", c_char_p), ("skip", c_int),
    ]  # fmt: skip


def load() -> ctypes.CDLL:
    """libical 3 with the types of what is called here."""
    lib = ctypes.CDLL("libical.so.3")
    pointer, text = c_void_p, c_char_p
    for name, result, *arguments in (
        ("icalparser_parse_string", pointer, text),
        ("icalcomponent_free", None, pointer),
        ("icalcomponent_string_to_kind", c_int, text),
        ("icalproperty_string_to_kind", c_int, text),
        ("icalcomponent_get_first_component", pointer, pointer, c_int),
        ("icalcomponent_get_next_component", pointer, pointer, c_int),
        ("icalcomponent_get_first_property", pointer, pointer, c_int),
        ("icalcomponent_get_next_property", pointer, pointer, c_int),
        ("icalcomponent_count_errors", c_int, pointer),
        ("icalcomponent_get_dtstart", Time, pointer),
        ("icalcomponent_get_dtend", Time, pointer),
        ("icalcomponent_get_duration", Duration, pointer),
        ("icalcomponent_get_sequence", c_int, pointer),
        ("icalcomponent_get_summary", text, pointer),
        ("icalcomponent_get_uid", text, pointer),
        ("icalproperty_get_value_as_string", text, pointer),
        ("icalproperty_get_parameter_as_string", text, pointer, text),
        ("icalproperty_get_rrule", Rule, pointer),
        ("icalproperty_get_datetime_with_component", Time, pointer, pointer),
        ("icalproperty_recurrence_is_excluded", c_int, pointer, POINTER(Time), POINTER(Time)),
        ("icalrecur_iterator_new", pointer, Rule, Time),
        ("icalrecur_iterator_next", Time, pointer),
        ("icalrecur_iterator_free", None, pointer),
        ("icaltime_is_null_time", c_int, Time),
        ("icaltime_compare", c_int, Time, Time),
        ("icaltime_add", Time, Time, Duration),
        ("icaltime_as_timet_with_zone", c_int64, Time, pointer),
        ("icalerror_set_errors_are_fatal", None, c_int),
        ("icalerror_clear_errno", None),
    ):
        function = getattr(lib, name)
        function.restype, function.argtypes = result, arguments
    lib.icalerror_set_errors_are_fatal(0)
    return lib


LIB = load()


class Refused(Exception):
    """The library cannot be asked this."""


class Component:
    """One VEVENT inside the library."""

    def __init__(self, pointer: int) -> None:
        self.pointer = pointer
        self.start: Time = LIB.icalcomponent_get_dtstart(pointer)
        self.named: Time | None = None
        self.sequence: int = LIB.icalcomponent_get_sequence(pointer)
        self.uid: bytes = LIB.icalcomponent_get_uid(pointer) or b""
        self.title = (LIB.icalcomponent_get_summary(pointer) or b"").decode()
        if LIB.icaltime_is_null_time(self.start):
            raise Refused("no DTSTART")
        for one in self.properties("RECURRENCE-ID"):
            self.named = LIB.icalproperty_get_datetime_with_component(one, pointer)
            if LIB.icalproperty_get_parameter_as_string(one, b"RANGE"):
                raise Refused("RANGE is not in the library")

    def properties(self, name: str) -> list[int]:
        """The properties of that name, all at once: a component has one place to read on from."""
        kind = LIB.icalproperty_string_to_kind(name.encode())
        found = []
        one = LIB.icalcomponent_get_first_property(self.pointer, kind)
        while one:
            found.append(one)
            one = LIB.icalcomponent_get_next_property(self.pointer, kind)
        return found

    def values(self, name: str) -> list[bytes]:
        """Their values as text."""
        return [LIB.icalproperty_get_value_as_string(one) for one in self.properties(name)]

    def item(self, start: Time) -> list[Any]:
        """An instance as it is answered."""
        cancelled = b"CANCELLED" in self.values("STATUS")
        return [shown(start), self._end(start), cancelled, self.title]

    def _end(self, start: Time) -> str:
        """Its end: the seconds of the first span later, as the library's own walk over
        recurrences has it, or the library's sum of a date and days."""
        own_end: Time = LIB.icalcomponent_get_dtend(self.pointer)
        if LIB.icaltime_is_null_time(own_end):
            return shown(LIB.icaltime_add(start, Duration(days=1)) if start.is_date else start)
        if start.is_date or self.properties("DURATION"):
            length = LIB.icalcomponent_get_duration(self.pointer)
            return shown(LIB.icaltime_add(start, length))
        return stamp(seconds(start) + seconds(own_end) - seconds(self.start))

    def instances(self, last: int) -> Iterator[Time]:
        """The instances up to `last`, by rule and RDATE, without what EXDATE takes away."""
        yield self.start
        for one in self.properties("RRULE"):
            yield from self._by_rule(LIB.icalproperty_get_rrule(one), last)
        for one in self.properties("RDATE"):
            if LIB.icalproperty_get_parameter_as_string(one, b"VALUE") == b"PERIOD":
                raise Refused("the zone of an RDATE;VALUE=PERIOD is lost in the library")
            yield LIB.icalproperty_get_datetime_with_component(one, self.pointer)

    def _by_rule(self, rule: Rule, last: int) -> Iterator[Time]:
        iterator = LIB.icalrecur_iterator_new(rule, self.start)
        if not iterator:
            raise Refused("the rule is refused")
        try:
            for _ in range(MOST):
                time: Time = LIB.icalrecur_iterator_next(iterator)
                if LIB.icaltime_is_null_time(time) or seconds(time) > last:
                    return
                yield time
            raise Refused("too many instances")
        finally:
            LIB.icalrecur_iterator_free(iterator)

    def excludes(self, time: Time) -> bool:
        """Whether an EXDATE or EXRULE takes that instance away."""
        excluded = LIB.icalproperty_recurrence_is_excluded(
            self.pointer, byref(self.start), byref(time)
        )
        return bool(excluded)


def seconds(time: Time) -> int:
    """POSIX time, of a date its midnight in UTC."""
    return int(LIB.icaltime_as_timet_with_zone(time, time.zone))


def shown(time: Time) -> str:
    """A time as it is answered."""
    if time.is_date:
        return f"{time.year:04}-{time.month:02}-{time.day:02}"
    if not time.zone:
        raise Refused("a time without zone")
    return stamp(seconds(time))


def stamp(at: int) -> str:
    """A POSIX time as it is answered."""
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def components(root: int) -> Iterator[Component]:
    """The VEVENTs of a calendar."""
    kind = LIB.icalcomponent_string_to_kind(EVENT)
    one = LIB.icalcomponent_get_first_component(root, kind)
    while one:
        yield Component(one)
        one = LIB.icalcomponent_get_next_component(root, kind)


def of_one_uid(members: list[Component], last: int) -> Iterator[list[Any]]:
    """What the components of one UID say."""
    chosen: dict[int | None, Component] = {}
    for one in members:
        key = seconds(one.named) if one.named is not None else None
        if key not in chosen or one.sequence >= chosen[key].sequence:
            chosen[key] = one
    master = chosen.pop(None, None)
    for one in chosen.values():
        yield one.item(one.start)
    if master is None:
        return
    seen: set[int] = set()
    for time in master.instances(last):
        key = seconds(time)
        if key in seen or key in chosen or master.excludes(time):
            continue
        seen.add(key)
        yield master.item(time)


@cache
def known_otherwise(name: str) -> bool:
    """Whether the system's zone of that name differs from the packaged one, on any day."""
    system, packaged = SYSTEM / name, PACKAGED.joinpath(name)
    if not system.is_file() or not packaged.is_file():
        return False
    with system.open("rb") as one, packaged.open("rb") as other:
        zones = (ZoneInfo.from_file(one), ZoneInfo.from_file(other))
    return any(len({day.astimezone(zone).utcoffset() for zone in zones}) > 1 for day in DAYS)


def answer(question: dict[str, Any]) -> list[list[Any]]:
    """All instances of a text up to the second `last`."""
    LIB.icalerror_clear_errno()
    text = question["text"]
    named = {name for name in ZONE.findall(text) if known_otherwise(name)}
    for tzid in named.union(question["own"]):
        text = re.sub(rf"TZID([=:]){re.escape(tzid)}(?=[:;\r\n])", rf"TZID\1Own {tzid}", text)
    root = LIB.icalparser_parse_string(text.encode())
    if not root:
        raise Refused("the text is refused")
    try:
        if LIB.icalcomponent_count_errors(root):
            raise Refused("it finds errors in the text")
        by_uid: dict[bytes, list[Component]] = {}
        for one in components(root):
            by_uid.setdefault(one.uid, []).append(one)
        return [item for one in by_uid.values() for item in of_one_uid(one, question["last"])]
    finally:
        LIB.icalcomponent_free(root)


def main() -> None:
    """Answer until the questions end."""
    for line in sys.stdin:
        try:
            reply: dict[str, Any] = {"found": answer(json.loads(line))}
        except Refused as reason:
            reply = {"refused": str(reason)}
        print(json.dumps(reply), flush=True)


if __name__ == "__main__":
    main()
