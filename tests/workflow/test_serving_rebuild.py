"""Pages kept up to date: after a mark, an edit, a pull, a night; never two builds at once."""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, event, with_calendar
from weeksync.message import Message
from weeksync.model.household import Mark
from weeksync.model.week import IsoWeek
from weeksync.workflow.build import build
from weeksync.workflow.build_weeks import build_weeks
from weeksync.workflow.clock import clock_from
from weeksync.workflow.context import Context
from weeksync.workflow.mark import take_marks
from weeksync.workflow.nightly import nightly
from weeksync.workflow.opening import open_store
from weeksync.workflow.reader import Reader
from weeksync.workflow.rebuild import Pace, Rebuilder
from weeksync.workflow.standing import changed_between, pages_of

HABITS = """\
format = 1

[[habits]]
id = "water"
title = "Glasses of water"
person = "ann"
area = "home"
kind = "count"
"""
THIS = IsoWeek(2027, 12)
MARKED = (
    "2027-W12.html",
    "enter-2027-W12.html",
    "review-2027-03.html",
    "review-2027-W12.html",
)
"""The pages that a mark of this week changes, those that look back among them."""
FAST = Pace(look=0.05, quiet=0.2, latest=5.0, busy=0.05, again=60.0)
PATIENCE = 20.0
"""Seconds for what should take a tenth of one, on a machine that others keep busy, too."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A household with a calendar and a habit, pulled and built."""
    home = with_calendar(tmp_path / "home", event("a", "20270324T100000", "Boiler"))
    (home / "habits.toml").write_text(HABITS)
    nightly(Context.read(home, NOW))
    return home


def page(folder: Path, week: IsoWeek = THIS) -> bytes:
    """The page of a week as it is shown."""
    return (folder / f"output/site/{week}.html").read_bytes()


def until(true: Callable[[], bool]) -> None:
    """Waits for something to become true."""
    ends = time.monotonic() + PATIENCE
    while not true():
        assert time.monotonic() < ends, "it did not come"
        time.sleep(0.01)


class Told:
    """What a rebuilder told of pages and of errors."""

    def __init__(self) -> None:
        self.pages: list[tuple[str, ...]] = []
        self.errors: list[str] = []

    def complain(self, why: Message) -> None:
        """An error, once."""
        self.errors.append(str(why))


@contextmanager
def rebuilding(
    folder: Path, now: Callable[[], datetime] = lambda: NOW, pace: Pace = FAST
) -> Iterator[tuple[Rebuilder, Told]]:
    """A rebuilder that has made the whole site once."""
    told = Told()
    reader = Reader(folder, now)
    first = reader.read()
    rebuilder = Rebuilder(reader, first, complain=told.complain, pace=pace)
    rebuilder.on_built(told.pages.append)
    rebuilder.start()
    try:
        until(lambda: rebuilder.context is not first or bool(told.errors))
        yield rebuilder, told
    finally:
        rebuilder.stop()


def mark(folder: Path, value: str, day: int = 24) -> None:
    """A mark in the files, as serving writes it."""
    one = Mark("water", NOW.date().replace(day=day), "", value, NOW, NOW, "kitchen")
    assert take_marks(Context.read(folder, NOW), [one]).new == 1


# A few weeks by themselves


def test_single_weeks_are_byte_for_byte_those_of_a_whole_build(folder: Path) -> None:
    """So the whole build after it has nothing to change about them."""
    mark(folder, "6")
    context = Context.read(folder, NOW)
    with open_store(context) as store:
        assert build_weeks(context, store, {THIS, THIS.shifted(1)}) is not None
        quick = {week: page(folder, week) for week in (THIS, THIS.shifted(1))}
        build(context, store)
    assert b"6" in quick[THIS]
    assert {week: page(folder, week) for week in quick} == quick


def test_weeks_without_a_page_are_passed_over(folder: Path) -> None:
    """A mark of last year changes no page; no page is made for it."""
    context = Context.read(folder, NOW)
    before = pages_of(folder / "output/site")
    with open_store(context) as store:
        done = build_weeks(context, store, {IsoWeek(2026, 3)})
    assert done is not None
    assert done.changed == 0
    assert pages_of(folder / "output/site") == before


