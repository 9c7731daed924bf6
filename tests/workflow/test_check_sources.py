"""`weeksync check` reads what its sources have now, not what the last pull left."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, event, with_calendar
from weeksync.workflow.check import check
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Outcome, Status

BROKEN = event("boiler@home.arpa", "20270324T100000", "Boiler").replace("20270324T1", "when")


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """One calendar, in which one of two events has no date."""
    return with_calendar(tmp_path, BROKEN, event("choir@home.arpa", "20270325T190000", "Choir"))


def checked(home: Path, hours: int = 0) -> Outcome:
    """What a check says, so many hours after the night."""
    return check(Context.read(home, NOW + timedelta(hours=hours)))


def test_what_cannot_be_read_is_told_before_the_first_pull(home: Path) -> None:
    """With its file and line, and the status of a night that meets it."""
    outcome = checked(home)
    assert outcome.status is Status.PROBLEMS
    assert [str(one.place) for one in outcome.problems] == [
        "family (family.ics, line 7)",
        "family (family.ics, line 4)",
    ]
    assert 'DTSTART of "Boiler" (boiler@home.arpa) cannot be read' in str(outcome.problems[0])


def test_it_says_the_same_as_the_night_once(home: Path) -> None:
    """A problem of the last pull that is there still is not told twice."""
    night = nightly(Context.read(home, NOW))
    assert checked(home, 2).problems == night.problems


def test_what_was_mended_since_the_last_pull_is_told_no_more(home: Path) -> None:
    """The pages show the old state until the next night; the check is about what is there."""
    assert nightly(Context.read(home, NOW)).status is Status.PROBLEMS
    (home / "family.ics").write_text(calendar(event("choir@home.arpa", "20270325T190000", "Choir")))
    assert checked(home, 2).problems == ()


def test_it_says_when_the_last_night_was_and_whether_one_was_missed(home: Path) -> None:
    """Nothing of it before the first."""
    assert not [one for one in checked(home).done if "night" in str(one)]
    nightly(Context.read(home, NOW))
    assert "The last night was 3 hours ago, at 24 Mar 2027, 06:40." in map(
        str, checked(home, 3).done
    )
    late = checked(home, 50).problems
    assert [str(one.what) for one in late if one.place.file == "status.json"] == [
        "no night has run since 24 Mar 2027, 06:40"
    ]
