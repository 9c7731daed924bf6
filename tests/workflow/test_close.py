"""Closing a week of the demo household: frozen pages, marks for it, reopening, damage."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.errors import UsageError
from weeksync.model.archive import ClosedWeek
from weeksync.model.household import Mark
from weeksync.model.problem import ProblemKind
from weeksync.model.spread import CellState, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.workflow import Context, Status, open_store, record, shown
from weeksync.workflow.build import build
from weeksync.workflow.build_weeks import build_weeks
from weeksync.workflow.check import check
from weeksync.workflow.close import close_week, closed, last_over, listed, reopen_week
from weeksync.workflow.mark import take_marks
from weeksync.workflow.marks_served import receive_marks
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.own_on_demand import page_for
from weeksync.workflow.pages_at import page_of
from weeksync.workflow.show import as_it_was
from weeksync.workflow.standing import files_of

NOW = demo.NOW
W10, W11, W12 = (IsoWeek(2027, number) for number in (10, 11, 12))
YEARS_LATER = datetime(2037, 3, 25, 6, 40, tzinfo=UTC)


def context(home: Path, now: datetime = NOW) -> Context:
    """The household at a moment."""
    return Context.read(home, now)


def built(home: Path, now: datetime = NOW) -> Outcome:
    """A build of its pages."""
    at = context(home, now)
    with open_store(at) as store:
        return build(at, store)


def page(home: Path, name: str = "2027-W11.html", tree: str = "site") -> bytes:
    """A page that is shown."""
    return (home / "output" / tree / name).read_bytes()


def pages(home: Path) -> tuple[bytes, bytes]:
    """The page of the closed week on the common site, and among those of one's own."""
    return page(home), page(home, tree="own")


@pytest.fixture(scope="module")
def pulled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household with its calendars pulled and its pages made, those of a few weeks."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "household")
    change(
        home, "config.toml", "weeks_back = 10\nweeks_ahead = 14", "weeks_back = 2\nweeks_ahead = 1"
    )
    nightly(context(home), wait=0)
    return home


