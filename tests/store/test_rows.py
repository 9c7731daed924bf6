"""Records to text of the database and back: nothing may be lost or changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from types import MappingProxyType
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from weeksync.calendar.expand import order
from weeksync.message import Message
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.store import rows
from weeksync.zones import zone

LONDON, TOKYO, APIA = zone("Europe/London"), zone("Asia/Tokyo"), zone("Pacific/Apia")

patient = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""A busy machine is no fault of the code."""

texts = st.text(max_size=30)
lists = st.lists(texts, max_size=3).map(tuple)
dates = st.dates()
locals_ = st.datetimes(timezones=st.none())
in_zones = st.builds(
    lambda local, tz, fold: local.replace(tzinfo=tz, fold=fold),
    locals_,
    st.sampled_from([LONDON, TOKYO, UTC, timezone(timedelta(hours=5, minutes=45))]),
    st.integers(0, 1),
)
moments = st.one_of(dates, in_zones)

occurrences = st.builds(
    Occurrence,
    source=st.just("family"),
    collection=texts,
    uid=texts,
    identity=texts,
    title=texts,
    start=moments,
    end=moments,
    zone=texts,
    busy=st.booleans(),
    cancelled=st.booleans(),
    tentative=st.booleans(),
    journal=st.booleans(),
    classification=texts,
    place=texts,
    notes=texts,
    link=texts,
    categories=lists,
    attendees=lists,
    sequence=st.integers(),
    stamp=texts,
    persons=lists,
    area=st.none() | texts,
    away=st.booleans(),
    travel_minutes=st.integers(0, 600),
    only_for=lists,
    also_in=lists,
)
todos = st.builds(
    TodoItem,
    source=texts,
    collection=texts,
    uid=texts,
    identity=texts,
    title=texts,
    start=st.none() | moments,
    due=st.none() | moments,
    priority=st.integers(0, 9),
    status=texts,
    completed=st.none() | dates,
    percent=st.integers(0, 100),
    estimate_minutes=st.none() | st.integers(0),
    classification=texts,
    notes=texts,
    categories=lists,
    sequence=st.integers(),
    stamp=texts,
    persons=lists,
    area=st.none() | texts,
)
values = st.one_of(texts, st.integers(), st.floats(allow_nan=False))
messages = st.builds(
    Message,
    texts,
    st.dictionaries(texts, values, max_size=3).map(MappingProxyType),
    st.none() | texts,
    st.none() | st.integers(0),
)
problems = st.builds(
    Problem,
    st.sampled_from(ProblemKind),
    messages,
    st.builds(Place, texts, st.none() | st.integers(1), texts),
    st.none() | messages,
)


def written(moment: datetime | date | None) -> tuple[object, ...]:
    """All that makes a moment; equality of datetimes alone passes over fold and zone."""
    if not isinstance(moment, datetime):
        return (type(moment), moment)
    zone_of = getattr(moment.tzinfo, "key", moment.tzinfo)
    return (moment.replace(tzinfo=None), moment.fold, zone_of, moment.utcoffset())


@patient
@given(occurrences)
def test_an_occurrence_comes_back_as_it_was(one: Occurrence) -> None:
    """Every field, with zone, fold and offset of both ends, survives the database."""
    (row,) = rows.occurrence_rows([one], "Europe/London")
    (back,) = rows.occurrences_of("family", [(1, 1, *row)], LONDON)
    assert back == one
    assert written(back.start) == written(one.start)
    assert written(back.end) == written(one.end)
    assert hash(back) == hash(one)


@patient
@given(occurrences, occurrences)
def test_rows_are_sorted_as_expansions_are(one: Occurrence, other: Occurrence) -> None:
    """The number of a moment says the same as the order of an expansion does."""
    moments = [order(each)[:3] for each in (one, other)]
    numbers = [rows.moment_number(each) for each in (one, other)]
    assert (moments[0] < moments[1]) is (numbers[0] < numbers[1])
    assert (moments[0] == moments[1]) is (numbers[0] == numbers[1])


@patient
@given(todos)
def test_a_todo_comes_back_as_it_was(one: TodoItem) -> None:
    """Every field of a to-do survives, whichever of its moments are there."""
    back = rows.todo_of(rows.todo_text(one, "Europe/London"), LONDON)
    assert back == one
    assert [written(m) for m in (back.start, back.due)] == [
        written(m) for m in (one.start, one.due)
    ]


