"""Appointments of the household become occurrences by the rules that events follow."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from tests.calendar.support import LONDON, line
from weeksync.calendar import from_appointments
from weeksync.model.files import Appointment
from weeksync.model.limits import ExpandLimits
from weeksync.read.checked import checked

START, END = date(2027, 3, 22), date(2027, 4, 5)


def shown(**values: Any) -> list[str]:
    """The occurrences of one appointment in two weeks, the first with a clock change."""
    one = checked(Appointment, {"id": "a", "title": "A"} | values)
    found = from_appointments([one], START, END, LONDON)
    assert found.problems == ()
    return [line(occurrence) for occurrence in found.occurrences]


def test_once_with_an_end_with_minutes_and_without() -> None:
    """An end, a number of minutes, or nothing."""
    start = datetime(2027, 3, 30, 9)
    assert shown(start=start, end=datetime(2027, 3, 30, 10)) == [
        "2027-03-30T08:00Z/2027-03-30T09:00Z A"
    ]
    assert shown(start=start, minutes=45) == ["2027-03-30T08:00Z/2027-03-30T08:45Z A"]
    assert shown(start=start) == ["2027-03-30T08:00Z/2027-03-30T08:00Z A"]


def test_whole_days() -> None:
    """A date is a whole day; an end is the first day that no longer belongs to it."""
    assert shown(start=date(2027, 3, 26)) == ["2027-03-26/2027-03-27 A"]
    assert shown(start=date(2027, 3, 20), end=date(2027, 3, 23)) == ["2027-03-20/2027-03-23 A"]
    assert shown(start=date(2027, 3, 20), end=date(2027, 3, 22)) == []


def test_repeats_and_days_it_is_not_on() -> None:
    """The wall time stays over the change of clocks; a day in not_on is left out."""
    assert shown(
        start=datetime(2027, 3, 1, 9),
        minutes=60,
        repeats="FREQ=WEEKLY;BYDAY=MO,SU",
        not_on=[date(2027, 3, 29)],
    ) == [
        "2027-03-22T09:00Z/2027-03-22T10:00Z A",
        "2027-03-28T08:00Z/2027-03-28T09:00Z A",
        "2027-04-04T08:00Z/2027-04-04T09:00Z A",
    ]
    assert shown(start=date(2027, 3, 1), repeats="FREQ=MONTHLY;BYDAY=1TH;UNTIL=20270501") == [
        "2027-04-01/2027-04-02 A"
    ]


def test_a_night_lasts_as_long_on_every_night() -> None:
    """From 19:00 to 07:00 is twelve exact hours, in the night of the change too."""
    nights = shown(
        start=datetime(2027, 3, 25, 19), end=datetime(2027, 3, 26, 7), repeats="FREQ=DAILY;COUNT=3"
    )
    assert nights[-1] == "2027-03-27T19:00Z/2027-03-28T07:00Z A"


def test_what_the_household_says_is_carried() -> None:
    """Persons, area, place, away and only_for stand in the occurrence; the source is empty."""
    one = checked(Appointment, {
        "id": "dentist", "title": "Dentist", "person": ["ines", "juno"], "area": "health",
        "start": datetime(2027, 3, 23, 11, 30), "minutes": 45, "place": "Ferrier Row",
        "notes": "Bring the card", "busy": False, "away": True, "only_for": ["ines"],
    })  # fmt: skip
    (found,) = from_appointments([one], START, END, LONDON).occurrences
    assert (found.source, found.collection, found.uid, found.identity) == ("", "", "dentist", "")
    assert (found.persons, found.area, found.only_for) == (("ines", "juno"), "health", ("ines",))
    assert (found.place, found.notes) == ("Ferrier Row", "Bring the card")
    assert (found.busy, found.away, found.zone) == (False, True, "")
    assert found.bounds(LONDON)[0] == datetime(2027, 3, 23, 11, 30, tzinfo=UTC)


def test_a_rule_that_runs_away_is_said() -> None:
    """A rule that takes more than its budget is a problem of appointments.toml."""
    one = checked(Appointment, {
        "id": "a", "title": "Far", "start": datetime(2000, 1, 1),
        "repeats": "FREQ=DAILY;BYMONTHDAY=31;COUNT=90000",
    })  # fmt: skip
    limits = ExpandLimits(steps_per_uid=1000)
    found = from_appointments([one], START, END, LONDON, limits)
    assert found.occurrences == ()
    assert str(found.problems[0]).startswith('appointments.toml: how the appointment "Far"')
    assert from_appointments([one], START, END, LONDON).problems == ()
