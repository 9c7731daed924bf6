"""A household moves: packed, unpacked elsewhere, and its pages are the same to the byte."""

from __future__ import annotations

import os
import stat
import zipfile
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import recurring_ical_events  # type: ignore[import-untyped]
from icalendar import Calendar

from tests.calendar.support import stored
from tests.support.households import CONFIG
from weeksync import demo, zones
from weeksync.calendar import from_appointments
from weeksync.calendar.expand import expand
from weeksync.cli import main
from weeksync.errors import UsageError
from weeksync.model.files import Appointment
from weeksync.model.occurrence import Occurrence
from weeksync.workflow import Context, Status
from weeksync.workflow.appointments_ics import ics_of
from weeksync.workflow.close import close_week
from weeksync.workflow.moving import pack_household, unpack_household
from weeksync.workflow.nightly import nightly
from weeksync.workflow.spans import week_named

NOW = demo.NOW
WRITTEN = datetime(2027, 3, 1, 12, tzinfo=UTC)


def context(home: Path) -> Context:
    """The household at the instant of the demo."""
    return Context.read(home, NOW)


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo household, its own files alone."""
    return demo.copy_to(tmp_path / "household")


def test_the_demo_moves_and_its_pages_are_the_same_to_the_byte(home: Path, tmp_path: Path) -> None:
    """With a closed week: files, ids and both trees of pages are what they were."""
    nightly(context(home), wait=0)
    close_week(context(home), week_named("2027-W11", context(home)))
    nightly(context(home), wait=0)
    packed = tmp_path / "moved.zip"
    assert pack_household(context(home), packed).status is Status.FINE
    _, outcome = unpack_household(packed, tmp_path / "elsewhere", NOW)
    assert outcome.status is Status.FINE, outcome.problems
    moved = tree(tmp_path / "elsewhere")
    own = {
        name: content
        for name, content in tree(home).items()
        if not name.startswith(("state/", "output/"))
    }
    assert moved == own
    assert "archive/2027-W11.json" in moved
    ids = [one.id for one in context(home).files.appointments]
    assert [one.id for one in context(tmp_path / "elsewhere").files.appointments] == ids
    nightly(context(tmp_path / "elsewhere"), wait=0)
    for pages in ("site", "own"):
        before = tree(home / "output" / pages)
        assert len(before) > 5
        assert tree(tmp_path / "elsewhere" / "output" / pages) == before


def test_the_same_household_gives_the_same_zip(home: Path, tmp_path: Path) -> None:
    """Also one that was unpacked somewhere else; only its owner can read it."""
    zips = [tmp_path / f"{number}.zip" for number in range(3)]
    pack_household(context(home), zips[0])
    unpack_household(zips[0], tmp_path / "elsewhere", NOW)
    pack_household(context(home), zips[1])
    pack_household(context(tmp_path / "elsewhere"), zips[2])
    assert len({path.read_bytes() for path in zips}) == 1
    assert stat.S_IMODE(zips[0].stat().st_mode) == 0o600
    for path in (tmp_path / "elsewhere").rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600)


def test_a_zip_is_written_over_only_when_asked(home: Path, tmp_path: Path) -> None:
    """And nothing is left beside it."""
    place = tmp_path / "moved.zip"
    place.write_bytes(b"something else")
    with pytest.raises(UsageError, match="is there already"):
        pack_household(context(home), place)
    assert place.read_bytes() == b"something else"
    pack_household(context(home), place, force=True)
    assert zipfile.is_zipfile(place)
    assert sorted(os.listdir(tmp_path)) == ["household", "moved.zip"]


def test_secrets_stay_whatever_they_are_called(home: Path, tmp_path: Path) -> None:
    """Password files, keys, what devices may come in, hidden files, pages."""
    config = home / "config.toml"
    text = config.read_text("utf-8").replace("[site]\n", '[site]\ntemplates = "looks"\n')
    text = text.replace(
        'id = "home"\nname = "Home"\npath',
        'id = "far"\ncaldav = "https://dav.example.org/"\nuser = "x"\n'
        'password_file = "looks/word"\n\n[[calendars]]\nid = "home"\nname = "Home"\npath',
    )
    text += '\n[serve]\ncertificate = "looks/cert.pem"\ncertificate_key = "KEY"\n'
    # An absolute path, and a link to a secret, lead to it, too.
    config.write_text(text.replace("KEY", str(home / "looks" / "key.pem")), "utf-8")
    for name in (
        "looks/word",
        "looks/cert.pem",
        "looks/key.pem",
        "looks/week.html",
        "secret.txt",
        "state/access.json",
        ".hidden.toml",
        "marks/.held.csv",
        "calendars/notes.txt",
    ):
        (home / name).parent.mkdir(exist_ok=True)
        (home / name).write_text("hush")
    (home / "looks" / "again.html").symlink_to("word")
    outcome = pack_household(context(home), tmp_path / "moved.zip")
    names = zipfile.ZipFile(tmp_path / "moved.zip").namelist()
    assert [name for name in names if name.startswith("looks")] == ["looks/week.html"]
    assert not {
        "secret.txt",
        "state/access.json",
        ".hidden.toml",
        "marks/.held.csv",
        "calendars/notes.txt",
    } & set(names)
    assert "Not in it: secret.txt, state" in [str(line) for line in outcome.done]
    _, unpacked = unpack_household(tmp_path / "moved.zip", tmp_path / "elsewhere", NOW)
    said = " ".join(str(line) for line in unpacked.done)
    assert "Calendar far needs its password again: looks/word" in said
    assert "look at looks before weeksync build" in said


def test_no_command_of_an_unpacked_household_is_run(home: Path, tmp_path: Path) -> None:
    """The zip may be somebody else's: its password command is told, not started."""
    config = home / "config.toml"
    text = config.read_text("utf-8").replace(
        'id = "home"\nname = "Home"\npath',
        'id = "far"\ncaldav = "http://127.0.0.1:9/"\nuser = "x"\n'
        f'password_command = ["touch", "{tmp_path}/ran"]\n\n'
        '[[calendars]]\nid = "home"\nname = "Home"\npath',
    )
    config.write_text(text, "utf-8")
    pack_household(context(home), tmp_path / "moved.zip")
    _, outcome = unpack_household(tmp_path / "moved.zip", tmp_path / "elsewhere", NOW)
    assert "Calendar far runs a command" in " ".join(str(line) for line in outcome.done)
    assert not (tmp_path / "ran").exists()


