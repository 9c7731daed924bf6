"""Absences: never shared, and a week that touches one waits for its end."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.redact.weeks import decision, labels, on_page, settings, shared, spread_of, title_rules
from tests.support.plans import LONDON, all_day, at, files, timed
from weeksync.model.files import Appointment
from weeksync.model.occurrence import Occurrence
from weeksync.redact import Sources, absences, refusals

DAYS = [date(2027, 3, 15) + timedelta(days=by) for by in range(7)]
SAID = title_rules("Trip")


def why(now: datetime, *absences: Occurrence) -> str:
    """Why the week of 15 March may not be shared at that moment, "" where it may."""
    return "".join(str(one) for one in refusals(DAYS, absences, now, LONDON))


def test_a_week_is_shared_once_it_is_over() -> None:
    """Until midnight of the last day, in the household's zone, it is not."""
    waiting = "the week is not over; it can be shared from 2027-03-22 on"
    assert why(datetime(2027, 3, 21, 23, 59, tzinfo=UTC)) == waiting
    assert why(datetime(2027, 3, 18, 12, tzinfo=UTC)) == waiting
    assert why(datetime(2027, 3, 22, 0, 0, tzinfo=UTC)) == ""


def test_an_absence_that_goes_on_keeps_the_week_back() -> None:
    """From Friday to the Monday after: the week can be shared from Tuesday on."""
    trip = all_day("Trip", date(2027, 3, 19), 4, away=True)
    waiting = "an absence that touches the week is not over; it can be shared from 2027-03-23 on"
    assert why(datetime(2027, 3, 22, 12, tzinfo=UTC), trip) == waiting
    assert why(datetime(2027, 3, 23, 0, 0, tzinfo=UTC), trip) == ""


def test_an_absence_that_begins_as_the_week_ends_touches_it() -> None:
    """Intervals are half-open, so they touch in one moment; a day between them is no touch."""
    now = datetime(2027, 3, 22, 12, tzinfo=UTC)
    assert why(now, all_day("Trip", date(2027, 3, 22), 2, away=True)) != ""
    assert why(now, all_day("Trip", date(2027, 3, 23), 2, away=True)) == ""
    assert why(now, timed("Trip", at("2027-03-22 00:00"), 24 * 60, away=True)) != ""


def test_a_journey_of_several_stages_is_one_absence() -> None:
    """Three stages without a gap: the last one keeps the week back, in whatever order they are."""
    stages = [all_day("Trip", date(2027, 3, day), 2, away=True) for day in (20, 22, 24)]
    now = datetime(2027, 3, 25, 12, tzinfo=UTC)
    assert why(now, *stages) != ""
    assert why(now, *reversed(stages)) != ""
    assert why(now, stages[0], stages[2]) == ""


def test_an_absence_of_hours_is_over_when_it_ends() -> None:
    """A night shift from Sunday to Monday at seven: on Monday at eight the week is free."""
    shift = timed("Trip", at("2027-03-21 19:00"), 12 * 60, away=True)
    assert why(datetime(2027, 3, 22, 6, 59, tzinfo=UTC), shift) != ""
    assert why(datetime(2027, 3, 22, 7, 0, tzinfo=UTC), shift) == ""


@given(
    start=st.datetimes(datetime(2027, 3, 1), datetime(2027, 4, 10)),
    minutes=st.integers(0, 60 * 24 * 20),
    later=st.integers(0, 60 * 24 * 30),
)
def test_no_week_is_shared_during_an_absence_that_touches_it(
    start: datetime, minutes: int, later: int
) -> None:
    """Whenever it begins and however long it is, by plain arithmetic on instants."""
    now = datetime(2027, 3, 22, tzinfo=UTC) + timedelta(minutes=later)
    trip = timed("Trip", start.replace(tzinfo=UTC), minutes, away=True)
    begins, ends = start.replace(tzinfo=UTC), start.replace(tzinfo=UTC) + timedelta(minutes=minutes)
    # London is at UTC in that week, and until 28 March 01:00 UTC.
    touches = begins <= datetime(2027, 3, 22, tzinfo=UTC) and ends >= datetime(
        2027, 3, 15, tzinfo=UTC
    )
    assert bool(why(now, trip)) == (touches and ends > now)


