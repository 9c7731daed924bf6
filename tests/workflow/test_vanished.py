"""What happened stays on the pages when its calendar no longer has it: pulls over real files."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, event, with_calendar
from weeksync.model.pulled import Pulled, PulledCollection
from weeksync.store import Store
from weeksync.workflow import Context, Status
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.show import shown

MONDAY = event("dentist", "20270322T113000", "Dentist")
YESTERDAY = event("haircut", "20270323T160000", "Haircut")
EARLIER_TODAY = event("walk", "20270324T050000", "Early walk")
UNDER_WAY = event("flight", "20270324T060000", "Flight")
AHEAD = event("choir", "20270326T190000", "Choir")
TO_COME = [event(f"to-come-{n}", f"202704{n:02}T090000", f"Thing {n}") for n in range(1, 5)]


def night(folder: Path, now: datetime = NOW) -> Outcome:
    """A nightly run."""
    return nightly(Context.read(folder, now), wait=0)


def titles(folder: Path, week: str = "2027-W12", now: datetime = NOW) -> list[str]:
    """The titles of the week's occurrences, in order."""
    spread, _ = shown(Context.read(folder, now), week)
    return [one.occurrence.title for day in spread.days for one in day.occurrences]


def now_has(folder: Path, *components: str) -> None:
    """The calendar's file, exported anew."""
    (folder / "family.ics").write_text(calendar(*components), "utf-8", newline="")


def test_what_is_over_stays_and_what_is_to_come_goes(tmp_path: Path) -> None:
    """A feed that only lists what is to come loses its past; nobody is bothered with it.

    NOW is 06:40 in London: the walk of 05:00 to 06:00 is over, the flight of 06:00 to 07:00 not.
    """
    folder = with_calendar(tmp_path, MONDAY, YESTERDAY, EARLIER_TODAY, UNDER_WAY, AHEAD, *TO_COME)
    night(folder)
    assert titles(folder) == ["Dentist", "Haircut", "Early walk", "Flight", "Choir"]
    now_has(folder, *TO_COME)
    outcome = night(folder)
    assert outcome.status is Status.FINE
    assert outcome.problems == ()
    assert titles(folder) == ["Dentist", "Haircut", "Early walk"]


def test_it_stays_through_many_pulls_and_until_it_comes_back(tmp_path: Path) -> None:
    """What was kept is no longer in what a pull compares with, and is still there a month later;
    put back with another title, it is that, once."""
    folder = with_calendar(tmp_path, MONDAY, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME, AHEAD)
    later = NOW + timedelta(days=30)
    night(folder, later)
    assert titles(folder) == ["Dentist", "Choir"]
    now_has(folder, *TO_COME, event("dentist", "20270322T113000", "Dentist, moved"))
    night(folder, later)
    assert titles(folder) == ["Dentist, moved", "Choir"]


def test_an_export_with_new_names_doubles_nothing(tmp_path: Path) -> None:
    """Some programs give every event a new UID and a new stamp with each export."""
    folder = with_calendar(tmp_path, MONDAY, *TO_COME)
    night(folder)
    anew = event("x-1", "20270322T113000", "Dentist").replace("20270101T", "20270324T")
    now_has(folder, anew, *TO_COME)
    night(folder)
    assert titles(folder) == ["Dentist"]


def in_a_folder(tmp_path: Path) -> Path:
    """The household whose calendar is the folder "phone", with what is to come in it."""
    folder = with_calendar(tmp_path, *TO_COME)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace('path = "family.ics"', 'path = "phone"'))
    (folder / "phone").mkdir()
    put(folder, "more", *TO_COME)
    return folder


def put(folder: Path, name: str, *components: str) -> None:
    """A file of the folder."""
    place = folder / "phone" / f"{name}.ics"
    place.write_text(calendar(*components), "utf-8", newline="")


def test_an_export_with_new_names_doubles_nothing_in_files_of_one_event(tmp_path: Path) -> None:
    """As a phone that is copied again each night, or a calendar put into a server anew."""
    folder = in_a_folder(tmp_path)
    for turn in range(4):
        for place in (folder / "phone").glob("x-*"):
            place.unlink()
        for day, title in ((22, "Dentist"), (23, "Haircut")):
            uid = f"x-{turn}-{day}"
            put(folder, uid, event(uid, f"202703{day}T113000", title))
        night(folder)
        assert titles(folder) == ["Dentist", "Haircut"]