def test_what_lies_outside_the_folder_is_told_on_both_ways(home: Path, tmp_path: Path) -> None:
    """A calendar elsewhere on the disk is not taken along; pages that go elsewhere are told."""
    config = home / "config.toml"
    text = config.read_text("utf-8").replace("[site]\n", f'[site]\noutput = "{tmp_path}/www"\n')
    config.write_text(text.replace('"calendars/home.ics"', '"../far.ics"'), "utf-8")
    (home / "calendars" / "home.ics").rename(tmp_path / "far.ics")
    outcome = pack_household(context(home), tmp_path / "moved.zip")
    assert "Calendar home lies outside" in " ".join(str(line) for line in outcome.done)
    _, outcome = unpack_household(tmp_path / "moved.zip", tmp_path / "elsewhere" / "home", NOW)
    said = " ".join(str(line) for line in outcome.done)
    assert "Calendar home lies outside the household folder and is not in it: ../far.ics" in said
    assert f"The pages go outside the household folder, to {tmp_path}/www;" in said


def test_the_readme_speaks_the_language_of_the_household(tmp_path: Path) -> None:
    """What is in the zip and what is not."""
    home = demo.copy_to(tmp_path / "household", "de_DE")
    pack_household(context(home), tmp_path / "moved.zip")
    text = zipfile.ZipFile(tmp_path / "moved.zip").read("README.txt").decode()
    assert text.startswith("Haushalt „The Marlowicks“")
    assert "weeksync unpack" in text
    assert "Passwörter" in text


