"""Recurrences of whole days against the examples of RFC 5545, and rules that are none."""

from __future__ import annotations

import json
import time
from datetime import date, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calendar.rfc_notation import parse
from weeksync.model.recurrence import dates, ever_falls, parse_rule

HORIZON = timedelta(days=100 * 366)
"""How far a next date is looked for: rules with longer gaps than that have none."""


def next_date(text: str, first: date, after: date) -> date | None:
    """The first day of the rule later than `after`, or None where it has ended.

    A rule whose next day is more than a hundred years off has ended, too.
    """
    end = min(after, date(9999, 12, 31) - HORIZON) + HORIZON
    return next(dates(text, first, after + timedelta(days=1), end), None)


EXAMPLES: list[dict[str, Any]] = json.loads(
    (Path(__file__).parents[1] / "calendar" / "data" / "rfc5545-rrule-examples.json").read_text(
        "utf-8"
    )
)["examples"]
"""The 39 worked examples that pages 123 to 132 (section 3.8.5.3) print."""

RULES = [
    pytest.param(example, rule, id=f"{example['n']}-{rule}")
    for example in EXAMPLES
    for rule in example["rrules"]
]
FIRST = date(2027, 1, 1)
END = date(2099, 1, 1)


def is_of_days(rule: str) -> bool:
    """Whether a rule of the examples is one over whole days."""
    return not any(word in rule for word in ("HOURLY", "MINUTELY", "BYHOUR"))


def test_both_kinds_are_among_the_examples() -> None:
    """Else one of the two tests below would look at nothing."""
    kinds = [is_of_days(rule) for example in EXAMPLES for rule in example["rrules"]]
    assert (kinds.count(True), kinds.count(False)) == (37, 5)


@pytest.mark.parametrize(
    ("example", "rule"), [one for one in RULES if is_of_days(str(one.values[1]))]
)
def test_the_days_are_those_the_rfc_prints(example: dict[str, Any], rule: str) -> None:
    """No more, where the print does not go on.

    UNTIL with a time is put as the last day printed: here it is a day that belongs to the set.
    """
    printed = parse(example["expected"])
    wanted = [moment.date() for moment, _ in printed.times]
    first = date.fromisoformat(example["dtstart"][:8])
    parts = [part for part in rule.split(";") if not part.startswith("UNTIL")]
    if len(parts) < rule.count(";") + 1:
        parts.append(f"UNTIL={wanted[-1]:%Y%m%d}")
    found = list(islice(dates(";".join(parts), first, first, END), len(wanted) + 1))
    assert found[: len(wanted)] == wanted
    if not printed.open:
        assert len(found) == len(wanted)


@pytest.mark.parametrize(
    "rule", [one.values[1] for one in RULES if not is_of_days(str(one.values[1]))]
)
def test_rules_of_hours_are_not_for_whole_days(rule: str) -> None:
    """A bill does not recur every three hours."""
    with pytest.raises(ValueError, match=r"FREQ must be|no meaning for whole days"):
        parse_rule(rule, FIRST)


BAD = {
    "": "FREQ must be",
    "weekly": "FREQ must be",
    "INTERVAL=2": "FREQ must be",
    "FREQ=DAILY;FREQ=WEEKLY": "twice",
    "FREQ=DAILY;INTERVAL=0": "INTERVAL=0 is not in its form",
    "FREQ=DAILY;COUNT=-1": "COUNT=-1 is not in its form",
    "FREQ=DAILY;COUNT=x": "COUNT=X is not in its form",
    "FREQ=DAILY;UNTIL=2027-12-31": "UNTIL=2027-12-31 is not in its form",
    "FREQ=DAILY;UNTIL=20270230": "UNTIL",
    "FREQ=DAILY;UNTIL=20271231;COUNT=3": "exclude each other",
    "FREQ=DAILY;BYHOUR=9": "BYHOUR has no meaning",
    "FREQ=DAILY;BYEASTER=1": "BYEASTER has no meaning",
    "FREQ=DAILY; COUNT=3": "no spaces",
    "FREQ=DAILY\nRRULE:FREQ=WEEKLY": "no spaces",
    "FREQ=YEARLY;BYMONTH=13": "BYMONTH=13 is not in its form",
    "FREQ=YEARLY;BYMONTH=0": "BYMONTH=0 is not in its form",
    "FREQ=MONTHLY;BYMONTHDAY=32": "BYMONTHDAY=32 is not in its form",
    "FREQ=MONTHLY;BYDAY=XX": "BYDAY=XX is not in its form",
    "FREQ=MONTHLY;BYDAY=6MO": "no month has that many",
    "FREQ=YEARLY;BYMONTH=3;BYDAY=9MO": "no month has that many",
    "FREQ=WEEKLY;BYDAY=1MO": "BYDAY cannot have numbers with WEEKLY",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=1MO": "BYDAY cannot have numbers with BYWEEKNO",
    "FREQ=WEEKLY;BYMONTHDAY=3": "BYMONTHDAY cannot stand with WEEKLY",
    "FREQ=MONTHLY;BYYEARDAY=3": "BYYEARDAY cannot stand with MONTHLY",
    "FREQ=MONTHLY;BYWEEKNO=3": "BYWEEKNO cannot stand with MONTHLY",
    "FREQ=MONTHLY;BYSETPOS=1": "BYSETPOS needs another",
    "FREQ=DAILY;BYDAY=MO;BYSETPOS=2": "BYSETPOS cannot stand with DAILY",
    "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30": "no month of it has that day",
    "FREQ=DAILY;BYMONTH=4,6;BYMONTHDAY=31": "no month of it has that day",
}


