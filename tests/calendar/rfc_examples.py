"""The 39 worked examples of RFC 5545 section 3.8.5.3 as questions with their printed answers.

The file holds what pages 123 to 132 of the RFC print, in its own notation; the zone is
America/New_York. The example with UNTIL=19970902T170000Z is misprinted there: 17:00Z is 13:00
EDT, so of 09:00, 12:00 and 15:00 only the first two are right.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from tests.calendar.rfc_notation import Printed, parse
from tests.calendar.support import calendar, event, expanded
from weeksync.zones import zone

ZONE = "America/New_York"
MISPRINTED = 33
_FILE = Path(__file__).parent / "data" / "rfc5545-rrule-examples.json"


@dataclass(frozen=True)
class Example:
    """One example with one of its rules; `printed` is the answer as the RFC prints it."""

    number: int
    start: str
    rule: str
    excepted: str | None
    printed: tuple[str, ...]

    @property
    def name(self) -> str:
        """`12-FREQ=…`."""
        return f"{self.number}-{self.rule}"

    @property
    def content(self) -> str:
        """The calendar."""
        zone_line = f";TZID={ZONE}:"
        lines = [f"DTSTART{zone_line}{self.start}", f"RRULE:{self.rule}"]
        if self.excepted:
            lines.append(f"EXDATE{zone_line}{self.excepted}")
        return calendar(event(*lines))

    @property
    def wanted(self) -> list[tuple[datetime, str]]:
        """Local times with EDT or EST."""
        times = self._answer.times
        return times[:-1] if self.number == MISPRINTED else times

    @property
    def window(self) -> tuple[date, date]:
        """The days looked at: to the last one printed where the set goes on, else years more."""
        first, last = date.fromisoformat(self.start[:8]), self.wanted[-1][0].date()
        return first, last + timedelta(days=1) if self._answer.open else date(last.year + 8, 1, 1)

    @property
    def _answer(self) -> Printed:
        return parse(self.printed)


def examples() -> list[Example]:
    """All of them; where the RFC gives two rules for one set there are two."""
    return [
        Example(one["n"], one["dtstart"], rule, one["exdate"], tuple(one["expected"]))
        for one in json.loads(_FILE.read_text("utf-8"))["examples"]
        for rule in one["rrules"]
    ]


def faults(example: Example) -> list[str]:
    """What does not hold, in words: the set is to be what the RFC prints, no more and no less."""
    found = expanded(example.content, *example.window, zone(ZONE))
    shown = [
        (one.start.replace(tzinfo=None), one.start.tzname())
        for one in found.occurrences
        if isinstance(one.start, datetime)
    ]
    said = [str(problem) for problem in found.problems]
    return said if shown == example.wanted else [*said, f"{shown} instead of {example.wanted}"]