def test_what_is_away_is_never_shared_whatever_is_released() -> None:
    """By the person's word, by a rule of then, by a rule of today, all day or for hours."""
    by_rule = title_rules("Trip", rules=[{"title": "trip", "away": True}])
    hours = timed("Trip", at("2027-03-16 10:00"))
    assert labels(shared(SAID, [hours])) == ["Trip"]
    assert labels(shared(by_rule, [hours])) == []
    assert labels(shared(SAID, [timed("Trip", at("2027-03-16 10:00"), away=True)])) == []
    assert labels(shared(SAID, [all_day("Trip", date(2027, 3, 16), away=True)])) == []
    word = "it is an absence, and those are never shared"
    assert str(decision(shared(by_rule, [hours]), "Trip").why) == word


def test_what_takes_a_day_and_more_may_be_an_absence() -> None:
    """Nobody calls it one; it is left out until a rule says that it is none."""
    days = all_day("Trip", date(2027, 3, 16), 2, busy=False)
    long = timed("Trip", at("2027-03-16 10:00"), 24 * 60)
    at_home = title_rules("Trip", rules=[{"title": "trip", "away": False}])
    for one in (days, long):
        assert labels(shared(SAID, [one])) == []
        assert set(labels(shared(at_home, [one]))) == {"Trip"}
    assert labels(shared(SAID, [all_day("Trip", date(2027, 3, 16))])) == ["Trip"]


@pytest.mark.parametrize(("keys", "expected"), [({}, []), ({"away": False}, ["Trip", "Trip"])])
def test_an_appointment_says_itself_that_it_is_no_absence(
    keys: dict[str, Any], expected: list[str]
) -> None:
    """`away = false` in its entry, written down, is the person's word."""
    entry = Appointment(
        id="trip", title="Trip", start=date(2027, 3, 16), end=date(2027, 3, 18), share=True, **keys
    )
    one = all_day("Trip", date(2027, 3, 16), 2, source="", uid="trip")
    assert labels(shared(settings(), [one], appointments=(entry,))) == expected


def test_an_appointment_is_judged_by_its_entry_of_today() -> None:
    """Away, only for somebody, or gone since the week was closed: it is not shared."""
    one = timed("Trip", at("2027-03-16 10:00"), source="", uid="trip")
    entry = Appointment(id="trip", title="Trip", start=datetime(2027, 3, 16, 10), share=True)
    later = {"away": replace(entry, away=True)}
    later["only for"] = replace(entry, only_for=("ines",))
    later["not released"] = replace(entry, share=False)
    assert labels(shared(settings(), [one], appointments=(entry,))) == ["Trip"]
    reserved = replace(one, only_for=("ines",))  # when the week was closed, and not today
    assert labels(shared(settings(), [reserved], appointments=(entry,))) == []
    for changed in later.values():
        assert labels(shared(settings(), [one], appointments=(changed,))) == []
    assert labels(shared(settings(), [one])) == []


def test_an_absence_that_is_only_for_some_keeps_the_week_back_too() -> None:
    """And one of a private calendar; one that was called off does not."""
    said = title_rules(rules=[{"title": "trip", "away": True}])
    trip = timed("Trip", at("2027-03-16 10:00"), only_for=("ines",), classification="PRIVATE")

    def absent(one: Occurrence) -> list[Occurrence]:
        return absences(Sources(spread_of(said, [one]), files(said), LONDON))

    assert absent(trip) == [trip]
    assert absent(replace(trip, title="Swim", away=True)) == [
        replace(trip, title="Swim", away=True)
    ]
    assert absent(replace(trip, cancelled=True)) == []
    assert absent(replace(trip, title="Swim")) == []


def test_busy_times_have_no_absence_in_them() -> None:
    """What is shown during one is cut out of the file of busy times (RFC 5545 section 3.6.4)."""
    level = {"share": "busy"}
    said = settings(calendars=(level, level), times="exact", busy_times=True)
    trip = timed("Trip", at("2027-03-16 11:00"), 120, away=True, source="club")
    swim = timed("Swim", at("2027-03-16 10:00"), 240)
    found = shared(said, [swim, trip])
    spans = [(one.start.hour, one.end.hour) for one in found.shared.busy or ()]
    assert spans == [(10, 11), (13, 14)]
    assert len(on_page(found)) == 1