@pytest.mark.parametrize(("rule", "why"), BAD.items(), ids=BAD.keys())
def test_what_is_no_rule(rule: str, why: str) -> None:
    """Section 3.3.10 says which parts there are, their ranges, and what MUST NOT go together."""
    with pytest.raises(ValueError, match=why):
        parse_rule(rule, FIRST)


def test_rules_may_be_written_in_small_letters_and_with_their_name() -> None:
    """As people copy them from a calendar object."""
    days = list(dates(" rrule:freq=weekly;count=2 ", FIRST, FIRST, END))
    assert days == [FIRST, FIRST + timedelta(days=7)]


def test_without_a_rule_there_is_one_day() -> None:
    """In the window or not; the window is half-open."""
    assert list(dates("", FIRST, FIRST, END)) == [FIRST]
    assert list(dates("", FIRST, FIRST + timedelta(days=1), END)) == []
    assert list(dates("", FIRST, date(2026, 1, 1), FIRST)) == []


def test_the_day_of_until_belongs_to_it() -> None:
    """Whatever time is written with it."""
    for until in ("20270103", "20270103T000000Z", "20270103T235959"):
        assert len(list(dates(f"FREQ=DAILY;UNTIL={until}", FIRST, FIRST, END))) == 3


def test_the_next_date() -> None:
    """Later than the day itself; None where the rule has ended."""
    monthly = "FREQ=MONTHLY;BYMONTHDAY=24"
    assert next_date(monthly, date(2027, 1, 24), date(2027, 3, 23)) == date(2027, 3, 24)
    assert next_date(monthly, date(2027, 1, 24), date(2027, 3, 24)) == date(2027, 4, 24)
    assert next_date(f"{monthly};COUNT=2", date(2027, 1, 24), date(2027, 3, 1)) is None


def test_a_rule_that_began_long_ago_has_not_ended() -> None:
    """A daily rule of 1900 has 46,000 days behind it."""
    assert next_date("FREQ=DAILY", date(1900, 1, 1), date(2027, 3, 22)) == date(2027, 3, 23)


def test_leap_days_are_found_over_a_century_without_one() -> None:
    """2100 is no leap year."""
    rule = "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29"
    assert next_date(rule, date(2000, 2, 29), date(2096, 2, 29)) == date(2104, 2, 29)
    assert timedelta(days=8 * 366) < HORIZON


@pytest.mark.parametrize(
    ("rule", "falls"),
    [
        ("FREQ=MONTHLY;INTERVAL=2;BYMONTH=2", True),
        ("FREQ=YEARLY;UNTIL=19991231", True),
        ("FREQ=YEARLY;BYWEEKNO=1;BYMONTH=6", False),
        ("FREQ=WEEKLY;BYDAY=MO,TU;BYSETPOS=3", False),
    ],
)
def test_whether_a_rule_can_fall_at_all(rule: str, falls: bool) -> None:
    """Where it begins and ends is another matter: from another day it may fall."""
    assert ever_falls(rule) is falls


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=MONTHLY;INTERVAL=2;BYMONTH=2",
        "FREQ=DAILY;INTERVAL=7;BYDAY=MO",
        "FREQ=YEARLY;INTERVAL=4;BYMONTH=2;BYMONTHDAY=29",
        "FREQ=YEARLY;BYWEEKNO=1;BYMONTH=6",
    ],
)
def test_a_rule_that_never_falls_ends(rule: str) -> None:
    """From 1 January 2027 on these have no day; the search is made once and not for each page."""
    assert list(dates(rule, FIRST, FIRST, END)) == []
    begun = time.perf_counter()
    for _ in range(100):
        assert next_date(rule, FIRST, FIRST) is None
    assert time.perf_counter() - begun < 1


VALUES = {
    "INTERVAL": st.integers(-1, 40).map(str),
    "COUNT": st.integers(0, 30).map(str),
    "BYMONTH": st.lists(st.integers(-1, 13).map(str), min_size=1, max_size=3).map(",".join),
    "BYMONTHDAY": st.integers(-32, 32).map(str),
    "BYDAY": st.sampled_from(["MO", "2TU", "-1FR", "5SU", "6SU", "53MO", "SA,SU"]),
    "BYWEEKNO": st.integers(-54, 54).map(str),
    "BYYEARDAY": st.integers(-367, 367).map(str),
}


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]),
    st.lists(st.sampled_from(list(VALUES)), max_size=2, unique=True),
    st.data(),
)
def test_any_rule_is_refused_or_gives_days_in_order(
    frequency: str, names: list[str], data: st.DataObject
) -> None:
    """No rule that is taken makes the library fail later, or gives a day outside the window."""
    rule = ";".join([f"FREQ={frequency}", *(f"{name}={data.draw(VALUES[name])}" for name in names)])
    try:
        parse_rule(rule, FIRST)
    except ValueError:
        return
    start, end = date(2027, 6, 1), date(2031, 1, 1)
    days = list(dates(rule, FIRST, start, end))
    assert days == sorted(set(days))
    assert all(start <= day < end for day in days)
