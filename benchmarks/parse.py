"""The yardstick: parse every file named once with `icalendar`, and nothing else.

python -m benchmarks.parse calendars/*.ics
"""

from __future__ import annotations

import sys
from pathlib import Path

from icalendar import Calendar


def parse(paths: list[Path]) -> int:
    """Parse each file once; the number of VEVENTs in them."""
    events = 0
    for path in paths:
        calendar = Calendar.from_ical(path.read_bytes())
        events += sum(component.name == "VEVENT" for component in calendar.subcomponents)
    return events


if __name__ == "__main__":
    print(parse([Path(name) for name in sys.argv[1:]]))