def test_without_a_site_the_whole_is_asked_for(folder: Path) -> None:
    """A few pages are no site."""
    shutil.rmtree(folder / "output")
    context = Context.read(folder, NOW)
    with open_store(context) as store:
        assert build_weeks(context, store, {THIS}) is None
    assert not (folder / "output/site").exists()


def test_what_changed_is_seen_by_size_and_time(folder: Path) -> None:
    """Pages that a build left alone keep both."""
    before = pages_of(folder / "output/site")
    mark(folder, "6")
    nightly(Context.read(folder, NOW))
    after = pages_of(folder / "output/site")
    # The year is made with the whole site, and not for the mark alone.
    year = ("review-2027.html", "year-2027.html")
    assert changed_between(before, after) == tuple(sorted((*MARKED, *year)))
    assert changed_between(before, {}) == tuple(sorted(before))


# The rebuilder


def test_a_mark_is_on_its_page_and_told(folder: Path) -> None:
    """Its page first, and nothing else is told to have changed."""
    with rebuilding(folder) as (rebuilder, told):
        mark(folder, "1234")
        rebuilder.touched([THIS])
        until(lambda: b"1234" in page(folder))
        until(lambda: bool(told.pages))
        assert told.pages == [MARKED]
    assert told.errors == []


def test_a_mark_does_not_wait_for_the_whole_site(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A whole build that is under way is given up for it, and made afterwards."""
    begun, whole = threading.Event(), []

    def slow(context: Context, store: object, *, progress: object) -> None:
        whole.append(context.now)
        begun.set()
        for _ in range(200):
            time.sleep(0.05)
            progress.step()  # type: ignore[attr-defined]

    with rebuilding(folder) as (rebuilder, told):
        monkeypatch.setattr("weeksync.workflow.rebuild.build", slow)
        (folder / "tasks.toml").write_text('format = 1\n[[tasks]]\ntitle = "x"\n')
        assert begun.wait(PATIENCE)
        mark(folder, "1234")
        started = time.monotonic()
        rebuilder.touched([THIS])
        until(lambda: b"1234" in page(folder))
        assert time.monotonic() - started < 8, "it waited for the ten seconds of the whole"
        until(lambda: len(whole) > 1)
    assert told.errors == []


def test_marks_without_end_do_not_put_the_whole_off_for_ever(folder: Path) -> None:
    """At the latest after `latest` seconds the month overviews are made, too."""
    pace = Pace(look=0.05, quiet=10.0, latest=1.0, busy=0.05)
    with rebuilding(folder, pace=pace) as (rebuilder, _):
        first = rebuilder.context
        ends = time.monotonic() + PATIENCE
        while rebuilder.context is first and time.monotonic() < ends:
            rebuilder.touched([THIS])
            time.sleep(0.1)
        assert rebuilder.context is not first


def test_an_edit_by_hand_comes_onto_the_pages(folder: Path) -> None:
    """Without a mark: the files are looked at."""
    with rebuilding(folder) as (_, told):
        text = (folder / "habits.toml").read_text()
        (folder / "habits.toml").write_text(text.replace("Glasses of water", "Mugs of tea"))
        until(lambda: b"Mugs of tea" in page(folder))
        until(lambda: any("2027-W12.html" in names for names in told.pages))
    assert told.errors == []


def test_a_mistake_in_a_file_is_told_once_and_the_last_pages_stay(folder: Path) -> None:
    """And when it is put right, the pages are made again."""
    with rebuilding(folder) as (rebuilder, told):
        before, config = page(folder), (folder / "config.toml").read_text()
        (folder / "config.toml").write_text("format = \n")
        until(lambda: bool(told.errors))
        rebuilder.touched([THIS])
        time.sleep(0.5)
        assert len(told.errors) == 1
        assert page(folder) == before
        (folder / "config.toml").write_text(config.replace("Test household", "Marrow house"))
        until(lambda: b"Marrow house" in page(folder))


def test_a_template_that_breaks_is_told(folder: Path) -> None:
    """The error names the file, and the thread goes on."""
    (folder / "config.toml").write_text(
        (folder / "config.toml").read_text().replace("[site]", '[site]\ntemplates = "mine"')
    )
    (folder / "mine").mkdir()
    with rebuilding(folder) as (_, told):
        (folder / "mine/week.html").write_text("{% if %}")
        until(lambda: bool(told.errors))
        assert "week.html" in told.errors[0]
        (folder / "mine/week.html").write_text("plain again")
        until(lambda: page(folder) == b"plain again")


def test_a_fault_of_our_own_does_not_end_it(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is told by its kind alone; the text of an error may be private."""
    with rebuilding(folder) as (rebuilder, told):
        with monkeypatch.context() as patch:
            patch.setattr("weeksync.workflow.rebuild.build_weeks", lambda *_: [][0])
            rebuilder.touched([THIS])
            until(lambda: bool(told.errors))
        assert "IndexError, a fault of weeksync" in told.errors[0]
        mark(folder, "1234")
        rebuilder.touched([THIS])
        until(lambda: b"1234" in page(folder))


def test_what_fails_for_a_time_is_tried_again(folder: Path) -> None:
    """Something in the way of the pages, taken away by whoever put it there."""
    pace = Pace(look=0.05, quiet=0.1, latest=5.0, busy=0.05, again=0.3)
    with rebuilding(folder, pace=pace) as (rebuilder, told):
        (folder / "output/site").unlink()
        (folder / "output/site").mkdir()
        mark(folder, "1234")
        rebuilder.touched([THIS])
        until(lambda: bool(told.errors))
        assert "weeksync did not make it" in told.errors[0]
        (folder / "output/site").rmdir()
        until(lambda: (folder / "output/site/index.html").exists() and b"1234" in page(folder))


def test_midnight_brings_the_next_day(folder: Path) -> None:
    """The clock of the run goes on; pages that depend on today are made again."""
    now = [NOW]
    with rebuilding(folder, lambda: now[0]) as (rebuilder, _):
        first = rebuilder.context
        now[0] = datetime.fromisoformat("2027-03-24T23:59:59+00:00")
        time.sleep(0.3)
        assert rebuilder.context is first
        now[0] += timedelta(seconds=1)
        until(lambda: rebuilder.context is not first)
        assert str(rebuilder.context.today) == "2027-03-25"


def test_nothing_to_do_builds_nothing(folder: Path) -> None:
    """Its own builds are no edits: it comes to rest."""
    with rebuilding(folder) as (rebuilder, told):
        time.sleep(0.5)
        first = rebuilder.context
        time.sleep(0.7)
        assert rebuilder.context is first
    assert told.pages == []


def test_pages_made_by_another_run_are_told(folder: Path) -> None:
    """As those of the night."""
    with rebuilding(folder) as (_, told):
        (folder / "family.ics").write_text(
            calendar(event("a", "20270324T100000", "Chimney sweep")), newline=""
        )
        child = os.fork()
        if child == 0:
            try:
                nightly(Context.read(folder, NOW))
            finally:
                os._exit(0)
        os.waitpid(child, 0)
        until(lambda: any("2027-W12.html" in names for names in told.pages))
        assert b"Chimney sweep" in page(folder)


def test_while_another_run_writes_it_waits_and_then_does_it(folder: Path) -> None:
    """A night that pulls for minutes has the lock; the mark is in the files, its page comes."""
    with rebuilding(folder) as (rebuilder, told):
        with open_store(Context.read(folder, NOW)):
            mark(folder, "1234")
            rebuilder.touched([THIS])
            time.sleep(0.4)
            assert b"1234" not in page(folder)
        until(lambda: b"1234" in page(folder))
    assert told.errors == []


def test_it_ends_at_once_when_told(folder: Path) -> None:
    """Also while another run is writing."""
    with open_store(Context.read(folder, NOW)):
        reader = Reader(folder, lambda: NOW)
        rebuilder = Rebuilder(reader, reader.read(), complain=lambda why: None, pace=FAST)
        rebuilder.start()
        started = time.monotonic()
        rebuilder.stop()
        assert time.monotonic() - started < 3


def test_a_clock_that_goes_on_from_an_instant() -> None:
    """For a run that lasts and is to be repeatable: it starts where it is told to."""
    clock = clock_from("2027-03-24T06:40:00Z")
    first = clock()
    assert NOW <= first < NOW + timedelta(seconds=5)
    until(lambda: clock() > first)
    assert abs(clock_from(None)() - datetime.now(NOW.tzinfo)) < timedelta(seconds=5)
