"""Clock changes over many instances; single ones are cases, of the subject "Clock changes".

The cases' offsets are those of tz 2026f; for Casablanca and Vancouver see its NEWS for 2026b and
2026c.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from tests.calendar.support import LONDON, calendar, event, expanded, short
from weeksync.zones import tzdata_version


def test_the_zone_data_is_new_enough() -> None:
    """The cases ask for changes that came with release 2026c."""
    assert tzdata_version() >= "2026c"


@pytest.mark.parametrize(("monday", "hours"), [(date(2027, 3, 22), 167), (date(2027, 10, 25), 169)])
def test_hourly_instances_of_a_week_with_a_change(monday: date, hours: int) -> None:
    """In UTC a series of hours has as many instances as the week has hours."""
    text = calendar(event("DTSTART:20270101T000000Z", "RRULE:FREQ=HOURLY"))
    found = expanded(text, monday, monday + timedelta(days=7))
    assert len(found.occurrences) == hours


@pytest.mark.parametrize("end", ["DTEND;TZID=Europe/London:20270102T070000", "DURATION:PT12H"])
def test_twelve_hours_stay_twelve(end: str) -> None:
    """Sections 3.8.5.3 and 3.3.6: exact hours in every night of the year, by both ways."""
    text = calendar(event("DTSTART;TZID=Europe/London:20270101T190000", end, "RRULE:FREQ=DAILY"))
    found = expanded(text, date(2027, 1, 1), date(2028, 1, 1)).occurrences
    lengths = {high - low for low, high in (one.bounds(LONDON) for one in found)}
    assert lengths == {timedelta(hours=12)}
    night = next(one for one in found if short(one.start) == "2027-03-27T19:00Z")
    assert night.end == datetime(2027, 3, 28, 8, tzinfo=LONDON)
