"""Pages of a closed week: from the record alone, with names, clocks and versions of then."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.read.test_archive import golden
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync.cli import main
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
    lasting = {"index.html", "problems.html", "cautions.html"}
    found = set(re.findall(r'href="([^"#]+\.html)"', page(golden())))
    assert found - lasting == {"2027-W10.html", "2027-W12.html"}
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


# Under the checkers


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages with a closed week in each tree, and with one beside it that is absent."""
    folder = tmp_path_factory.mktemp("demo")
    home = folder / "household"
    at = ["--household", str(home), "--now", "2027-03-24T06:40:00+00:00"]
    assert main(["demo", "--to", str(folder), *at]) == 0
    for week in ("2027-W11", "2026-W50"):
        assert main(["close", week, *at]) == 0
    assert main(["build", *at]) in (0, 1)
    return home / "output"


PAGES = ("2027-W11.html", "2026-W50.html", "2026-W49.html", "2026-W51.html")


def test_html_validate_finds_nothing(demo: Path, tmp_path: Path) -> None:
    """On pages of closed weeks, and on those beside them, in both trees."""
    shown = [demo / tree / name for tree in ("site", "own") for name in PAGES]
    assert "Nothing is kept of this week" in shown[2].read_text("utf-8")
    assert html_mistakes(shown, tmp_path) == []


@pytest.mark.browser
def test_axe_finds_nothing(demo: Path) -> None:
    """On a tablet and on a phone, light and dark."""
    found: list[str] = []
    with chromium() as browser:
        for width, scheme in ((1280, "light"), (390, "dark")):
            with looking(browser, now=datetime(2027, 3, 24, 9, tzinfo=UTC), width=width) as page_:
                page_.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
                for name in PAGES[:3]:
                    page_.goto((demo / "site" / name).resolve().as_uri())
                    found += [f"{name} at {width}: {one}" for one in axe(page_)]
    assert found == []


def test_no_link_of_a_closed_week_leads_nowhere(demo: Path) -> None:
    """Nor of a page beside it."""
    for tree in ("site", "own"):
        for name in PAGES:
            text = (demo / tree / name).read_text("utf-8")
            for target in re.findall(r'href="([^"#:/]+)"', text):
                assert (demo / tree / target).is_file(), f"{tree}/{name}: {target}"
