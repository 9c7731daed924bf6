"""Answers questions about calendars with recurring-ical-events (RIE) over icalendar.

One JSON line in, one JSON line out. Set logic, exceptions, overrides and ends are the
library's own. icalendar keeps zones by name, so they are forgotten between questions, and a
known name whose rules in the text are not the known ones (`own`) gets another name.
It imports nothing of weeksync and is run as a program.
"""

from __future__ import annotations

import json
import re
import sys
import zoneinfo
from datetime import UTC, date, datetime
from typing import Any

import icalendar
import recurring_ical_events  # type: ignore[import-untyped]
from icalendar.timezone import tzp

zoneinfo.reset_tzpath(to=())  # the packaged zone data, as weeksync reads it
KNOWN = zoneinfo.available_timezones()
ZONE = re.compile(r"BEGIN:VTIMEZONE\r?\nTZID:(.*?)\r?\n.*?END:VTIMEZONE\r?\n", re.DOTALL)


def shown(moment: date) -> str:
    """A time as it is answered."""
    if not isinstance(moment, datetime):
        return moment.isoformat()
    if moment.tzinfo is None:
        raise ValueError("a time without zone")
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def passed_over(zone: re.Match[str]) -> str:
    """A VTIMEZONE, or nothing where icalendar passes over it: slow to read, and without use."""
    return "" if zone[1] in KNOWN else zone[0]


def answer(question: dict[str, Any]) -> list[list[Any]]:
    """What touches the time from the second `first` to the second `last`."""
    tzp.use_zoneinfo()
    own = question["own"]
    text = ZONE.sub(lambda zone: zone[0] if zone[1] in own else passed_over(zone), question["text"])
    for tzid in own:
        text = re.sub(rf"TZID([=:]){re.escape(tzid)}(?=[:;\r\n])", rf"TZID\1Own {tzid}", text)
    low, high = (datetime.fromtimestamp(question[name], UTC) for name in ("first", "last"))
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(text)).between(low, high)
    return [
        [
            shown(one["DTSTART"].dt),
            shown(one.end),
            str(one.get("STATUS", "")) == "CANCELLED",
            str(one.get("SUMMARY", "")),
        ]
        for one in found
    ]


def main() -> None:
    """Answer until the questions end."""
    for line in sys.stdin:
        try:
            reply: dict[str, Any] = {"found": answer(json.loads(line))}
        except Exception as error:  # whatever it is: it is what the library answers
            reply = {"refused": f"{type(error).__name__}: {error}"[:200]}
        print(json.dumps(reply), flush=True)


if __name__ == "__main__":
    main()