def test_a_calendar_of_that_name_is_not_taken_for_ours(home: Path, tmp_path: Path) -> None:
    """Our own list of appointments then has another name, and stays in the zip all the same."""
    config = home / "config.toml"
    config.write_text(
        config.read_text("utf-8").replace('"calendars/home.ics"', '"Appointments.ics"'), "utf-8"
    )
    (home / "calendars" / "home.ics").rename(home / "Appointments.ics")
    pack_household(context(home), tmp_path / "moved.zip")
    assert "appointments-2.ics" in zipfile.ZipFile(tmp_path / "moved.zip").namelist()
    unpack_household(tmp_path / "moved.zip", tmp_path / "elsewhere", NOW)
    top = os.listdir(tmp_path / "elsewhere")
    assert [name for name in top if name.endswith(".ics")] == ["Appointments.ics"]


def test_the_commands_say_what_they_did(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Problems of the household are told after it was unpacked, with the status of `check`."""
    (home / "tasks.toml").write_text("format = 1\n[[tasks]]\ntitle = 3\n")
    packed, moved = str(tmp_path / "a.zip"), str(tmp_path / "b")
    main(["pack", packed, "--household", str(home), "--now", NOW.isoformat()])
    assert "34 files" in capsys.readouterr().out
    assert main(["unpack", packed, moved, "--now", NOW.isoformat()]) == Status.PROBLEMS
    said = capsys.readouterr()
    assert "marks/ (7)" in said.out
    assert "Next: weeksync nightly --household" in said.out
    assert "tasks.toml:3" in said.err
    assert main(["unpack", packed, moved]) == Status.WRONG_USE
    assert "is not empty" in capsys.readouterr().err


APPOINTMENTS = [
    Appointment(id="plain", title="Plain; with, signs\\", start=datetime(2027, 3, 22, 9),
                end=datetime(2027, 3, 22, 11, 30), place="Here, there", notes="Two\nlines"),
    Appointment(id="no-end", title="Moment", start=datetime(2027, 3, 22, 9), busy=False),
    Appointment(id="zero", title="Zero", start=datetime(2027, 3, 22, 9), minutes=0),
    # Clocks of Europe/London go back on 31 October 2027 at 02:00 (tzdata): the end is in the
    # second 01:00 to 02:00.
    Appointment(id="back", title="Back", start=datetime(2027, 10, 31, 0, 30), minutes=90),
    # ... and forward on 28 March 2027 at 01:00.
    Appointment(id="gap", title="Gap", start=datetime(2027, 3, 28, 1, 30), minutes=60),
    Appointment(id="daily", title="Daily", start=datetime(2027, 3, 1, 1, 30), minutes=45,
                repeats="FREQ=DAILY;COUNT=300", not_on=(date(2027, 3, 5), date(2027, 3, 28))),
    Appointment(id="twice", title="Mondays, Thursdays", start=datetime(2027, 3, 1, 8), minutes=10,
                repeats="FREQ=WEEKLY;BYDAY=MO,TH", not_on=(date(2027, 3, 11), date(2027, 3, 15))),
    Appointment(id="until-day", title="Until", start=datetime(2027, 3, 1, 23, 30), minutes=10,
                repeats="FREQ=DAILY;UNTIL=20270410"),
    Appointment(id="until-time", title="Until", start=datetime(2027, 3, 1, 8), minutes=10,
                repeats="FREQ=DAILY;UNTIL=20270410T080000"),
    Appointment(id="until-utc", title="Until", start=datetime(2027, 3, 1, 8), minutes=10,
                repeats="FREQ=DAILY;UNTIL=20270410T065959Z"),
    Appointment(id="days", title="Days", start=date(2027, 6, 1), end=date(2027, 6, 4)),
    Appointment(id="bins", title="Bins", start=date(2027, 1, 7),
                repeats="FREQ=WEEKLY;INTERVAL=2;BYDAY=TH;UNTIL=20271001T120000",
                not_on=(date(2027, 2, 4),), only_for=("ines",)),
]  # fmt: skip


def told(found: tuple[Occurrence, ...]) -> list[tuple[object, ...]]:
    """What a program that reads the text can know of each occurrence."""
    return [
        (one.uid, one.start, one.end, one.title, one.place, one.notes, one.busy) for one in found
    ]


@pytest.mark.parametrize(
    "key",
    # Half an hour of summer time; summer time that is "negative"; none; the other half of the year.
    ["Europe/London", "Australia/Lord_Howe", "Europe/Dublin", "Asia/Kolkata", "America/Santiago"],
)
@pytest.mark.parametrize("known", [True, False], ids=["zone known", "by VTIMEZONE alone"])
def test_the_list_of_appointments_read_back_gives_the_same_occurrences(
    key: str, known: bool
) -> None:
    """By the name of the zone, and by the VTIMEZONE alone where nobody knows that name."""
    tz = zones.zone(key)
    text = ics_of(APPOINTMENTS, tz, WRITTEN)
    if not known:
        text = text.replace(key.encode(), b"Household")
        assert key.encode() not in text
    ours = from_appointments(APPOINTMENTS, date(2027, 1, 1), date(2029, 1, 1), tz).occurrences
    read = expand([stored(text)], date(2027, 1, 1), date(2029, 1, 1), tz)
    assert read.problems == ()
    assert sorted(told(read.occurrences), key=str) == sorted(told(ours), key=str)
    assert len(ours) > 500


def test_another_reader_finds_the_same_times() -> None:
    """`recurring-ical-events` over the parser of `icalendar`, without the skipped hour.

    RFC 5545 leaves out a repetition at a time that does not exist (section 3.3.10); for such
    times that library has its own idea, so the two that meet one are left to the other tests.
    """
    tz = ZoneInfo("Europe/London")
    some = [one for one in APPOINTMENTS if one.id not in {"gap", "daily"}]
    text = ics_of(some, tz, WRITTEN)
    theirs = recurring_ical_events.of(Calendar.from_ical(text)).between(
        date(2027, 1, 1), date(2028, 1, 1)
    )
    ours = from_appointments(some, date(2027, 1, 1), date(2028, 1, 1), tz).occurrences
    found = sorted((str(one["UID"]), str(_utc(one["DTSTART"].dt))) for one in theirs)
    assert found == sorted((one.uid, str(_utc(one.start))) for one in ours)


def _utc(moment: date) -> date:
    return moment.astimezone(UTC) if isinstance(moment, datetime) else moment


def test_every_property_stands_where_rfc_5545_has_it() -> None:
    """UID, DTSTAMP, TRANSP, CLASS, EXDATE and UNTIL of the same kind as DTSTART."""
    calendar = Calendar.from_ical(ics_of(APPOINTMENTS, zones.zone("Europe/London"), WRITTEN))
    events: dict[str, Any] = {str(one["UID"]): one for one in calendar.walk("VEVENT")}
    assert list(events) == [one.id for one in APPOINTMENTS]
    assert {one["DTSTAMP"].dt for one in events.values()} == {WRITTEN}
    assert str(events["no-end"]["TRANSP"]) == "TRANSPARENT"
    assert str(events["bins"]["CLASS"]) == "PRIVATE"
    assert "CLASS" not in events["days"]
    assert [one.dt for one in events["bins"]["EXDATE"].dts] == [date(2027, 2, 4)]
    assert events["bins"]["EXDATE"].params["VALUE"] == "DATE"
    assert len(events["twice"]["EXDATE"].dts) == 2
    assert events["bins"]["RRULE"]["UNTIL"] == [date(2027, 10, 1)]
    until = events["until-day"]["RRULE"]["UNTIL"]
    assert until == [datetime(2027, 4, 10, 22, 59, 59, tzinfo=UTC)]


def test_appointments_without_times_need_no_zone(tmp_path: Path) -> None:
    """And a household without any has an empty calendar in its zip."""
    text = ics_of([APPOINTMENTS[-1]], zones.zone("Europe/London"), WRITTEN)
    assert b"VTIMEZONE" not in text
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "config.toml").write_text(CONFIG)
    pack_household(context(tmp_path / "home"), tmp_path / "a.zip")
    text = zipfile.ZipFile(tmp_path / "a.zip").read("appointments.ics")
    assert b"VEVENT" not in text
    assert text.startswith(b"BEGIN:VCALENDAR")
