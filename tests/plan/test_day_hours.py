"""Hours of a day as seconds and back, in zones whose clocks do what London's do not."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.config import DayParts, Planning
from weeksync.model.day_parts import PartHours
from weeksync.plan.day_hours import DayHours
from weeksync.plan.local_days import LocalDays
from weeksync.zones import zone

ZONES = (
    "Europe/London", "America/St_Johns", "Australia/Lord_Howe", "Africa/Cairo", "Pacific/Apia",
    "Africa/Casablanca", "Antarctica/Troll", "UTC",
)  # fmt: skip


def hours(name: str, planning: str = "08:00-20:00") -> DayHours:
    """The hours of days in a zone."""
    return DayHours(LocalDays(zone(name)), Planning(hours=planning), PartHours(DayParts()))


MADE = {name: hours(name) for name in ZONES}
MOMENTS = st.datetimes(datetime(1988, 1, 1), datetime(2040, 1, 1), timezones=st.just(UTC))


@given(st.sampled_from(ZONES), MOMENTS)
def test_a_moment_and_back(name: str, moment: datetime) -> None:
    """The short way over the time of day gives what the zone gives; so do days."""
    second = int(moment.timestamp())
    local = MADE[name].moment(second)
    assert MADE[name].seconds(local) == second == local.timestamp()
    assert MADE[name].seconds(moment) == second
    assert MADE[name].day_of(second) == LocalDays(zone(name)).of(local)


@pytest.mark.parametrize("fold", [0, 1])
def test_the_hour_that_comes_twice_before_midnight(fold: int) -> None:
    """St John's until 2011: at 00:01 back to 23:01 of the day before, whose length is 24 hours.

    (tz database: America/St_Johns changed at 00:01 until November 2011; read.)
    """
    local = datetime(2007, 11, 3, 23, 30, tzinfo=zone("America/St_Johns"), fold=fold)
    assert MADE["America/St_Johns"].seconds(local) == local.timestamp()


@pytest.mark.parametrize(
    ("name", "day", "planning", "wanted"),
    [
        ("Europe/London", date(2027, 3, 22), "08:00-20:00",
         [("morning", 240), ("afternoon", 360), ("evening", 120)]),
        ("Europe/London", date(2027, 3, 28), "00:00-08:00", [("morning", 420)]),
        ("Africa/Cairo", date(2026, 4, 24), "00:00-12:30", [("morning", 660), ("afternoon", 30)]),
        ("Pacific/Apia", date(2011, 12, 30), "08:00-20:00", []),
        ("Europe/London", date(2027, 3, 22), "22:00-24:00", [("evening", 120)]),
    ],
)  # fmt: skip
def test_planning_hours_by_part(
    name: str, day: date, planning: str, wanted: list[tuple[str, int]]
) -> None:
    """In minutes; a day that begins at 1 o'clock has none before, one that is missing has none."""
    found = hours(name, planning).planning(day)
    assert [(part.value, (end - start) // 60) for part, (start, end) in found] == wanted


def test_clock_times_of_a_day_and_the_next() -> None:
    """What runs over midnight ends on the next day's clock; a time that is missing moves on.

    RFC 5545 section 3.3.5: a local time in the gap is read with the offset before it.
    """
    made = MADE["Europe/London"]
    start, end = made.between(date(2027, 3, 27), 22 * 60, 30 * 60)
    assert (end - start) // 60 == 7 * 60
    assert made.moment(made.clock(date(2027, 3, 28), 90)).strftime("%H:%M") == "02:30"
    assert made.within(date(2027, 3, 27), 22 * 60, 30 * 60)[1] == made.bounds(date(2027, 3, 27))[1]
