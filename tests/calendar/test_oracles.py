"""The parts of our own held against libraries, on rules and zones drawn at random.

`python-dateutil` is the oracle for rules, `icalendar` for zones of a calendar's own; whole
calendars are in `test_differential`. What is left out of a comparison is left out because the
oracle is known to differ from RFC 5545 there; each such case has its own file in `data/cases`.
"""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import islice, takewhile
from pathlib import Path

import icalendar
import pytest
from dateutil.rrule import rrulestr
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calendar.oracles.asking import Oracles
from tests.calendar.oracles.drawing import calendar as calendar_of
from tests.calendar.oracles.question import Question, ours
from tests.calendar.support import calendar, event, expanded, short
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps
from weeksync.calendar.walk import instances


@pytest.fixture(scope="module")
def oracles() -> Iterator[Oracles]:
    """The oracles, running."""
    with Oracles() as running:
        yield running


WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
DRAWN = settings(max_examples=120, deadline=None)


def some(values: st.SearchStrategy[str] | st.SearchStrategy[int]) -> st.SearchStrategy[str]:
    """One to three different values, as a part of a rule lists them."""
    several = st.lists(values, min_size=1, max_size=3, unique=True)
    return several.map(lambda found: ",".join(str(one) for one in found))


DAYS = some(st.sampled_from(WEEKDAYS))
NUMBERED = some(
    st.tuples(st.sampled_from((1, 2, 4, 5, -1, -2)), st.sampled_from(WEEKDAYS)).map(
        lambda pair: f"{pair[0]}{pair[1]}"
    )
)
MONTH_DAYS = some(st.sampled_from((1, 2, 13, 28, 29, 30, 31, -1, -2, -31)))


@st.composite
def rules(draw: st.DrawFn, frequencies: tuple[str, ...]) -> str:
    """A rule without UNTIL, such as both sides read alike."""
    freq = draw(st.sampled_from(frequencies))
    parts = [f"FREQ={freq}"]

    def perhaps(name: str, values: st.SearchStrategy[object]) -> None:
        if draw(st.integers(0, 3)) == 0:
            parts.append(f"{name}={draw(values)}")

    perhaps("INTERVAL", st.integers(1, 13))
    perhaps("COUNT", st.integers(1, 40))
    perhaps("WKST", st.sampled_from(WEEKDAYS))
    perhaps("BYMONTH", some(st.integers(1, 12)))
    if freq != "WEEKLY":
        perhaps("BYMONTHDAY", MONTH_DAYS)
    if freq == "YEARLY":
        perhaps("BYYEARDAY", some(st.sampled_from((1, 60, 100, 200, 365, 366, -1, -366))))
    if freq in ("YEARLY", "MONTHLY"):
        perhaps("BYDAY", st.one_of(DAYS, NUMBERED))
    else:
        perhaps("BYDAY", DAYS)
    if freq in ("DAILY", "MONTHLY", "YEARLY"):
        perhaps("BYHOUR", some(st.integers(0, 23)))
        perhaps("BYSETPOS", some(st.sampled_from((1, 2, -1, -2))))
    return ";".join(parts)


STARTS = st.datetimes(datetime(1995, 1, 1), datetime(2030, 1, 1)).map(
    lambda moment: moment.replace(microsecond=0)
)


def by_dateutil(text: str, start: datetime, end: datetime) -> list[datetime]:
    """The times before `end`, with DTSTART as the first of COUNT, as RFC 5545 has it."""
    parts = text.split(";")
    count = next((int(part[6:]) for part in parts if part.startswith("COUNT=")), None)
    rest = ";".join(part for part in parts if not part.startswith("COUNT="))
    later = (moment for moment in rrulestr(rest, dtstart=start) if moment > start)
    times = takewhile(lambda moment: moment < end, later)
    return [start, *islice(times, count - 1 if count is not None else None)]


