"""Pages of a closed week: from the record alone, with names, clocks and versions of then."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from tests.read.test_archive import golden
from weeksync.model.archive import ClosedWeek
from weeksync.model.elsewhere import OtherClock
from weeksync.model.week import IsoWeek
from weeksync.plan import views
from weeksync.site import frozen_own_page, frozen_page, neighbours


def page(closed: ClosedWeek) -> str:
    """Its page on the common site."""
    return frozen_page(closed, views.common(closed.spread), None).decode()


def own_page(closed: ClosedWeek) -> str:
    """Its page among those of one's own."""
    return frozen_own_page(closed, closed.spread, None).decode()


def test_a_record_of_format_1_has_its_pages_for_ever() -> None:
    """With what was planned, chosen and marked; amounts and check-ins on the own page alone."""
    common, own = page(golden()), own_page(golden())
    assert 'data-zone="Europe/London"' in common
    assert "The Marlowicks" in common
    assert "Sow the second tray" in common
    assert "Leek soup" in common
    assert re.search(r'data-id="water"[^>]*data-kind="count"', common)
    assert "£164.00" not in common
    assert "£164.00" in own


def test_it_says_that_it_is_closed_and_what_becomes_of_a_mark() -> None:
    """At the top, where somebody who marks it sees it."""
    for text in (page(golden()), own_page(golden())):
        assert "This week was closed on 24 Mar 2027, 06:40." in text
        assert "counts when the week is reopened" in text


def test_it_leads_to_its_neighbours_by_name_and_to_no_page_that_may_be_gone() -> None:
    """No month, no page for entering marks: those come and go with the years."""
    found = set(re.findall(r'href="([^"#]+\.html)"', page(golden())))
    assert found == {"2027-W10.html", "2027-W12.html", "index.html", "problems.html"}
    own = set(re.findall(r'href="([^"#]+\.html)"', own_page(golden())))
    assert own >= {"2027-W10.html", "2027-W12.html", "index.html"}
    assert not {one for one in own if "enter" in one or "problems" in one}


def test_version_and_zone_data_are_those_of_then() -> None:
    """In the footer, and nothing of how calendars stand now."""
    text = page(replace(golden(), tzdata="1999z", version="0.0.1"))
    assert "Time zones 1999z, weeksync 0.0.1" in text
    assert "data-source" not in text


def test_other_clocks_are_those_that_were_kept() -> None:
    """What another clock showed does not hang on the zone data of today."""
    closed = golden()
    day = next(day for day in closed.spread.days if day.occurrences)
    shown = next(one for one in day.occurrences if isinstance(one.occurrence.start, datetime))
    clock = OtherClock("America/St_Johns", datetime(2027, 3, 15, 4, 44, tzinfo=UTC))
    other = replace(
        day,
        occurrences=tuple(
            one._replace(elsewhere=(clock,)) if one is shown else one for one in day.occurrences
        ),
    )
    days = tuple(other if one is day else one for one in closed.spread.days)
    text = page(replace(closed, spread=replace(closed.spread, days=days)))
    assert re.search(r"0?4:44 in St John’s", text)


@pytest.mark.parametrize(
    ("week", "found"),
    [
        (IsoWeek(2027, 1), {IsoWeek(2026, 53), IsoWeek(2027, 2)}),
        (IsoWeek(1, 1), {IsoWeek(1, 2)}),
    ],
)
def test_neighbours_run_over_the_turn_of_the_year(week: IsoWeek, found: set[IsoWeek]) -> None:
    """2026 has 53 weeks by ISO 8601; before the first week of the calendar there is none."""
    assert neighbours(week) == found