@patient
@given(st.lists(problems, max_size=3).map(tuple))
def test_problems_come_back_as_they_were(some: tuple[Problem, ...]) -> None:
    """Sentence, values with their types, plural, count, place and remedy survive."""
    back = rows.problems_of(rows.problems_text(some))
    assert back == some
    for one, other in zip(back, some, strict=True):
        assert [type(value) for value in one.what.values.values()] == [
            type(value) for value in other.what.values.values()
        ]


def test_both_times_of_a_repeated_hour_stay_apart() -> None:
    """01:30 occurs twice in London on 31 October 2027 (IANA data): offsets +01:00 and +00:00."""
    for fold, hours in ((0, 1), (1, 0)):
        moment = datetime(2027, 10, 31, 1, 30, tzinfo=LONDON, fold=fold)
        back = rows.moment_of(rows.moment_text(moment, "Europe/London"), LONDON)
        assert isinstance(back, datetime)
        assert back.utcoffset() == timedelta(hours=hours)


def test_a_time_in_the_gap_keeps_the_offset_before_it() -> None:
    """RFC 5545 section 3.3.5: 01:30 in London on 28 March 2027 does not exist; +00:00 counts."""
    moment = datetime(2027, 3, 28, 1, 30, tzinfo=LONDON)
    back = rows.moment_of(rows.moment_text(moment, "Europe/London"), LONDON)
    assert isinstance(back, datetime)
    assert (back.hour, back.utcoffset()) == (1, timedelta(0))


def test_a_time_without_a_zone_is_not_stored() -> None:
    """A naive time in an occurrence is a fault of ours and must not be guessed at."""
    with pytest.raises(ValueError, match="no zone"):
        rows.moment_text(datetime(2027, 3, 22, 10), "Europe/London")


def test_a_zone_that_is_not_in_the_data_is_not_guessed() -> None:
    """A row in a zone that the present zone data lacks cannot be read."""
    with pytest.raises(ValueError, match="unknown"):
        rows.moment_of("2027-03-22T10:00:00[Mars/Olympus]", LONDON)


def _occurrence(start: datetime | date, end: datetime | date) -> Occurrence:
    return Occurrence("family", "home", "uid", "", "Title", start, end)


@pytest.mark.parametrize(
    ("start", "end", "first", "last"),
    [
        pytest.param(
            datetime(2027, 3, 22, 22, tzinfo=LONDON),
            datetime(2027, 3, 23, 0, 0, tzinfo=LONDON),
            "2027-03-22",
            "2027-03-22",
            id="an end at midnight is not in the next day",
        ),
        pytest.param(
            datetime(2027, 3, 22, 22, tzinfo=LONDON),
            datetime(2027, 3, 23, 6, 0, tzinfo=LONDON),
            "2027-03-22",
            "2027-03-23",
            id="a night shift is in two days",
        ),
        pytest.param(
            datetime(2027, 3, 23, tzinfo=LONDON),
            datetime(2027, 3, 23, tzinfo=LONDON),
            "2027-03-23",
            "2027-03-23",
            id="no length: the day of its start",
        ),
        pytest.param(
            date(2027, 3, 22),
            date(2027, 3, 24),
            "2027-03-22",
            "2027-03-23",
            id="all-day ends before its end date",
        ),
        pytest.param(
            date(2027, 3, 22),
            date(2027, 3, 22),
            "2027-03-22",
            "2027-03-22",
            id="all-day without length",
        ),
        pytest.param(
            datetime(2011, 12, 29, 20, tzinfo=APIA),
            datetime(2011, 12, 31, 0, tzinfo=APIA),
            "2011-12-29",
            "2011-12-29",
            id="Apia had no 30 December 2011 (IANA data)",
        ),
    ],
)
def test_the_days_an_occurrence_touches(
    start: datetime | date, end: datetime | date, first: str, last: str
) -> None:
    """The span by which rows are found is that of `Occurrence.touches`: half-open."""
    assert rows.days_of(_occurrence(start, end)) == (first, last)


@patient
@given(
    st.datetimes(datetime(2026, 1, 1), datetime(2028, 1, 1)),
    st.integers(0, 72 * 60),
    st.sampled_from([LONDON, APIA, zone("America/Sao_Paulo"), zone("Africa/Cairo")]),
)
def test_the_span_of_days_agrees_with_touches(
    local: datetime, minutes: int, home: ZoneInfo
) -> None:
    """Day by day, an occurrence is found by its span exactly where `touches` says yes."""
    start = local.replace(tzinfo=home, second=0, microsecond=0).astimezone(UTC).astimezone(home)
    end = (start.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(home)
    one = _occurrence(start, end)
    first, last = rows.days_of(one)
    for offset in range(-1, 6):
        day = start.date() + timedelta(days=offset)
        assert (first <= day.isoformat() <= last) == one.touches(day, home)