@DRAWN
@given(rules(("YEARLY", "MONTHLY", "WEEKLY", "DAILY")), STARTS, st.integers(-10, 900))
def test_rules_against_dateutil(text: str, start: datetime, offset: int) -> None:
    """The local times of a rule in a window, entered before, at or long after DTSTART."""
    low = start + timedelta(days=offset)
    high = low + timedelta(days=800)
    found = list(instances(parse_rule(text), start, low, high, Steps(10**7)))
    assert found == [moment for moment in by_dateutil(text, start, high) if moment >= low]


@DRAWN
@given(rules(("HOURLY", "MINUTELY")), STARTS, st.integers(0, 20))
def test_rules_below_the_day_against_dateutil(text: str, start: datetime, offset: int) -> None:
    """The same for hours and minutes, over a shorter window."""
    low = start + timedelta(hours=offset)
    high = low + timedelta(hours=60)
    found = list(instances(parse_rule(text), start, low, high, Steps(10**7)))
    assert found == [moment for moment in _bounded(text, start, high) if moment >= low]


def _bounded(text: str, start: datetime, end: datetime) -> list[datetime]:
    """As by_dateutil, which never comes back where no day near enough passes the rule."""
    days = [part for part in text.split(";") if part.startswith(("BYMONTH", "BYDAY"))]
    every = rrulestr(";".join(("FREQ=DAILY", *days)), dtstart=start.replace(hour=0))
    near = every.between(start - timedelta(days=2), end + timedelta(days=40))
    return by_dateutil(text, start, end) if near else [start]


@st.composite
def week_numbers(draw: st.DrawFn, weekdays: tuple[str, ...]) -> str:
    """A yearly rule over week numbers, with the weekdays that dateutil needs."""
    numbers = draw(some(st.sampled_from((1, 2, 20, 52, 53, -1, -2, -53))))
    start = draw(st.sampled_from(weekdays))
    return f"FREQ=YEARLY;BYWEEKNO={numbers};BYDAY={draw(DAYS)};WKST={start}"


@DRAWN
@given(week_numbers(WEEKDAYS), STARTS)
def test_week_numbers_against_dateutil(text: str, start: datetime) -> None:
    """Week numbers under every first weekday, but for the days around New Year.

    dateutil reckons the last week of the year before with the wrong year's length.
    """

    def inside(moment: datetime) -> bool:
        return moment == start or (1, 4) <= (moment.month, moment.day) <= (12, 28)

    high = start + timedelta(days=3000)
    found = instances(parse_rule(text), start, start, high, Steps(10**7))
    assert list(filter(inside, found)) == list(filter(inside, by_dateutil(text, start, high)))


@DRAWN
@given(week_numbers(("MO",)), STARTS)
def test_week_numbers_against_the_standard_library(text: str, start: datetime) -> None:
    """Under Monday every day's week is the one Python's ISO calendar gives, at New Year too."""
    parts = dict(part.split("=") for part in text.split(";"))
    numbers = {int(number) for number in parts["BYWEEKNO"].split(",")}
    weekdays = {WEEKDAYS.index(day) for day in parts["BYDAY"].split(",")}

    def meant(moment: datetime) -> bool:
        year, week, _ = moment.isocalendar()
        weeks = date(year, 12, 28).isocalendar().week
        return moment.weekday() in weekdays and bool({week, week - weeks - 1} & numbers)

    days = [start + timedelta(days=count) for count in range(1, 4000)]
    high = start + timedelta(days=4000)
    found = list(instances(parse_rule(text), start, start, high, Steps(10**7)))
    assert found == [start, *filter(meant, days)]


