"""The demo household's calendars: every busy interval of its week, and each trap in them.

The intervals of `expected.json` were computed without a recurrence library; all fifteen were
also found by `recurring-ical-events`. Zone data 2026f.
"""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

import weeksync.demo
from tests.calendar.support import LONDON, line, short
from weeksync.calendar.expand import expand
from weeksync.model.occurrence import Occurrence
from weeksync.model.pulled import StoredObject
from weeksync.zones import day_bounds

FEEDS = Path(weeksync.demo.__file__).parent / "household" / "calendars"
EXPECTED: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "demo" / "expected.json").read_text("utf-8")
)
MONDAY = date(2027, 3, 22)


def feed(name: str, start: date, end: date) -> tuple[Occurrence, ...]:
    """What one feed of the demo says about these days."""
    content = (FEEDS / f"{name}.ics").read_bytes()
    found = expand([StoredObject(name, name, name, "", "", content)], start, end, LONDON)
    assert found.problems == ()
    return found.occurrences


def titled(title: str, start: date, end: date, name: str = "home") -> list[str]:
    """The occurrences of a feed whose title begins so."""
    return [line(one) for one in feed(name, start, end) if one.title.startswith(title)]


def test_the_fifteen_busy_intervals_of_the_week() -> None:
    """All timed busy occurrences of 2027-W12 are exactly those that are expected."""
    found = [
        one
        for name in ("home", "lessons", "rota", "stall")
        for one in feed(name, MONDAY, MONDAY + timedelta(days=7))
        if one.busy and not one.all_day
    ]
    expected = sorted((one["start_utc"], one["end_utc"]) for one in EXPECTED["busy"])
    assert sorted((short(one.start), short(one.end)) for one in found) == expected
    assert len(expected) == 15


def test_hours_of_the_shifts() -> None:
    """Dov works 47 hours in the week, since the last night is an hour short by its override."""
    hours = timedelta()
    for one in feed("rota", MONDAY, MONDAY + timedelta(days=7)):
        start, end = one.bounds(LONDON)
        hours += end - start
    assert hours == timedelta(hours=EXPECTED["dov_shift_hours_W12"])


@pytest.mark.parametrize(
    ("monday", "key"),
    [(MONDAY, "week_hours"), (date(2027, 10, 25), "autumn_week_hours_2027-W43")],
)
def test_hours_of_the_weeks_with_a_change(monday: date, key: str) -> None:
    """The weeks of the clock changes have 167 and 169 hours."""
    low, high = day_bounds(monday, LONDON)[0], day_bounds(monday + timedelta(days=6), LONDON)[1]
    assert (high - low) / timedelta(hours=1) == EXPECTED[key]


def test_leap_birthday() -> None:
    """Born on 29 February, kept on the last day of February: the 28th in 2027."""
    shown = titled("Pell - birthday", date(2027, 1, 1), date(2029, 1, 1))
    assert [text[:10] for text in shown] == ["2027-02-28", "2028-02-29"]


def test_call_over_three_gaps_and_its_move() -> None:
    """The call moves by our clock as the zones part, and one leaves its week."""
    shown = titled("Call", date(2027, 3, 7), date(2027, 3, 29))
    assert [text[:17] for text in shown] == [
        "2027-03-07T18:30Z",
        "2027-03-14T17:30Z",
        "2027-03-22T10:30Z",
        "2027-03-28T17:30Z",
    ]
    assert titled("Call", date(2027, 3, 15), MONDAY) == []


def test_cousin_over_the_end_of_the_week() -> None:
    """An all-day span from Friday to Monday touches both weeks and never takes time."""
    for start in (MONDAY, MONDAY + timedelta(days=7)):
        shown = titled("Cousin", start, start + timedelta(days=7))
        assert shown == ["2027-03-26/2027-03-30 free Cousin Tamsin staying"]
    assert titled("Cousin", date(2027, 3, 30), date(2027, 4, 5)) == []


def test_exceptions_and_ends_of_lessons_and_swimming() -> None:
    """Half-term is left out of the lessons, 13 February of swimming; both series end."""
    lessons = [one[:10] for one in titled("Home", date(2027, 2, 9), date(2027, 5, 1), "lessons")]
    assert "2027-02-16" not in lessons
    assert lessons[0] == "2027-02-09"
    assert lessons[-1] == "2027-03-25"
    swim = [one[:10] for one in titled("Swimming", date(2027, 2, 1), date(2027, 5, 1))]
    assert "2027-02-13" not in swim
    assert swim[-1] == "2027-04-03"


def test_cancelled_transparent_and_floating() -> None:
    """Piano is cancelled, the books take no time, the dough is at seven by the kitchen clock."""
    week = MONDAY, MONDAY + timedelta(days=7)
    assert titled("Piano", *week) == [
        "2027-03-24T16:00Z/2027-03-24T16:30Z cancelled free Piano - Pell"
    ]
    assert titled("Library", *week) == ["2027-03-25/2027-03-26 free Library books due"]
    dough = [one for one in feed("home", *week) if one.title.startswith("Bread")]
    assert {f"{one.start:%H:%M}" for one in dough} == {"07:00"}
    assert dough[-1].bounds(LONDON)[0] == datetime(2027, 3, 28, 6, tzinfo=UTC)


def test_boiler_in_the_missing_hour() -> None:
    """The check at 01:30 is at 02:30 on the day that has no 01:30, and the sixth is the last."""
    shown = [
        one
        for one in feed("home", date(2027, 3, 1), date(2027, 5, 1))
        if one.title.startswith("Boiler")
    ]
    assert [f"{one.start:%m-%d %H:%M}" for one in shown] == [
        "03-07 01:30", "03-14 01:30", "03-21 01:30", "03-28 02:30", "04-04 01:30", "04-11 01:30",
    ]  # fmt: skip


def test_year_boundary() -> None:
    """Dov's day shift of Sunday 3 January 2027 is in ISO week 2026-W53."""
    shown = titled("Dov day", date(2026, 12, 28), date(2027, 1, 4), "rota")
    assert shown == ["2027-01-03T07:00Z/2027-01-03T19:00Z Dov day shift"]