def test_of_a_file_that_is_gone_the_past_is_kept_once_and_nothing_is_said(tmp_path: Path) -> None:
    """What its source no longer has nobody can put right."""
    folder = in_a_folder(tmp_path)
    put(folder, "old", MONDAY.replace("SUMMARY", "DTSTART:20270322T113000Z\r\nSUMMARY"))
    assert any("DTSTART" in str(one) for one in night(folder).problems)
    (folder / "phone" / "old.ics").unlink()
    assert night(folder).problems == ()
    assert titles(folder) == ["Dentist"]
    with Store.open(folder / "state", write=False) as store:
        assert sum(one.name.startswith("old.ics") for one in store.objects("family")) == 1


def test_the_past_stays_when_the_calendar_moves(tmp_path: Path) -> None:
    """What was kept of it is not of its old place alone, and what was expanded of it neither."""
    folder = with_calendar(tmp_path, MONDAY, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME)
    night(folder)
    with Store.open(folder / "state", write=True) as store:
        store.apply(Pulled("family", (PulledCollection("elsewhere"),)), [], NOW, [])
    assert titles(folder) == ["Dentist"]


@pytest.mark.parametrize(
    ("entry", "stays"),
    [
        (event("series", "20270301T100000", "Course", "RRULE:FREQ=WEEKLY;COUNT=4"), True),
        (event("series", "20270301T100000", "Course", "RRULE:FREQ=WEEKLY;COUNT=5"), False),
        (event("series", "20270301T100000", "Course", "RRULE:FREQ=WEEKLY"), False),
    ],
    ids=["over on Monday", "once more next Monday", "without end"],
)
def test_a_series_stays_where_its_last_time_is_over(
    tmp_path: Path, entry: str, stays: bool
) -> None:
    """A series that would go on was called off, and goes as it always did."""
    folder = with_calendar(tmp_path, entry, *TO_COME)
    night(folder)
    assert titles(folder) == ["Course"]
    now_has(folder, *TO_COME)
    night(folder)
    assert titles(folder) == (["Course"] if stays else [])


def test_what_is_kept_keeps_its_own_zone(tmp_path: Path) -> None:
    """The rules of a zone that only the calendar knows go along with the event."""
    zone = (
        "BEGIN:VTIMEZONE\r\nTZID:Our hall\r\nBEGIN:STANDARD\r\nDTSTART:19700101T000000\r\n"
        "TZOFFSETFROM:+0200\r\nTZOFFSETTO:+0200\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n"
    )
    own = MONDAY.replace("Europe/London", "Our hall")
    folder = with_calendar(tmp_path, zone, own, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME)
    night(folder)
    spread, _ = shown(Context.read(folder, NOW), "2027-W12")
    (dentist,) = (one.occurrence for day in spread.days for one in day.occurrences)
    # 11:30 at UTC+2 is 09:30 UTC, which is London's time in March before the 28th.
    assert dentist.start == datetime(2027, 3, 22, 9, 30, tzinfo=UTC)


def test_a_to_do_that_is_gone_is_gone(tmp_path: Path) -> None:
    """It was done or given up; kept, it would be carried for ever."""
    todo = (
        "BEGIN:VTODO\r\nUID:tax\r\nDTSTAMP:20270101T000000Z\r\nDUE;VALUE=DATE:20270322\r\n"
        "SUMMARY:Tax\r\nEND:VTODO\r\n"
    )
    folder = with_calendar(tmp_path, todo, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME)
    night(folder)
    spread, _ = shown(Context.read(folder, NOW), "2027-W12")
    assert not [task.title for day in spread.days for task in day.tasks]


def test_of_a_file_that_is_gone_from_a_folder_the_past_stays(tmp_path: Path) -> None:
    """A file with events on both sides of now."""
    folder = with_calendar(tmp_path, ident="family")
    config = folder / "config.toml"
    config.write_text(config.read_text().replace('path = "family.ics"', 'path = "shelf"'))
    shelf = folder / "shelf"
    shelf.mkdir()
    (shelf / "one.ics").write_text(calendar(MONDAY, AHEAD), "utf-8", newline="")
    (shelf / "two.ics").write_text(calendar(*TO_COME), "utf-8", newline="")
    night(folder)
    (shelf / "one.ics").unlink()
    assert night(folder).status is Status.FINE
    assert titles(folder) == ["Dentist"]


def test_no_more_than_so_many_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Beyond that the oldest go."""
    monkeypatch.setattr("weeksync.store.objects.MOST_KEPT", 2)
    past = [event(f"past-{n}", f"202703{n:02}T090000", f"Past {n}") for n in (15, 16, 17, 18)]
    folder = with_calendar(tmp_path, *past, *TO_COME)
    night(folder)
    now_has(folder, *TO_COME)
    night(folder)
    assert titles(folder, "2027-W11") == ["Past 17", "Past 18"]
    with Store.open(folder / "state", write=False) as store:
        assert len(list(store.objects("family"))) == 3
