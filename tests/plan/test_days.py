"""Occurrences on the days they touch, in their day part and in the order of the day."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import EXPECTED, LONDON, all_day, at, config, files, planner, timed
from weeksync.model.config import DayParts
from weeksync.model.day_parts import PartHours
from weeksync.model.fields import DayPart
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import Day, LeftOut, LeftOutReason
from weeksync.model.week import IsoWeek
from weeksync.plan.local_days import LocalDays
from weeksync.plan.merge import merge
from weeksync.zones import day_bounds, zone

W12 = IsoWeek(2027, 12)


def titles(day: Day) -> list[str]:
    """The titles on a day, in order."""
    return [one.occurrence.title for one in day.occurrences]


@pytest.mark.parametrize(
    ("week", "hours"),
    [
        (W12, EXPECTED["week_hours"]),
        (IsoWeek(2027, 43), EXPECTED["autumn_week_hours_2027-W43"]),
        (IsoWeek(2027, 13), 168),
    ],
)
def test_weeks_have_the_hours_they_have(week: IsoWeek, hours: float) -> None:
    """The week in which the clocks go forward has 167 hours, the one in autumn 169."""
    assert sum(day.minutes for day in planner().week(week).days) == hours * 60


@pytest.mark.parametrize(
    ("name", "day", "minutes"),
    [
        ("Europe/London", "2027-03-28", 1380),
        ("Europe/London", "2027-10-31", 1500),
        ("Australia/Lord_Howe", "2027-04-04", 1470),
        ("Australia/Lord_Howe", "2026-10-04", 1410),
        ("Africa/Cairo", "2026-04-24", 1380),
        ("Antarctica/Troll", "2026-03-29", 1320),
        ("Pacific/Apia", "2011-12-30", 0),
        ("Pacific/Apia", "2011-12-31", 1440),
    ],
)
def test_days_have_the_length_they_have(name: str, day: str, minutes: int) -> None:
    """Changes of an hour, of half an hour, at midnight, and a day that never was.

    Cases of the tz database 2026f (computed; source lines read in its repository).
    """
    found = planner(tz=zone(name)).day(date.fromisoformat(day))
    assert found.minutes == minutes
    assert bool(found.problems) == (minutes != 1440)
    assert not any(problem.counts for problem in found.problems)


def test_the_busy_times_of_the_demo_week() -> None:
    """Each expected occurrence stands on the day of its local start, at its local time.

    The night shift of Friday stands on Saturday too, the one of Saturday on Sunday.
    """
    made = []
    for number, one in enumerate(EXPECTED["busy"]):
        start = datetime.fromisoformat(one["start_utc"]).astimezone(LONDON)
        end = datetime.fromisoformat(one["end_utc"]).astimezone(LONDON)
        made.append(Occurrence("home", "", str(number), "", one["title"], start, end))
    random.Random(1).shuffle(made)
    spread = planner(occurrences=made).week(W12)
    found = [
        f"{day.date:%a} {one.start:%H:%M}-{one.end:%H:%M} {one.title}"
        for day in spread.days
        for one in (placed.occurrence for placed in day.occurrences if not placed.from_before)
    ]
    wanted = [
        f"{one['london'].rsplit(' ', 1)[0]} {one['title']}"
        for one in sorted(EXPECTED["busy"], key=lambda one: one["start_utc"])
    ]
    assert found == wanted
    carried_over = {
        f"{day.date:%a}": [
            (one.occurrence.title, one.part) for one in day.occurrences if one.from_before
        ]
        for day in spread.days
    }
    assert carried_over == {
        "Mon": [], "Tue": [], "Wed": [], "Thu": [], "Fri": [],
        "Sat": [("Dov night shift", DayPart.MORNING)],
        "Sun": [("Dov night shift", DayPart.MORNING)],
    }  # fmt: skip


def test_the_cousin_stays_over_the_end_of_the_week() -> None:
    """Friday 26 to Monday 29 (DTEND 30): on every one of these days and on no other."""
    asked = planner(occurrences=[all_day("Cousin", date(2027, 3, 26), 4)])
    marks = {
        day.date.day: (one.from_before, one.goes_on)
        for week in (12, 13)
        for day in asked.week(IsoWeek(2027, week)).days
        for one in day.occurrences
    }
    assert marks == {
        26: (False, True),
        27: (True, True),
        28: (True, True),
        29: (True, False),
    }


def test_what_ends_at_midnight_is_not_on_the_next_day() -> None:
    """Intervals are half-open; one without length is on the day of its start."""
    asked = planner(
        occurrences=[
            timed("until midnight", at("2027-03-22 22:00"), 120),
            timed("at midnight", at("2027-03-23 00:00"), 0),
            timed("a minute more", at("2027-03-22 22:00"), 121),
        ]
    )
    assert titles(asked.day(date(2027, 3, 22))) == ["until midnight", "a minute more"]
    assert titles(asked.day(date(2027, 3, 23))) == ["a minute more", "at midnight"]


def test_an_hour_that_comes_twice_lies_in_the_day_that_has_begun() -> None:
    """St. John's fell back from 00:01 to 23:01 (until 2011): the day had begun a minute before.

    2006-10-29 02:31 UTC is the change (tz database); local dates alone would put the second
    23:30 on the Saturday, after a minute of the Sunday.
    """
    tz = zone("America/St_Johns")
    days = LocalDays(tz)
    before = datetime(2006, 10, 29, 2, 0, tzinfo=UTC)
    after = datetime(2006, 10, 29, 3, 0, tzinfo=UTC)
    assert before.astimezone(tz).date() == after.astimezone(tz).date() == date(2006, 10, 28)
    assert days.of(before) == date(2006, 10, 28)
    assert days.of(after) == date(2006, 10, 29)
    start, end = day_bounds(date(2006, 10, 29), tz)
    assert start <= after < end


def test_an_occurrence_across_a_missing_day() -> None:
    """Apia had no 30 December 2011: a night from the 29th ends on the 31st and skips the 30th."""
    tz = zone("Pacific/Apia")
    night = timed("night", datetime(2011, 12, 29, 20, tzinfo=tz), 8 * 60)
    asked = planner(occurrences=[night, all_day("list", date(2011, 12, 30))], tz=tz)
    found = {day: titles(asked.day(date(2011, 12, day))) for day in (29, 30, 31)}
    assert found == {29: ["night"], 30: ["list"], 31: ["night"]}


@pytest.mark.parametrize("name", ["Pacific/Auckland", "America/St_Johns"])
def test_what_a_calendar_says_of_the_ends_of_time_does_no_harm(name: str) -> None:
    """From the year 1 to the year 9999 in either hemisphere: it is on every day between."""
    tz = zone(name)
    endless = Occurrence(
        "home", "", "x", "", "x",
        datetime(1, 1, 1, tzinfo=tz), datetime(9999, 12, 31, 23, 59, tzinfo=tz),
    )  # fmt: skip
    shown, _ = merge([endless], ("home",))
    (found,) = planner(occurrences=shown, tz=tz).day(date(2027, 3, 24)).occurrences
    assert (found.from_before, found.goes_on) == (True, True)


def test_the_order_of_a_day() -> None:
    """All-day first, longer ones before, then by title; the rest by start, end and title."""
    day = date(2027, 3, 24)
    wanted = [
        all_day("a week", date(2027, 3, 22), 7),
        all_day("Bread", day),
        all_day("candles", day),
        timed("short", at("2027-03-24 09:00"), 30),
        timed("Long", at("2027-03-24 09:00"), 60),
        timed("long too", at("2027-03-24 09:00"), 60),
        timed("later", at("2027-03-24 10:00"), 5),
    ]
    for seed in range(5):
        shuffled = random.Random(seed).sample(wanted, len(wanted))
        assert titles(planner(occurrences=shuffled).day(day)) == [one.title for one in wanted]


def test_the_hour_that_comes_twice_is_in_order() -> None:
    """01:30 summer time comes before 01:15 winter time on the day the clocks go back."""
    first = timed("first", datetime(2027, 10, 31, 0, 30, tzinfo=UTC).astimezone(LONDON), 5)
    second = timed("second", datetime(2027, 10, 31, 1, 15, tzinfo=UTC).astimezone(LONDON), 5)
    assert (first.start.hour, second.start.hour) == (1, 1)  # type: ignore[union-attr]
    assert titles(planner(occurrences=[second, first]).day(date(2027, 10, 31))) == [
        "first",
        "second",
    ]


def test_left_out_is_told_in_the_span_it_would_be_in() -> None:
    """Only what would have stood in the span, in the order of its days."""
    left = [
        LeftOut(timed(title, start), LeftOutReason.CANCELLED)
        for title, start in (
            ("late", at("2027-03-28 20:00")),
            ("early", at("2027-03-22 08:00")),
            ("before", at("2027-03-21 08:00")),
        )
    ]
    spread = planner(left_out=left).week(W12)
    assert [one.occurrence.title for one in spread.left_out] == ["early", "late"]


@pytest.mark.parametrize(
    ("clock", "part"),
    [
        ("00:00", "morning"), ("06:00", "morning"), ("11:59", "morning"), ("12:00", "afternoon"),
        ("17:59", "afternoon"), ("18:00", "evening"), ("23:30", "evening"),
    ],
)  # fmt: skip
def test_parts_of_the_usual_day(clock: str, part: str) -> None:
    """What lies before the morning or after the evening joins it."""
    day = planner(occurrences=[timed("x", at(f"2027-03-24 {clock}"), 1)]).day(date(2027, 3, 24))
    assert day.occurrences[0].part == part


@pytest.mark.parametrize(
    ("minutes", "part"),
    [(750, "morning"), (809, "morning"), (810, "afternoon"), (1100, "afternoon"), (30, "morning")],
)
def test_between_two_parts_the_nearer_one(minutes: int, part: str) -> None:
    """With a pause from 12:30 to 14:30 the half of it belongs to each side."""
    hours = PartHours(
        DayParts(morning="07:00-12:30", afternoon="14:30-18:00", evening="19:00-02:00")
    )
    assert hours.part(minutes) == part


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 1439), st.integers(0, 1439)), min_size=3, max_size=3))
def test_every_minute_is_of_the_part_that_is_nearest_to_it(spans: list[tuple[int, int]]) -> None:
    """Whatever the hours are: apart, one in the other, over midnight; of equals the earlier."""
    ends = [end if end > start else 1440 for start, end in spans]
    texts = [
        f"{start // 60:02}:{start % 60:02}-{end // 60:02}:{end % 60:02}" for start, end in spans
    ]
    hours = PartHours(
        DayParts(**dict(zip(("morning", "afternoon", "evening"), texts, strict=True)))
    )
    for minute in range(1440):
        far = [
            max(start - minute, 0, minute - (end - 1))
            for (start, _), end in zip(spans, ends, strict=True)
        ]
        assert hours.part(minute) is list(DayPart)[far.index(min(far))]


def test_the_household_s_own_hours() -> None:
    """A household that rises late has its own morning."""
    settings = config(
        day_parts={"morning": "09:00-14:00", "afternoon": "14:00-19:00", "evening": "19:00-24:00"}
    )
    asked = planner(files(settings), [timed("x", at("2027-03-24 13:00"))])
    assert asked.day(date(2027, 3, 24)).occurrences[0].part is DayPart.MORNING


ZONES = ["Europe/London", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia", "Africa/Cairo"]


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(
    st.sampled_from(ZONES).map(zone),
    st.lists(
        st.tuples(st.integers(-3000, 14_000), st.integers(0, 4000), st.booleans()), max_size=25
    ),
)
def test_days_hold_exactly_what_touches_them(
    tz: ZoneInfo, made: list[tuple[int, int, bool]]
) -> None:
    """Each day has the occurrences that touch it by its bounds, each once, none else.

    `Occurrence.touches`, which compares instants with the bounds of the day, is the check.
    """
    base = datetime(2027, 3, 24, tzinfo=UTC)
    occurrences = []
    for number, (offset, length, whole) in enumerate(made):
        start = (base + timedelta(minutes=offset)).astimezone(tz)
        one = (
            all_day(str(number), start.date(), 1 + length // 1440)
            if whole
            else timed(str(number), start, length)
        )
        occurrences.append(one)
    spread = planner(occurrences=occurrences, tz=tz).span(date(2027, 3, 20), date(2027, 4, 6))
    for day in spread.days:
        wanted = [one.title for one in occurrences if one.touches(day.date, tz)]
        assert sorted(titles(day)) == sorted(wanted)
        for placed in day.occurrences:  # day parts partition what is not all-day
            assert (placed.part is None) == placed.occurrence.all_day
