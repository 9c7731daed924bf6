"""When the last of the marks on a page was made stands on it, and of others' nothing does."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from tests.support.sample_week import MONDAY, inputs, spread
from weeksync.model.household import Mark
from weeksync.site import week_pages
from weeksync.site.last_mark import last_mark, marked_at

MADE = datetime(2027, 3, 24, 9, 30, tzinfo=UTC)
MS = 1_805_880_600_000
"""MADE in ms since 1970: 20,901 days (POSIX.1-2017, section 4.16) and 9.5 hours."""


def mark(thing: str, day: date, *, late: timedelta = timedelta(0)) -> Mark:
    """A mark made at MADE, or that much later."""
    return Mark(thing, day, "", "yes", MADE + late, MADE + timedelta(days=2), "tablet")


def test_the_epoch_is_that_of_posix() -> None:
    """Nothing of it hangs on the code under test."""
    assert MS == (20_901 * 86_400 + 9 * 3600 + 30 * 60) * 1000


def test_the_latest_of_a_day_counts_and_is_never_rounded_down() -> None:
    """Files may hold finer times than tablets write."""
    some = [mark("walk", MONDAY, late=timedelta(microseconds=1)), mark("walk", MONDAY)]
    assert marked_at(some) == {MONDAY: {"walk": MS + 1}}


def test_a_clock_ahead_counts_as_the_time_of_arrival() -> None:
    """As it does where marks are held against each other."""
    early = replace(mark("walk", MONDAY), received_at=MADE - timedelta(hours=1))
    assert marked_at([early]) == {MONDAY: {"walk": MS - 3_600_000}}


def test_only_what_is_on_the_page_says_when() -> None:
    """What is only for some leaves no time on the common page, nor the others on one's own."""
    whole = spread()
    common = next(row.id for row in whole.habits if not row.only_for)
    hidden = replace(whole.habits[0], id="hidden", only_for=("ines",))
    whole = replace(whole, habits=(*whole.habits, hidden))
    marked = marked_at(
        [
            mark(common, MONDAY),
            mark("hidden", MONDAY, late=timedelta(hours=1)),
            mark("unknown", MONDAY, late=timedelta(hours=2)),
            mark(common, MONDAY - timedelta(days=1), late=timedelta(hours=3)),
        ]
    )
    given = replace(inputs(), marked=marked)
    assert last_mark(given, whole, own=False) == str(MS)
    assert last_mark(given, whole, own=True) == str(MS + 3_600_000)
    assert last_mark(inputs(), whole, own=False) == ""


def test_the_page_says_it_where_scripts_look() -> None:
    """On `main`, which a newer page takes the place of; without marks there is nothing."""
    thing = spread().habits[0].id
    given = replace(inputs(), marked=marked_at([mark(thing, MONDAY)]))
    page = week_pages(given)["2027-W12.html"].decode()
    assert f"data-seen={MS}" in page.replace('"', "")
    assert "data-seen" not in week_pages(inputs())["2027-W12.html"].decode()
