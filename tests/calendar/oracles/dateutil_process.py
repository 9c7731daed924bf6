"""Answers questions about calendars with python-dateutil: one JSON line in, one line out.

Rules (`rrulestr`), invented zones of the text (`tzical`, which is slow: known ones are taken
from `zoneinfo`) and skipped times (`resolve_imaginary`) are the library's own. It knows no
events, so the adapter reads the properties, joins RDATEs, takes EXDATEs away by instant, and
reckons ends by RFC 5545: exact for DTEND (3.8.5.3), days by the wall clock and the rest exact
for DURATION (3.3.6). UNTIL is compared as an instant. Overrides, versions and an EXDATE of the
wrong type are refused.
It imports nothing of weeksync and is run as a program.
"""

from __future__ import annotations

import io
import json
import re
import sys
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

from dateutil import tz
from dateutil.rrule import rrulestr

MOST = 20_000
MARGIN = timedelta(days=40)
"""Longer than what is drawn takes, with any offset: outside it nothing touches the window."""
zoneinfo.reset_tzpath(to=())  # the packaged zone data, as weeksync reads it
KNOWN = zoneinfo.available_timezones()
ZONE = re.compile(r"(BEGIN:VTIMEZONE\r?\nTZID:(.*?)\r?\n.*?END:VTIMEZONE\r?\n)", re.DOTALL)
EVENT = re.compile(r"BEGIN:VEVENT\r?\n(.*?)END:VEVENT", re.DOTALL)
LENGTH = re.compile(r"P(?:(\d+)W)?(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?", re.ASCII)


class Refused(Exception):
    """The library cannot be asked this."""


@dataclass(frozen=True)
class Event:
    """A VEVENT: its lines by name, as (parameters, value)."""

    zones: dict[str, tzinfo]
    lines: dict[str, list[tuple[str, str]]] = field(default_factory=dict)

    def read(self, parameters: str, value: str) -> datetime | date:
        """A time with its zone, or a date."""
        if len(value) == 8:
            return date.fromisoformat(value)
        moment = datetime.fromisoformat(value.removesuffix("Z"))
        if value.endswith("Z"):
            return moment.replace(tzinfo=UTC)
        tzid = re.search(r"TZID=([^;]+)", parameters)
        if tzid is None or tzid[1] not in self.zones:
            raise Refused("a zone it does not know")
        return moment.replace(tzinfo=self.zones[tzid[1]])

    def first(self, name: str) -> datetime | date | None:
        """The time of a property that stands once."""
        found = self.lines.get(name)
        return self.read(*found[0]) if found else None

    def listed(self, name: str) -> list[tuple[str, str]]:
        """(parameters, value) of each value of a property."""
        return [
            (parameters, value)
            for parameters, values in self.lines.get(name, ())
            for value in values.split(",")
        ]


def instant(moment: datetime) -> datetime:
    """In UTC; a skipped time is where the clock stands once the gap is over."""
    return tz.resolve_imaginary(moment).astimezone(UTC)


def length(text: str) -> tuple[int, timedelta]:
    """A DURATION: days of the calendar, and exact time."""
    found = LENGTH.fullmatch(text.lstrip("+"))
    if found is None:
        raise Refused("a duration that is none")
    weeks, days, hours, minutes, seconds = (int(one or 0) for one in found.groups())
    return weeks * 7 + days, timedelta(hours=hours, minutes=minutes, seconds=seconds)


def end_of(event: Event, start: datetime | date, own: tuple[int, timedelta] | None) -> Any:
    """When an instance ends."""
    if not isinstance(start, datetime):
        days = max(1, own[0]) if own else 1
        return start + timedelta(days=days)
    if own is None:
        return start
    begun = instant(start).astimezone(start.tzinfo)
    return instant(begun + timedelta(days=own[0])) + own[1]


def own_length(event: Event, start: datetime | date) -> tuple[int, timedelta] | None:
    """How long the event takes."""
    if "DURATION" in event.lines:
        return length(event.lines["DURATION"][0][1])
    end = event.first("DTEND")
    if end is None:
        return None
    if isinstance(start, datetime) and isinstance(end, datetime):
        return 0, instant(end) - instant(start)
    if isinstance(start, datetime) or isinstance(end, datetime):
        raise Refused("it starts as a day and ends as a time")
    return (end - start).days, timedelta(0)


def naive(start: datetime | date) -> datetime:
    """The wall time, of a day its midnight."""
    if isinstance(start, datetime):
        return start.replace(tzinfo=None)
    return datetime.combine(start, time())


