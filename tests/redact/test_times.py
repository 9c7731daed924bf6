"""Times exact, to the hour, as day part, or not at all; what looks the same is one thing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.redact.weeks import on_page, settings, shared
from tests.support.plans import LONDON, all_day, at, timed
from weeksync.model.config import DayParts
from weeksync.model.fields import DayPart
from weeksync.model.occurrence import Occurrence
from weeksync.model.shared import SharedEvent, ShownAs
from weeksync.model.spread import DayOccurrence
from weeksync.redact.times import merged, on_day

MORNING, AFTERNOON, EVENING = DayPart


def busy(times: str, *occurrences: Occurrence, **more: Any) -> list[tuple[str, str, Any]]:
    """(start, end, day part) of what stands there, somebody being busy."""
    level = {"share": "busy"}
    said = settings(calendars=(level, level), times=times, **more)
    return [(one.start, one.end, one.part) for one in on_page(shared(said, occurrences))]


SWIM = timed("Swim", at("2027-03-16 10:40"), 45)


def test_each_way_tells_no_more_than_it_says() -> None:
    """Of ten forty to eleven twenty-five."""
    assert busy("exact", SWIM) == [("10:40", "11:25", MORNING)]
    assert busy("rounded", SWIM) == [("10:00", "12:00", MORNING)]
    assert busy("day part", SWIM) == [("", "", MORNING)]
    assert busy("left out", SWIM) == [("", "", None)]


def test_nothing_tells_that_something_takes_the_whole_day_where_times_are_left_out() -> None:
    """A whole day and an hour look the same, so they are one."""
    whole = all_day("Fair", date(2027, 3, 16))
    assert busy("left out", SWIM, whole) == [("", "", None)]
    assert len(busy("day part", SWIM, whole)) == 2


def test_what_runs_over_midnight_ends_and_begins_there() -> None:
    """On both days, and on the second one in the morning."""
    night = timed("Shift", at("2027-03-16 22:30"), 9 * 60)
    assert busy("exact", night) == [("22:30", "24:00", EVENING), ("00:00", "07:30", MORNING)]
    assert busy("rounded", night) == [("22:00", "24:00", EVENING), ("00:00", "08:00", MORNING)]


def test_what_overlaps_or_touches_is_one_stretch() -> None:
    """How many engagements there were, and of how many persons, is not told."""
    first = timed("A", at("2027-03-16 09:00"), 60)
    second = timed("B", at("2027-03-16 09:30"), 90)
    third = timed("C", at("2027-03-16 11:00"), 15)
    apart = timed("D", at("2027-03-16 11:16"), 14)
    found = busy("exact", first, second, third, apart)
    assert [one[:2] for one in found] == [("09:00", "11:15"), ("11:16", "11:30")]
    assert len(busy("rounded", first, second, third, apart)) == 1
    assert len(busy("day part", first, second, third, apart)) == 1


def test_a_moment_is_rounded_to_an_hour_like_all_else() -> None:
    """Something without length at ten is not told from something until eleven."""
    moment = timed("Call", at("2027-03-16 10:00"), 0)
    assert busy("rounded", moment) == busy("rounded", timed("Call", at("2027-03-16 10:05"), 50))


def test_the_hours_of_day_parts_do_not_show_through_rounded_times() -> None:
    """Ten past and ten to twelve, with a morning that ends at half past eleven: one look."""
    parts = {"morning": "06:00-11:30", "afternoon": "11:30-18:00", "evening": "18:00-23:00"}
    said = settings(calendars=({"share": "busy"},), times="rounded")
    config = replace(said, day_parts=DayParts(**parts))
    early = shared(config, [timed("A", at("2027-03-16 11:10"), 5)])
    late = shared(config, [timed("A", at("2027-03-16 11:50"), 5)])
    assert on_page(early) == on_page(late)


def test_days_are_in_the_order_of_the_alphabet_of_weekdays_not_of_the_region() -> None:
    """Monday first, also of a household whose weeks begin on Sunday: that tells its region."""
    found = shared(settings(calendars=({"share": "busy"},)), [SWIM])
    assert [day.weekday for day in found.shared.days] == list(range(7))


@given(st.lists(st.tuples(st.integers(0, 1440), st.integers(0, 300)), max_size=12))
def test_merged_stretches_cover_the_same_minutes(spans: list[tuple[int, int]]) -> None:
    """Minute by minute, and no two of them touch."""
    given = [(start, start + length) for start, length in spans]
    found = merged(given)
    covered = {minute for start, end in given for minute in range(start, end)}
    assert {minute for start, end in found for minute in range(start, end)} == covered
    assert all(one[1] < two[0] for one, two in pairwise(found))


def periods(times: str, *occurrences: Occurrence) -> list[tuple[str, str]]:
    """The busy times in UTC, as `16T10:40`."""
    level = {"share": "busy"}
    said = settings(calendars=(level, level), times=times, busy_times=True)
    found = shared(said, occurrences).shared.busy
    assert found is not None
    return [(f"{one.start:%dT%H:%M}", f"{one.end:%dT%H:%M}") for one in found]


def test_busy_times_are_in_utc_and_merged() -> None:
    """RFC 5545 sections 3.6.4 and 3.8.2.6; only what may be seen, within the week."""
    late = timed("Late", at("2027-03-21 23:00"), 120)
    assert periods("exact", SWIM, SWIM, late) == [
        ("16T10:40", "16T11:25"),
        ("21T23:00", "22T00:00"),
    ]
    assert periods("rounded", SWIM) == [("16T10:00", "16T12:00")]
    hidden = timed("Hidden", at("2027-03-17 10:00"), source="other")
    assert periods("exact", SWIM, hidden) == [("16T10:40", "16T11:25")]
    assert periods("exact", all_day("Fair", date(2027, 3, 17))) == []


def test_busy_times_are_there_only_where_switched_on() -> None:
    """None, which is not an empty list of them."""
    assert shared(settings(calendars=({"share": "busy"},)), [SWIM]).shared.busy is None


@pytest.mark.parametrize("times", ["left out", "day part"])
def test_busy_times_need_times_that_may_be_shown(times: str) -> None:
    """They would tell what the page leaves out."""
    with pytest.raises(ValueError, match="busy times are times, and times are not shown"):
        settings(times=times, busy_times=True)


def test_a_repeated_hour_never_ends_before_it_begins() -> None:
    """The night clocks go back: from 01:50 summer time to 01:10 winter time, by the clock."""
    start = datetime(2026, 10, 25, 0, 50, tzinfo=UTC).astimezone(LONDON)
    one = timed("Shift", start, 20)
    assert isinstance(one.end, datetime)
    assert (start.strftime("%H:%M"), one.end.strftime("%H:%M")) == ("01:50", "01:10")
    found = on_day(SharedEvent(ShownAs.BUSY, ""), DayOccurrence(one, EVENING), start.date())
    assert found.start is not None
    assert found.end is not None
    assert found.start <= found.end
