"""Endless and enormous rules end by count, with a clear problem and the rest still there."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import islice

import pytest

from tests.calendar.support import LONDON, calendar, event, expanded, starts, stored
from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances
from weeksync.model.limits import ExpandLimits, ReadLimits, Spent
from weeksync.model.pulled import RawObject

START, END = date(2027, 1, 1), date(2029, 1, 1)
GOOD = event("DTSTART:20270301T090000Z", "SUMMARY:Good", uid="good")
SIXTY = ",".join(str(number) for number in range(60))


PRODUCT = f"BYMONTH=1;BYDAY=MO;BYHOUR=0,1,2;BYMINUTE={SIXTY};BYSECOND={SIXTY}"


@pytest.mark.parametrize(
    ("start", "rule"),
    [
        pytest.param("20000101", "FREQ=SECONDLY", id="secondly"),
        pytest.param("20000101", "FREQ=SECONDLY;COUNT=1000000000", id="count"),
        pytest.param("20000101", "FREQ=MINUTELY", id="minutely"),
        pytest.param("20000101", f"FREQ=YEARLY;{PRODUCT}", id="products"),
    ],
)
def test_at_most_so_many_of_one_uid(start: str, rule: str) -> None:
    """The first of them are shown up to the limit, one problem says so, others are untouched."""
    limits = ExpandLimits(per_uid=300)
    much = event(f"DTSTART:{start}T000000Z", f"RRULE:{rule}", "SUMMARY:Much")
    found = expanded(calendar(much, GOOD), START, END, limits=limits)
    assert sum(one.title == "Much" for one in found.occurrences) == 300
    assert sum(one.title == "Good" for one in found.occurrences) == 1
    assert [str(problem) for problem in found.problems] == [
        'test (a.ics, line 3): "Much" (a) repeats more often than can be shown; at most 300 times'
        " are; let it repeat less often, or end it, in the calendar it comes from"
    ]


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=HOURLY;BYMONTH=2;BYMONTHDAY=30;COUNT=3",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=3",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=YEARLY;INTERVAL=9999;BYMONTH=4;BYMONTHDAY=31",
    ],
)
def test_rules_that_never_give_anything_end(rule: str) -> None:
    """A rule whose day does not exist comes back, within its budget of steps."""
    found = expanded(calendar(event("DTSTART:16010101T000000Z", f"RRULE:{rule}"), GOOD), START, END)
    assert starts(found) == ["2027-03-01T09:00Z"]


def test_the_budget_of_steps_is_kept() -> None:
    """A walk takes no more steps than it was given, and says when they are spent."""
    start = date(1601, 1, 1)
    from_1601 = instances(
        parse_rule("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=2"),
        _midnight(start),
        _midnight(start),
        _midnight(END),
        Steps(1000),
    )
    next(from_1601)
    with pytest.raises(StepsSpent):
        next(from_1601)


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time())


def test_a_rule_without_count_is_entered_at_the_window() -> None:
    """A rule that began centuries ago costs no more than one that began last year."""
    low, high = _midnight(START), _midnight(START + timedelta(days=7))
    walk = instances(parse_rule("FREQ=DAILY"), _midnight(date(1601, 1, 1)), low, high, Steps(30))
    assert len(list(walk)) == 7


def test_a_simple_count_is_reckoned_and_not_walked() -> None:
    """COUNT of a rule with one time a period bounds it without counting from the start."""
    low, high = _midnight(date(2027, 1, 1)), _midnight(date(2027, 1, 10))
    rule = parse_rule("FREQ=DAILY;INTERVAL=2;COUNT=100000")
    walk = instances(rule, _midnight(date(1900, 1, 1)), low, high, Steps(30))
    found = list(islice(walk, 20))
    assert all((moment.date() - date(1900, 1, 1)).days % 2 == 0 for moment in found)
    assert 4 <= len(found) <= 5


def test_a_source_has_a_limit() -> None:
    """Beyond the source's limit the rest is left out, and that is said once, with a number."""
    events = [
        event("DTSTART:20270101T000000Z", "RRULE:FREQ=DAILY", f"SUMMARY:{at}", uid=str(at))
        for at in range(20)
    ]
    limits = ExpandLimits(per_uid=1000, per_source=1500)
    found = expanded(calendar(*events), START, END, limits=limits)
    assert len(found.occurrences) == 1500
    assert found.spent.occurrences == 1500
    assert "17 events are left out" in str(found.problems[-1])
    assert "up to 1500" in str(found.problems[-1])


def test_what_is_near_goes_first() -> None:
    """With room for little, this week's single events are kept, then those around it."""
    days = [date(2027, 1, 1) + timedelta(days=7 * at) for at in range(50)]
    events = [
        event(f"DTSTART;VALUE=DATE:{day:%Y%m%d}", "SUMMARY:Single", uid=f"{day}") for day in days
    ]
    dense = event("DTSTART:20270101T000000Z", "RRULE:FREQ=HOURLY", uid="dense")
    limits = ExpandLimits(per_source=10)
    objects = [stored(calendar(dense, *events))]
    found = expand(objects, START, END, LONDON, limits, near=days[25])
    assert {one.start for one in found.occurrences} <= set(days[20:31])
    assert days[25] in {one.start for one in found.occurrences}
    assert len(found.occurrences) == 10


def test_a_long_occurrence_counts_for_each_of_its_days() -> None:
    """What lies on every day of the window takes as much room as so many days."""
    lines = ("DTSTART;VALUE=DATE:20200101", "DTEND;VALUE=DATE:20400101")
    events = [event(*lines, uid=str(at)) for at in range(50)]
    limits = ExpandLimits(per_source=3 * (END - START).days)
    found = expanded(calendar(*events), START, END, limits=limits)
    assert len(found.occurrences) == 3