def starts(event: Event, start: datetime | date, first: datetime, last: datetime) -> Iterator[Any]:
    """DTSTART, what the rules give, and the RDATEs, each with its own length if it has one."""
    yield start, None
    zone = start.tzinfo if isinstance(start, datetime) else None
    for _, text in event.lines.get("RRULE", ()):
        rule, until = without_until(event, text, start)
        for moment in islice(rrulestr(rule, dtstart=naive(start)), MOST):
            if moment > last:
                break
            if moment < first:
                continue
            one: datetime | date = moment.replace(tzinfo=zone) if zone else moment.date()
            if until is not None and key(one) > until:
                break
            yield one, None
    for parameters, value in event.listed("RDATE"):
        opening, slash, rest = value.partition("/")
        at = event.read(parameters, opening)
        if slash and isinstance(at, datetime):
            exact = (
                length(rest)
                if rest.startswith("P")
                else (0, instant(event.read(parameters, rest)) - instant(at))  # type: ignore[arg-type]
            )
            yield at, exact
        else:
            yield at, None


def without_until(event: Event, text: str, start: datetime | date) -> tuple[str, Any]:
    """The rule without UNTIL, and UNTIL as an instant or date."""
    parts = text.split(";")
    rest = ";".join(part for part in parts if not part.startswith("UNTIL="))
    value = next((part[6:] for part in parts if part.startswith("UNTIL=")), None)
    if value is None:
        return rest, None
    if not isinstance(start, datetime):
        return rest, date.fromisoformat(value[:8])
    if len(value) == 8 or not value.endswith("Z"):
        raise Refused("UNTIL is not in UTC")
    return rest, datetime.fromisoformat(value)


def key(moment: datetime | date) -> datetime | date:
    """What instances are told apart by."""
    return instant(moment) if isinstance(moment, datetime) else moment


def of_event(event: Event, first: datetime, last: datetime) -> Iterator[list[Any]]:
    """The instances of one event."""
    start = event.first("DTSTART")
    if start is None or "RECURRENCE-ID" in event.lines or "EXRULE" in event.lines:
        raise Refused("it knows no overrides")
    gone = {key(event.read(*one)) for one in event.listed("EXDATE")}
    if any(isinstance(one, datetime) != isinstance(start, datetime) for one in gone):
        raise Refused("an EXDATE of another type than DTSTART")
    title = "".join(value for _, value in event.lines.get("SUMMARY", ()))
    cancelled = ("", "CANCELLED") in event.lines.get("STATUS", ())
    usual = own_length(event, start)
    seen: set[datetime | date] = set()
    # A PERIOD says its own end, so it is read before the rule's instance of the same start.
    for moment, own in sorted(starts(event, start, first, last), key=lambda pair: pair[1] is None):
        at = key(moment)
        if at not in gone and at not in seen:
            seen.add(at)
            end = end_of(event, moment, own or usual)
            yield [shown(at), shown(end), cancelled, title]


def shown(moment: datetime | date) -> str:
    """A time as it is answered."""
    if isinstance(moment, datetime):
        return instant(moment).strftime("%Y-%m-%dT%H:%M:%SZ")
    return moment.isoformat()


def own_zone(block: str) -> tzinfo:
    """The zone of a VTIMEZONE's rules."""
    found = tz.tzical(io.StringIO(block)).get()
    if found is None:
        raise Refused("a zone it cannot read")
    return found


def answer(question: dict[str, Any]) -> list[list[Any]]:
    """All instances of a text up to the second `last`."""
    text = re.sub(r"\r?\n[ \t]", "", question["text"])
    zones = {
        name: own_zone(block) if name not in KNOWN or name in question["own"] else ZoneInfo(name)
        for block, name in ZONE.findall(text)
    }
    first, last = (
        datetime.fromtimestamp(question[name], UTC).replace(tzinfo=None) + MARGIN * sign
        for name, sign in (("first", -1), ("last", 1))
    )
    found = []
    bodies = EVENT.findall(text)
    uids = [uid for body in bodies for uid in re.findall(r"^UID:(.*?)\r?$", body, re.MULTILINE)]
    if len(uids) > len(set(uids)):
        raise Refused("it knows no versions of an event")
    for body in bodies:
        event = Event(zones)
        for line in body.splitlines():
            head, _, value = line.partition(":")
            name, _, parameters = head.partition(";")
            event.lines.setdefault(name, []).append((parameters, value))
        found += list(of_event(event, first, last))
    return found


def main() -> None:
    """Answer until the questions end."""
    for line in sys.stdin:
        try:
            reply: dict[str, Any] = {"found": answer(json.loads(line))}
        except Exception as error:  # whatever it is: it is what the library answers
            kind = "" if isinstance(error, Refused) else f"{type(error).__name__}: "
            reply = {"refused": f"{kind}{error}"[:200]}
        print(json.dumps(reply), flush=True)


if __name__ == "__main__":
    main()