@st.composite
def zone_rules(draw: st.DrawFn) -> tuple[str, datetime]:
    """A VTIMEZONE with two changes a year, and a local time clear of them."""
    standard = draw(st.integers(-11, 12))
    shift = draw(st.sampled_from((30, 60, 120)))
    week, month = draw(st.sampled_from(("1SU", "2SU", "-1SU"))), draw(st.integers(2, 5))
    after = timedelta(hours=standard, minutes=shift)
    text = "\n".join((
        "BEGIN:VTIMEZONE", "TZID:Harbour",
        "BEGIN:STANDARD", "DTSTART:19701025T030000",
        f"RRULE:FREQ=YEARLY;BYMONTH={month + 6};BYDAY={week}",
        f"TZOFFSETFROM:{offset(after)}", f"TZOFFSETTO:{offset(timedelta(hours=standard))}",
        "END:STANDARD",
        "BEGIN:DAYLIGHT", "DTSTART:19700329T020000",
        f"RRULE:FREQ=YEARLY;BYMONTH={month};BYDAY={week}",
        f"TZOFFSETFROM:{offset(timedelta(hours=standard))}", f"TZOFFSETTO:{offset(after)}",
        "END:DAYLIGHT", "END:VTIMEZONE",
    ))  # fmt: skip
    local = draw(st.datetimes(datetime(2026, 1, 1, 0), datetime(2028, 1, 1, 0)))
    return text, local.replace(hour=max(local.hour, 6), second=0, microsecond=0)


def offset(of: timedelta) -> str:
    """A UTC offset as iCalendar writes it."""
    minutes = int(of.total_seconds()) // 60
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}{abs(minutes) % 60:02}"


@DRAWN
@given(zone_rules())
def test_own_zone_rules_against_icalendar(drawn: tuple[str, datetime]) -> None:
    """A custom VTIMEZONE gives the instants that icalendar's own zone of it gives."""
    rules_text, local = drawn
    text = calendar(rules_text, event(f"DTSTART;TZID=Harbour:{local:%Y%m%dT%H%M%S}"))
    found = expanded(text, date(2025, 12, 1), date(2028, 3, 1)).occurrences
    theirs = icalendar.Timezone.from_ical(rules_text)
    assert isinstance(theirs, icalendar.Timezone)
    their_zone = theirs.to_tz(lookup_tzid=False)
    assert [short(one.start) for one in found] == [
        short(local.replace(tzinfo=their_zone).astimezone(UTC))
    ]


def test_the_oracles_read_the_packaged_zone_data() -> None:
    """No library in this process looks at the machine's zones, so both sides know the same."""
    assert [Path(one).parts[-2:] for one in zoneinfo.TZPATH] == [("tzdata", "zoneinfo")]


@st.composite
def skipping(draw: st.DrawFn) -> tuple[str, date]:
    """A rule with SKIP for a day that some months have not, and a first day that has it."""
    skip = draw(st.sampled_from(("BACKWARD", "FORWARD")))
    day = draw(st.sampled_from((29, 30, 31)))
    freq = draw(st.sampled_from(("MONTHLY", "YEARLY")))
    parts = [f"RSCALE=GREGORIAN;FREQ={freq};SKIP={skip}", f"INTERVAL={draw(st.integers(1, 3))}"]
    if draw(st.booleans()):
        # Forward onto the 1st, libical counts that day twice: case skip-onto-a-day-of-its-own.
        others = ("", "15,") if skip == "FORWARD" else ("", "1,", "15,")
        parts.append(f"BYMONTHDAY={draw(st.sampled_from(others))}{day}")
        if freq == "YEARLY":
            parts.append("BYMONTH=1,2,6")
    if draw(st.booleans()):
        parts.append(f"COUNT={draw(st.integers(1, 9))}")
    return ";".join(parts), date(2024, 1, day)


@DRAWN
@given(skipping())
def test_skipped_days_against_libical(oracles: Oracles, drawn: tuple[str, date]) -> None:
    """RSCALE=GREGORIAN with SKIP (RFC 7529): days that do not exist go where libical puts them."""
    rule, first = drawn
    lines = [f"DTSTART;VALUE=DATE:{first:%Y%m%d}", f"RRULE:{rule}", "SUMMARY:series"]
    question = Question(calendar_of((), [lines]), first, date(2031, 1, 1), "UTC")
    answer = oracles.ask("libical", question)
    assert not answer.refused
    assert ours(question) == answer.items
