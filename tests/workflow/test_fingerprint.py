"""Digests of records: equal ones for equal records, other ones for any difference."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from tests.support import sample_week
from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.workflow.fingerprint import fingerprint

LONDON = ZoneInfo("Europe/London")
TWICE = datetime(2027, 10, 31, 1, 30, tzinfo=LONDON)
"""01:30 of the night on which the clocks go back comes twice (tzdata)."""

OTHERS = [
    (TWICE, TWICE.replace(fold=1)),
    (TWICE, datetime(2027, 10, 31, 1, 30, tzinfo=UTC)),
    (time(1), time(1, fold=1)),
    (date(2027, 3, 22), date(2027, 3, 23)),
    (timedelta(1), timedelta(2)),
    (DayPart.MORNING, DayPart.EVENING),
    (message("{a}", a=1), message("{a}", a="1")),
    (("ab",), ("a", "b")),
    ((), ("",)),
    (None, ""),
    (1, True),
    ({"a": 1}, {"a": 2}),
]


@pytest.mark.parametrize(("one", "other"), OTHERS, ids=map(repr, range(len(OTHERS))))
def test_what_differs_has_another_digest(one: object, other: object) -> None:
    """Also where both compare equal in Python, as the two half past ones do."""
    assert fingerprint(one) != fingerprint(other)
    assert fingerprint(one) == fingerprint(one)


def test_a_difference_deep_in_a_week_is_seen() -> None:
    """A spread is told apart by the title of one task on one day."""
    spread = next(one for one in sample_week.inputs().own_weeks if any(d.tasks for d in one.days))
    at = next(at for at, day in enumerate(spread.days) if day.tasks)
    first, *rest = spread.days[at].tasks
    day = replace(spread.days[at], tasks=(replace(first, title="otherwise"), *rest))
    other = replace(spread, days=(*spread.days[:at], day, *spread.days[at + 1 :]))
    assert fingerprint(spread) != fingerprint(other)
    assert fingerprint(spread) == fingerprint(replace(spread))


def test_how_values_are_shared_does_not_count() -> None:
    """Twice the same text, and two equal ones, are the same."""
    text = "".join(["sha", "red"])
    assert fingerprint((text, text)) == fingerprint((text, "".join(["share", "d"])))


def test_another_process_says_the_same() -> None:
    """Digests are kept from one night to the next: no hash of this process is in them."""
    code = (
        "from tests.support import sample_week\n"
        "from weeksync.workflow.fingerprint import fingerprint\n"
        "print(fingerprint(sample_week.inputs().own_weeks))"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert said == {fingerprint(sample_week.inputs().own_weeks)}


def test_the_order_of_a_set_does_not_count() -> None:
    """It is another one in each process."""
    days = [date(2027, 3, day) for day in range(1, 29)]
    assert fingerprint(set(days)) == fingerprint({*days[9:], *days[:9]})
    assert fingerprint(set(days)) != fingerprint(set(days[1:]))


def test_what_is_not_known_is_told_by_what_it_says() -> None:
    """No build fails for want of a digest."""
    assert fingerprint(1j) == fingerprint(1j)
    assert fingerprint(1j) != fingerprint(2j)
