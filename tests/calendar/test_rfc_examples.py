"""All 39 worked examples of RFC 5545 section 3.8.5.3, through our own expansion.

The file holds what pages 123 to 132 of the RFC print, in its own notation; the zone is
America/New_York and the window is read in it. The example with UNTIL=19970902T170000Z is
misprinted there: 17:00Z is 13:00 EDT, so of 09:00, 12:00 and 15:00 only the first two are right.
"""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.calendar.rfc_notation import parse
from tests.calendar.support import calendar, event, expanded
from weeksync.zones import zone

NEW_YORK = zone("America/New_York")
EXAMPLES: list[dict[str, Any]] = json.loads(
    (Path(__file__).parent / "data" / "rfc5545-rrule-examples.json").read_text("utf-8")
)["examples"]
MISPRINTED = 33
SETS = [
    pytest.param(example, rule, id=f"{example['n']}-{rule}")
    for example in EXAMPLES
    for rule in example["rrules"]
]


def test_all_examples_are_here() -> None:
    """The section has 39 examples; where it gives two rules for one set, both are tried."""
    assert [example["n"] for example in EXAMPLES] == list(range(1, 40))
    assert len(SETS) == 42


def test_the_notation_is_read() -> None:
    """A list with an ellipsis, a range and an open end is written out."""
    printed = parse(["(1997 9:00 AM EDT) September 2,4,6...12,14;October 1-3", "..."])
    assert [moment.day for moment, _ in printed.times] == [2, 4, 6, 8, 10, 12, 14, 1, 2, 3]
    assert printed.open


@pytest.mark.parametrize(("example", "rule"), SETS)
def test_example(example: dict[str, Any], rule: str) -> None:
    """The set is what the RFC prints: no more, where the print does not go on."""
    printed = parse(example["expected"])
    wanted = printed.times[:-1] if example["n"] == MISPRINTED else printed.times
    zone_line = ";TZID=America/New_York:"
    lines = [f"DTSTART{zone_line}{example['dtstart']}", f"RRULE:{rule}"]
    if example["exdate"]:
        lines.append(f"EXDATE{zone_line}{example['exdate']}")
    day = example["dtstart"]
    first, last = date(int(day[:4]), int(day[4:6]), int(day[6:8])), wanted[-1][0].date()
    end = last + timedelta(days=1) if printed.open else date(last.year + 8, 1, 1)
    found = expanded(calendar(event(*lines)), first, end, NEW_YORK)
    shown = [
        (one.start.replace(tzinfo=None), one.start.tzname())
        for one in found.occurrences
        if isinstance(one.start, datetime)
    ]
    assert shown == wanted
    assert found.problems == ()
