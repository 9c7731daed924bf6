"""A clock that is years ahead makes nothing past; one that is right is believed."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, event, with_calendar
from weeksync.store import Store
from weeksync.workflow import Context
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.pull import pull

PAST = event("dentist", "20270322T113000", "Dentist")
AHEAD = event("choir", "20270326T190000", "Choir")
FAR = [event(f"far-{n}", f"204704{n:02}T090000", f"Thing {n}") for n in range(1, 5)]
DAY, YEARS = timedelta(days=1), timedelta(days=3653)


def pulled(folder: Path, after: timedelta, *components: str) -> Outcome:
    """The calendar's file exported anew, and a pull so long after NOW."""
    (folder / "family.ics").write_text(calendar(*components), "utf-8", newline="")
    context = Context.read(folder, NOW + after)
    with Store.open(context.state, write=True) as store:
        return pull(context, store)


def kept(folder: Path) -> set[str]:
    """The events that the store has and the calendar has not: what is said to have taken place."""
    with Store.open(folder / "state", write=False) as store:
        rows = store.connection.execute(
            "SELECT uid FROM object o JOIN uid_group g ON g.object = o.id WHERE o.kept = 1"
        )
        return {uid for (uid,) in rows}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A calendar that was pulled at NOW."""
    folder = with_calendar(tmp_path)
    pulled(folder, timedelta(), PAST, AHEAD, *FAR)
    return folder


def test_by_a_clock_that_leaps_only_what_was_over_before_is_past(home: Path) -> None:
    """In the first night and in those after it, and when the clock is right again."""
    pulled(home, YEARS, PAST, AHEAD, *FAR[:3])
    assert kept(home) == set()
    pulled(home, YEARS + DAY, *FAR[:3])
    assert kept(home) == {"dentist"}
    pulled(home, DAY, AHEAD, *FAR[:3])
    pulled(home, 5 * DAY, *FAR[:3])
    assert kept(home) == {"dentist", "choir"}, "the clock is right: the choir has sung"


def test_a_machine_that_was_off_for_years_believes_its_clock_in_a_week(home: Path) -> None:
    """As soon as it has gone on by itself for so long, what is over is past again."""
    pulled(home, YEARS, PAST, AHEAD, *FAR)
    pulled(home, YEARS + 6 * DAY, PAST, AHEAD, *FAR)
    pulled(home, YEARS + 7 * DAY, PAST, *FAR)
    assert kept(home) == {"choir"}


def test_one_that_was_off_for_months_is_believed_at_once(home: Path) -> None:
    """A house that is closed for half a year loses nothing of it."""
    pulled(home, 180 * DAY, *FAR)
    assert kept(home) == {"dentist", "choir"}


def test_a_night_with_the_clock_behind_costs_nothing(home: Path) -> None:
    """A small computer without a battery begins in another year now and then."""
    pulled(home, -YEARS, PAST, AHEAD, *FAR)
    pulled(home, 5 * DAY, *FAR)
    assert kept(home) == {"dentist", "choir"}


def test_what_is_ahead_is_asked_about_although_the_clock_says_it_is_past(home: Path) -> None:
    """An export that was cut in that very night: held back, as in any other."""
    ahead = [event(f"soon-{n}", f"202704{n:02}T090000", f"Thing {n}") for n in range(1, 30)]
    pulled(home, DAY, PAST, *ahead)
    outcome = pulled(home, YEARS, PAST, ahead[0])
    assert outcome.status is Status.PROBLEMS
    assert "has lost most of what lies ahead" in str(outcome.problems[0])
