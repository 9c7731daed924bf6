"""The yardstick: parse every file named once with `icalendar`, and nothing else.

    python -m benchmarks.parse calendars/*.ics

All calendars are held until the end, as by whoever wants to make pages of them.
"""

from __future__ import annotations

import sys
from pathlib import Path

from icalendar import Calendar


def parse(paths: list[Path]) -> int:
    """Parse each file once; the number of VEVENTs in them."""
    calendars = [Calendar.from_ical(path.read_bytes()) for path in paths]
    return sum(
        component.name == "VEVENT" for calendar in calendars for component in calendar.subcomponents
    )


if __name__ == "__main__":
    print(parse([Path(name) for name in sys.argv[1:]]))
