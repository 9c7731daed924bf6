"""Endless and enormous rules end by count, with a clear problem and the rest still there."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import islice

import pytest

from tests.calendar.support import calendar, event, expanded, starts
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances
from weeksync.model.limits import ExpandLimits

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
        pytest.param("16010101", "FREQ=DAILY\nDURATION:P9999999D", id="long"),
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


def test_a_whole_collection_has_a_limit() -> None:
    """Beyond the collection's limit the rest is left out, and that is said once."""
    events = [
        event("DTSTART:20270101T000000Z", "RRULE:FREQ=DAILY", f"SUMMARY:{at}", uid=str(at))
        for at in range(20)
    ]
    limits = ExpandLimits(per_uid=1000, per_collection=1500)
    found = expanded(calendar(*events), START, END, limits=limits)
    assert len(found.occurrences) == 1500
    assert "at most 1500 are shown" in str(found.problems[-1])


def test_the_work_of_a_whole_collection_has_a_limit() -> None:
    """Many rules that give nothing share one budget."""
    rule = "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=3"
    events = [event("DTSTART:19000101T000000Z", rule, uid=str(at)) for at in range(50)]
    limits = ExpandLimits(steps_per_uid=10**6, steps_per_collection=10**5)
    found = expanded(calendar(*events), START, END, limits=limits)
    assert "takes too much work" in str(found.problems[-1])


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
    assert "more than 10000 dates in RDATE" in str(found.problems[0])