def test_the_first_occurrence_is_shown_however_long_it_is() -> None:
    """A daily event of 27,000 years is there once, and it is said that more are not."""
    lines = ("DTSTART:16010101T000000Z", "RRULE:FREQ=DAILY", "DURATION:P9999999D")
    limits = ExpandLimits(per_uid=300)
    found = expanded(calendar(event(*lines), GOOD), START, END, limits=limits)
    assert [one.title for one in found.occurrences] == ["", "Good"]
    assert "repeats more often than can be shown" in str(found.problems[0])


def test_the_work_of_a_source_has_a_limit() -> None:
    """Many rules that give nothing share one budget; single events need none of it."""
    rule = "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=3"
    events = [event("DTSTART:19000101T000000Z", rule, uid=str(at)) for at in range(50)]
    limits = ExpandLimits(steps_per_uid=10**6, steps_per_source=10**5)
    far = event("DTSTART:20281201T090000Z", uid="far")
    found = expanded(calendar(*events, far), START, END, limits=limits)
    assert "takes too much work" in str(found.problems[-1])
    assert starts(found) == ["2028-12-01T09:00Z"]


def test_a_run_has_a_limit() -> None:
    """What earlier sources of a run took, the next one no longer has."""
    spent = [Spent(occurrences=100, steps=10, entries=5), Spent(occurrences=15)]
    left = ExpandLimits(per_source=50, per_run=120, steps_per_run=20).left_of(spent)
    assert (left.per_source, left.steps_per_source, left.entries_per_source) == (5, 10, 120_000)
    found = expanded(calendar(GOOD), START, END, limits=left.left_of([Spent(10**9, 10**9, 10**9)]))
    assert found.occurrences == ()
    assert "is not read" in str(found.problems[0])


def test_an_object_is_read_up_to_its_limits() -> None:
    """What stands behind so many entries, or so many BEGIN and END lines, is left out and told."""
    events = [event("DTSTART:20270301T090000Z", uid=str(at)) for at in range(30)]
    for read in (ReadLimits(entries=20), ReadLimits(marks=41)):
        limits = ExpandLimits(read=read)
        found = expanded(calendar(*events), START, END, limits=limits)
        assert len(found.occurrences) == 20
        assert "its first 20 events" in str(found.problems[0])
        raw = RawObject("a.ics", "", calendar(*events).encode())
        indexed, problems = index_object("test", raw, read)
        assert [str(one) for one in problems] == [str(one) for one in found.problems]
        assert len(indexed.groups) == 20


def test_a_limit_that_is_just_reached_is_no_problem() -> None:
    """Twenty events where twenty are read are all there."""
    events = [event("DTSTART:20270301T090000Z", uid=str(at)) for at in range(20)]
    limits = ExpandLimits(read=ReadLimits(entries=20, marks=42), per_source=20)
    found = expanded(calendar(*events), START, END, limits=limits)
    assert len(found.occurrences) == 20
    assert found.problems == ()


def test_of_too_many_versions_the_latest_are_read() -> None:
    """The first component, mostly the series, and the latest ones are read."""
    versions = [
        event("DTSTART:20270301T090000Z", f"SEQUENCE:{at}", f"SUMMARY:{at}") for at in range(50)
    ]
    found = expanded(calendar(*versions), START, END, limits=ExpandLimits(entries_per_uid=10))
    assert [one.title for one in found.occurrences] == ["49"]
    assert "40 changes are left out" in str(found.problems[0])


def test_problems_are_listed_up_to_a_number() -> None:
    """Three hundred events without a start: two hundred problems and a count of the rest."""
    events = [event("SUMMARY:x", uid=str(at)) for at in range(300)]
    problems = expanded(calendar(*events), START, END).problems
    assert len(problems) == 201
    assert "there are 100 more problems" in str(problems[-1])


def test_far_years() -> None:
    """Years 1 and 9999 are reckoned without an error."""
    found = expanded(
        calendar(
            event("DTSTART:99991231T235959", "RRULE:FREQ=DAILY", uid="last"),
            event(
                "DTSTART;TZID=Pacific/Honolulu:20270101T000000",
                "DTEND;TZID=Pacific/Honolulu:99991231T235959",
                uid="endless",
            ),
            event("DTSTART;TZID=Asia/Tokyo:00010101T000000", "RRULE:FREQ=YEARLY", uid="first"),
            event("DTSTART;VALUE=DATE:16010101", "RRULE:FREQ=YEARLY;UNTIL=99991231", uid="old"),
        ),
        date(2028, 1, 1),
        date(2028, 2, 1),
    )
    assert found.problems == ()
    assert [one.uid for one in found.occurrences] == ["endless", "old"]


def test_long_descriptions_and_lists_are_cut() -> None:
    """Five megabytes of description and 20,000 RDATEs leave a text and dates that can be shown."""
    dates = ",".join(["20270301T090000Z"] * 20_000)
    text = calendar(
        event("DTSTART:20270301T090000Z", "DESCRIPTION:" + "x" * 5_000_000, f"RDATE:{dates}")
    )
    found = expanded(text, START, END)
    assert len(found.occurrences) == 1
    assert len(found.occurrences[0].notes) < 25_000
    said = " ".join(map(str, found.problems))
    assert "more than 10000 dates in RDATE" in said
    assert "is longer than is read" in said


def test_long_lines_are_cut_in_one_walk() -> None:
    """An event of many lines that are all kept costs no more than one of a line that is cut."""
    lines = ["X-A:" + "x" * 9_000 for _ in range(900)]
    text = calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Behind", *lines), GOOD)
    found = expanded(text, START, END)
    assert {one.title for one in found.occurrences} == {"Behind", "Good"}
    assert "is longer than is read" in str(found.problems[0])
