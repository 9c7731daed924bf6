"""A question: one calendar and a window of days, and what weeksync and the oracles make of it.

Floating times are read where the reader is (RFC 5545 section 3.3.5, form 1), which no oracle
knows: they are told, by giving those times the household's zone in the text they get.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from tests.calendar.oracles.process import Item
from tests.calendar.oracles.zones import with_zones
from weeksync.calendar.expand import expand
from weeksync.model.pulled import StoredObject
from weeksync.zones import first_instant, zone

_NAMED = re.compile(r"TZID=\"?([^\":;\r\n]+)")
_FLOATING = re.compile(
    r"^(DTSTART|DTEND|RECURRENCE-ID|EXDATE|RDATE)((?:;(?!TZID=)[^:;\r\n]+)*)"
    r":(\d{8}T\d{6}(?:[,/][^\r\n]*)?)\r",
    re.MULTILINE,
)
_TIME = re.compile(r"\d{8}T\d{6}(?!Z)")
_FOLD = re.compile(r"\r?\n[ \t]")


@dataclass(frozen=True, slots=True)
class Question:
    """`text` with CRLF, the days [start, end) of the household's zone `tz`, and `own`: known
    zone names whose rules in the text are other ones."""

    text: str
    start: date
    end: date
    tz: str
    own: tuple[str, ...] = ()

    @property
    def low(self) -> datetime:
        """The first instant of the window."""
        return first_instant(self.start, zone(self.tz))

    @property
    def high(self) -> datetime:
        """The instant the window ends before."""
        return first_instant(self.end, zone(self.tz))

    def told(self) -> str:
        """The text as oracles get it: unfolded, no floating times, every known zone defined."""
        head, mark, events = _FOLD.sub("", self.text).partition("BEGIN:VEVENT")
        events = _FLOATING.sub(self._at_home, events)
        return with_zones(head + mark + events, set(_NAMED.findall(events)), self.start.year)

    def _at_home(self, line: re.Match[str]) -> str:
        name, parameters, values = line.groups()
        if self.tz == "UTC":
            values = _TIME.sub(r"\g<0>Z", values)
            return f"{name}{parameters}:{values}\r"
        return f"{name};TZID={self.tz}{parameters}:{values}\r"

    def asked(self) -> dict[str, object]:
        """What goes to a process; `first` and `last` in POSIX seconds."""
        return {
            "text": self.told(),
            "first": int(self.low.timestamp()),
            "last": int(self.high.timestamp()),
            "own": self.own,
        }

    def touched(self, items: Iterable[Item]) -> tuple[Item, ...]:
        """Those that touch the window, half-open; what takes no time lies where it is."""
        low, high = stamp(self.low), stamp(self.high)
        first, last = self.start.isoformat(), self.end.isoformat()

        def touches(item: Item) -> bool:
            start, end = item[:2]
            if "T" not in start:
                return start < last and end > first
            return start < high and (end > low or start >= low)

        return tuple(sorted(item for item in items if touches(item)))


def stamp(moment: datetime | date) -> str:
    """A time as items have it."""
    if not isinstance(moment, datetime):
        return moment.isoformat()
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def moment(text: str) -> datetime:
    """An item's time as an instant; a day as its midnight in UTC."""
    return datetime.fromisoformat(text if "T" in text else f"{text}T00:00:00Z")


def ours(question: Question, content: bytes | None = None) -> tuple[Item, ...]:
    """What weeksync says of the text, or of its bytes, in the form of the oracles' answers."""
    data = question.text.encode() if content is None else content
    one = StoredObject("test", "home", "a.ics", "", "", data)
    found = expand([one], question.start, question.end, zone(question.tz)).occurrences
    return tuple(
        sorted(
            (stamp(one.start), stamp(one.end), one.cancelled, one.title)
            for one in found
            if not one.journal
        )
    )