@pytest.fixture
def home(pulled: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    return Path(shutil.copytree(pulled, tmp_path / "household", symlinks=True))


def test_the_last_week_that_is_over_is_closed_as_it_stands(home: Path) -> None:
    """The record holds the whole week as `show` computes it, without today's problems."""
    live, _ = shown(context(home), "2027-W11")
    at = context(home)
    assert last_over(at) == W11
    outcome = close_week(at, W11)
    assert outcome.status is Status.FINE
    assert "archive/2027-W11.json" in str(outcome.done[0])
    kept = closed(context(home))[W11]
    assert (kept.closed_at, kept.version, kept.tzdata) == (NOW, kept.version, kept.tzdata)
    assert kept.spread == live
    found, problems = shown(context(home), "2027-W11")
    assert (found, problems) == (live, ())


def test_a_week_that_is_not_over_is_refused_with_a_word(home: Path) -> None:
    """Not on its last day either; on the day after, it is closed."""
    with pytest.raises(UsageError, match="2027-W12 is not over; it can be closed from 2027-03-29"):
        close_week(context(home), W12)
    sunday = datetime(2027, 3, 28, 21, 59, tzinfo=UTC)
    with pytest.raises(UsageError, match="not over"):
        close_week(context(home, sunday), W12)
    # 22:59 UTC is 23:59 in London, where summer time began that morning.
    with pytest.raises(UsageError, match="not over"):
        close_week(context(home, datetime(2027, 3, 28, 22, 59, tzinfo=UTC)), W12)
    assert close_week(context(home, datetime(2027, 3, 28, 23, tzinfo=UTC)), W12).done


def test_on_its_last_day_a_week_can_be_closed_on_purpose(home: Path) -> None:
    """Not a day sooner; with a word on what is marked later that day, and closed it says so."""
    sunday = datetime(2027, 3, 28, 17, tzinfo=UTC)
    with pytest.raises(UsageError, match="not over; it can be closed from 2027-03-28 on"):
        close_week(context(home, sunday - timedelta(days=1)), W12, ending=True)
    told = [str(one) for one in close_week(context(home, sunday), W12, ending=True).done]
    assert any("2027-W12 ends tonight" in one for one in told)
    again = close_week(context(home, sunday), W12)
    assert "2027-W12 is closed since 28 Mar 2027, 18:00" in str(again.done[0])


def test_closed_twice_nothing_changes_and_it_is_said(home: Path) -> None:
    """Also where the other run closed it after this one had read the household."""
    at, other = context(home), context(home)
    assert at.archive.weeks == frozenset()  # looked at before the other run
    close_week(other, W11)
    before = (home / "archive" / "2027-W11.json").read_bytes()
    for one in (at, context(home, NOW + timedelta(hours=1))):
        outcome = close_week(one, W11)
        assert "is closed since 24 Mar 2027, 06:40" in str(outcome.done[0])
    assert (home / "archive" / "2027-W11.json").read_bytes() == before


def change(home: Path, name: str, old: str, new: str) -> None:
    """One edit of a file by hand."""
    path = home / name
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def test_its_pages_are_the_same_bytes_after_ten_changes(home: Path) -> None:
    """Renamed people and areas, other colours, other files and feeds, another language and zone.

    After each change the site is made twice: over the one before, and from nothing, so that no
    page is there to be taken over.
    """
    live = page(home)
    close_week(context(home), W11)
    assert built(home).status is Status.FINE
    frozen = pages(home)
    assert b"This week was closed" in frozen[0]
    assert b"This week was closed" not in live
    changes = [
        ("config.toml", 'name = "Ines"', 'name = "Agnes"'),
        ("config.toml", 'name = "House and garden"', 'name = "Four walls"'),
        ("config.toml", 'colour = "brick"', 'colour = "stone"'),
        ("config.toml", 'time_zone = "Europe/London"', 'time_zone = "Asia/Kolkata"'),
        ("config.toml", 'locale = "en_GB"', 'locale = "de_AT"'),
        ("config.toml", 'name = "The Marlowicks"', 'name = "The Others"'),
        ("habits.toml", 'id = "water"', 'id = "tea"'),
        ("tasks.toml", "title = ", "notes = 'Changed'\ntitle = "),
        ("weeks/2027-W11.toml", "Leek soup", "Nothing at all"),
        ("money.toml", "amount = ", "# amount = "),
    ]
    for name, old, new in changes:
        change(home, name, old, new)
        before = page(home, "2027-W12.html")
        built(home)
        if name == "config.toml":
            assert page(home, "2027-W12.html") != before  # an open week follows
        assert pages(home) == frozen, f"{name}: {new}"
        shutil.rmtree(home / "output")
        built(home)
        assert pages(home) == frozen, f"{name}: {new}, from nothing"
    for feed in home.rglob("*.ics"):
        feed.unlink()
    shutil.rmtree(home / "marks")
    shutil.rmtree(home / "state")
    built(home)
    assert pages(home) == frozen


def test_ten_years_later_it_still_has_its_pages(home: Path) -> None:
    """Far outside of the weeks that have live pages, and no other old week has one.

    The weeks beside it, of which nothing is kept, have pages that say so: no link leads nowhere.
    """
    close_week(context(home), W11)
    built(home)
    frozen = pages(home)
    shutil.rmtree(home / "output")
    for _ in range(2):
        built(home, YEARS_LATER)
        assert pages(home) == frozen
        old = {path.name for path in (home / "output" / "site").glob("2027-*.html")}
        assert old == {"2027-W10.html", "2027-W11.html", "2027-W12.html"}
        for tree in ("site", "own"):
            assert b"Nothing is kept of this week" in page(home, "2027-W10.html", tree)
            assert b'href="2027-W11.html"' in page(home, "2027-W12.html", tree)
    assert b"2027-W11.html" in page(home, "service-worker.js")
    assert page_of(context(home, YEARS_LATER), "2027-W11").name == "2027-W11.html"


def test_a_page_is_rendered_once(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A night takes over what is shown; another record, or a page that is none, is made anew."""
    made: list[IsoWeek] = []
    real = build.__globals__["KeptPages"]._common

    def counting(self: object, one: ClosedWeek) -> bytes:
        made.append(one.week)
        return bytes(real(self, one))

    monkeypatch.setattr("weeksync.workflow.kept_pages.KeptPages._common", counting)
    close_week(context(home), W11)
    for _ in range(3):
        built(home)
    assert made == [W11]
    reopen_week(context(home), W11)
    close_week(context(home, NOW + timedelta(hours=1)), W11)
    built(home)
    assert made == [W11, W11]
    (home / "output" / "site" / "2027-W11.html").resolve().write_text("torn")
    built(home)
    assert made == [W11, W11, W11]
    # Another Babel, Jinja or Python, or our own code without another version.
    monkeypatch.setattr("weeksync.workflow.program.code_print", lambda *_: "another")
    built(home)
    built(home)
    assert made == [W11, W11, W11, W11]


def test_a_reopened_week_is_computed_again_and_its_mark_counts(home: Path) -> None:
    """A mark that came in meanwhile was kept, and told as such, by every way it can come."""
    close_week(context(home), W11)
    at = context(home)
    moment = NOW + timedelta(minutes=1)
    taken = take_marks(at, [Mark("water", W11.monday, "ines", "3", moment, moment, "kitchen")])
    assert (taken.new, taken.refused, taken.closed) == (1, (), (W11,))
    line = {"id": "water", "date": "2027-03-16", "person": "ines", "value": "4"}
    line |= {"recorded_at": "2027-03-24T06:41:00Z", "device": "kitchen"}
    received = receive_marks(at, json.dumps(line).encode(), moment, "kitchen")
    assert [str(one) for one in received.notices] == [
        "the week 2027-W11 is closed; the mark is kept, and counts when the week is reopened"
    ]
    assert (received.new, received.refused) == (1, ())

    def water(spread: Spread) -> list[str]:
        row = next(row for row in spread.habits if row.id == "water")
        return [cell.value for cell in row.cells][:2]

    kept, _ = shown(context(home), "2027-W11")
    assert water(kept) != ["3", "4"]
    outcome = reopen_week(context(home), W11)
    assert "archive/2027-W11.1.json" in str(outcome.done[0])
    again, _ = shown(context(home), "2027-W11")
    assert water(again) == ["3", "4"]
    built(home)
    assert b"This week was closed" not in page(home)
    close_week(context(home), W11)
    weeks, problems = listed(context(home))
    assert [(one.week, len(one.reopened)) for one in weeks] == [(W11, 1)]
    assert problems == ()


def test_a_mark_for_an_open_week_is_told_nothing_of_closing(home: Path) -> None:
    """And a week that is not closed cannot be reopened: said, with those that can."""
    close_week(context(home), W11)
    mark = Mark("water", W12.monday, "ines", "3", NOW, NOW, "kitchen")
    assert take_marks(context(home), [mark]).closed == ()
    with pytest.raises(UsageError, match="2027-W10 is not closed; closed are: 2027-W11"):
        reopen_week(context(home), W10)


def test_a_damaged_record_is_told_and_the_week_computed_from_what_is_there(home: Path) -> None:
    """In the window the week is live meanwhile; every command names place and remedy."""
    close_week(context(home), W11)
    built(home)
    record_file = home / "archive" / "2027-W11.json"
    whole = record_file.read_bytes()
    record_file.write_bytes(whole[:3_000])
    outcome = built(home)
    (problem,) = [one for one in outcome.problems if one.kind is ProblemKind.MISTAKE]
    assert problem.place.file == "archive/2027-W11.json"
    assert "weeksync close 2027-W11 --reopen" in str(problem.remedy)
    assert b"This week was closed" not in page(home)
    assert b"archive/2027-W11.json" in page(home, "problems.html")
    _, problems = shown(context(home), "2027-W11")
    assert problem in problems
    assert problem in check(context(home), offline=True).problems
    assert listed(context(home))[1] == (problem,)
    record_file.write_bytes(whole)
    assert built(home).status is Status.FINE
    assert b"This week was closed" in page(home)


def test_a_damaged_record_of_long_ago_keeps_the_page_there_is(home: Path) -> None:
    """Told every night, until it is put back or set aside."""
    close_week(context(home), W11)
    built(home, YEARS_LATER)
    frozen = page(home)
    (home / "archive" / "2027-W11.json").write_bytes(b"{")
    for _ in range(2):
        outcome = built(home, YEARS_LATER)
        assert "archive/2027-W11.json" in [one.place.file for one in outcome.problems]
        assert page(home) == frozen
    reopen_week(context(home, YEARS_LATER), W11)
    built(home, YEARS_LATER)
    assert not (home / "output" / "site" / "2027-W11.html").exists()


def test_the_month_and_other_spans_show_it_as_it_was(home: Path) -> None:
    """The days of a closed week are its own in every overview."""
    close_week(context(home), W11)
    change(home, "weeks/2027-W11.toml", "Sow the second tray", "Something else")
    change(home, "habits.toml", 'id = "water"', 'id = "tea"')
    found, _ = shown(context(home), "2027-03-15/2027-03-23")
    assert found.week is None
    assert [one.title for one in found.days[0].priorities] == ["Sow the second tray"]
    assert found.days[8].date == datetime(2027, 3, 23, tzinfo=UTC).date()
    month, _ = shown(context(home), str(Month(2027, 3)))
    fifteenth = next(day for day in month.days if day.date == W11.monday)
    assert [one.title for one in fifteenth.priorities] == ["Sow the second tray"]


def test_a_span_has_the_cells_that_were_kept(home: Path) -> None:
    """Of the same habit: the closed days as they were closed, the others as they are."""
    close_week(context(home), W11)
    before, _ = shown(context(home), "2027-03-15/2027-03-23")
    moment = NOW + timedelta(minutes=1)
    marks = [
        Mark("water", day, "ines", "1", moment, moment, "kitchen")
        for day in (W11.monday, W12.monday)
    ]
    take_marks(context(home), marks)
    after, _ = shown(context(home), "2027-03-15/2027-03-23")
    cells = {
        name: next(row.cells for row in spread.habits if row.id == "water")
        for name, spread in (("before", before), ("after", after))
    }
    assert cells["after"][0] == cells["before"][0]
    assert cells["after"][7].value == "1"
    assert cells["after"][7].state in {CellState.MARKED, CellState.MISSED}


def test_the_record_as_json_says_when_and_by_which_rules(home: Path) -> None:
    """Name, zone and zone data of then; open weeks say that they are not closed."""
    close_week(context(home), W11)
    change(home, "config.toml", 'name = "The Marlowicks"', 'name = "The Others"')
    change(home, "config.toml", 'time_zone = "Europe/London"', 'time_zone = "Asia/Kolkata"')
    at = context(home)
    spread, problems = shown(at, "2027-W11", person="ines")
    data = record(at, spread, problems)
    assert (data["household"], data["time_zone"]) == ("The Marlowicks", "Europe/London")
    assert (data["closed_at"], data["reopened"]) == ("2027-03-24T06:40:00+00:00", [])
    assert as_it_was(at, spread).config.household.name == "The Marlowicks"
    spread, problems = shown(at, "2027-W12")
    data = record(at, spread, problems)
    assert (data["household"], data["closed_at"]) == ("The Others", None)
    assert as_it_was(at, spread) is at


def test_pages_of_one_person_come_from_the_record_too(home: Path) -> None:
    """Served on demand: nothing of what is only for others, and years later, too."""
    close_week(context(home), W11)
    made = page_for(context(home, YEARS_LATER), "ines", "2027-W11.html", {})
    assert made is not None
    assert b"This week was closed" in made
    beside = page_for(context(home, YEARS_LATER), "ines", "2027-W10.html", {})
    assert beside is not None
    assert b"Nothing is kept of this week" in beside
    assert page_for(context(home, YEARS_LATER), "ines", "2027-W09.html", {}) is None


def test_the_quick_rebuild_passes_a_closed_week_over(home: Path) -> None:
    """A mark for it touches no page; the other weeks are the whole build's, byte for byte."""
    close_week(context(home), W11)
    built(home)
    before = {
        name: page(home, name) for name in ("2027-W10.html", "2027-W11.html", "2027-W12.html")
    }
    at = context(home)
    with open_store(at) as store:
        assert build_weeks(at, store, {W11}) is not None
        done = build_weeks(at, store, {W10, W11, W12})
    assert done is not None
    assert done.changed == 0
    assert {name: page(home, name) for name in before} == before


def test_a_calendar_that_was_pulled_too_early_is_mentioned(home: Path) -> None:
    """What it says since then is not in the record; that is told, and no reason to fail."""
    later = datetime(2027, 4, 2, 19, tzinfo=UTC)
    outcome = close_week(context(home, later), W12)
    notices = [one for one in outcome.problems if one.kind is ProblemKind.NOTICE]
    assert any("was pulled before the week was over" in str(one.what) for one in notices)
    assert outcome.status is Status.FINE


def test_who_serves_the_pages_sees_that_a_week_was_closed(home: Path) -> None:
    """And that it was reopened: both change the files that are looked at every few seconds."""
    before = files_of(context(home))
    close_week(context(home), W11)
    between = files_of(context(home))
    reopen_week(context(home), W11)
    assert len({before, between, files_of(context(home))}) == 3
