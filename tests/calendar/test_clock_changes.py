"""Clock changes: the examples of RFC 5545 section 3.3.5 and changes of the tz database.

Offsets are those of tz 2026f; for Casablanca and Vancouver see its NEWS for 2026b and 2026c.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest

from tests.calendar.support import LONDON, calendar, event, expanded, short, starts
from weeksync.zones import tzdata_version, zone


@pytest.mark.parametrize(
    ("local", "utc"),
    [("20071104T013000", "2007-11-04T05:30Z"), ("20070311T023000", "2007-03-11T07:30Z")],
)
def test_repeated_and_missing_time(local: str, utc: str) -> None:
    """Section 3.3.5, p. 34: the first of two, and the offset before the gap."""
    text = calendar(event(f"DTSTART;TZID=America/New_York:{local}"))
    assert starts(expanded(text, date(2007, 1, 1), date(2008, 1, 1))) == [utc]


@pytest.mark.parametrize(
    ("zone_name", "local", "utc"),
    [
        pytest.param("Australia/Lord_Howe", "20270404T013000", "2027-04-03T14:30Z", id="twice"),
        pytest.param("Australia/Lord_Howe", "20270404T020000", "2027-04-03T15:30Z", id="after"),
        pytest.param("Australia/Lord_Howe", "20261004T021000", "2026-10-03T15:40Z", id="gap"),
        pytest.param("Africa/Casablanca", "20260220T120000", "2026-02-20T12:00Z", id="Ramadan"),
        pytest.param("Africa/Casablanca", "20260401T120000", "2026-04-01T11:00Z", id="+01"),
        pytest.param("Africa/Casablanca", "20261201T120000", "2026-12-01T12:00Z", id="2026c"),
        pytest.param("America/Vancouver", "20261201T120000", "2026-12-01T19:00Z", id="2026b"),
        pytest.param("Antarctica/Troll", "20260329T013000", "2026-03-29T01:30Z", id="2 h gap"),
        pytest.param("Pacific/Chatham", "20260927T120000", "2026-09-26T22:15Z", id="+13:45"),
        pytest.param("America/St_Johns", "19880403T003000", "1988-04-03T04:00Z", id="2 h"),
    ],
)
def test_zones_with_unusual_changes(zone_name: str, local: str, utc: str) -> None:
    """Steps of half an hour and two hours, reversals, and changes that are gone by now."""
    assert tzdata_version() >= "2026c"
    text = calendar(event(f"DTSTART;TZID={zone_name}:{local}"))
    assert starts(expanded(text, date(1988, 1, 1), date(2028, 1, 1))) == [utc]


def test_gap_between_st_johns_and_london() -> None:
    """Normally 3 h 30 apart, 2 h 30 from 14 to 27 March 2027."""
    text = calendar(
        event("DTSTART;TZID=America/St_Johns:20270312T150000", "RRULE:FREQ=DAILY;COUNT=18")
    )
    found = expanded(text, date(2027, 3, 1), date(2027, 4, 30)).occurrences
    hours = {f"{one.start:%m-%d}": f"{one.start:%H:%M}" for one in found}
    assert hours["03-13"] == "18:30"
    assert hours["03-14"] == hours["03-27"] == "17:30"
    assert hours["03-28"] == hours["03-29"] == "18:30"


def test_the_day_that_apia_has_not() -> None:
    """30 December 2011 does not exist there: its instance falls on the 31st and counts once."""
    apia = zone("Pacific/Apia")
    text = calendar(event("DTSTART;TZID=Pacific/Apia:20111228T090000", "RRULE:FREQ=DAILY;COUNT=5"))
    found = expanded(text, date(2011, 12, 26), date(2012, 1, 5), apia)
    assert [f"{one.start:%m-%d %H:%M}" for one in found.occurrences] == [
        "12-28 09:00", "12-29 09:00", "12-31 09:00", "01-01 09:00",
    ]  # fmt: skip


def test_days_that_begin_at_one() -> None:
    """Cairo's 24 April 2026 begins at 01:00: a window of that day takes what is at 00:30."""
    cairo = zone("Africa/Cairo")
    text = calendar(event("DTSTART:20260424T003000", uid="gap"), event("DTSTART:20260423T233000"))
    found = expanded(text, date(2026, 4, 24), date(2026, 4, 25), cairo)
    assert [f"{one.start:%d %H:%M}" for one in found.occurrences] == ["24 01:30"]


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
