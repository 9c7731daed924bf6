"""Zones from the tzdata package: first instants of days, also of odd ones."""

from __future__ import annotations

import subprocess
import sys
import zipfile
import zoneinfo
from datetime import UTC, date, datetime, timedelta
from importlib import resources
from pathlib import Path

import pytest

from weeksync import zones
from weeksync.errors import HouseholdError


@pytest.mark.parametrize(
    ("name", "day", "start", "hours"),
    [
        # tz database 2026f, clock changes at midnight (facts computed with the packaged data)
        ("Africa/Cairo", date(2026, 4, 24), "2026-04-23T22:00:00+00:00", 23),
        ("Asia/Beirut", date(2026, 3, 29), "2026-03-28T22:00:00+00:00", 23),
        ("America/Santiago", date(2026, 9, 6), "2026-09-06T04:00:00+00:00", 23),
        ("America/Havana", date(2026, 3, 8), "2026-03-08T05:00:00+00:00", 23),
        ("Pacific/Apia", date(2011, 12, 30), "2011-12-30T10:00:00+00:00", 0),
        ("Europe/London", date(2027, 3, 28), "2027-03-28T00:00:00+00:00", 23),
        ("Europe/London", date(2027, 10, 31), "2027-10-30T23:00:00+00:00", 25),
    ],
)
def test_a_day_runs_from_its_first_instant_to_the_next_ones(
    name: str, day: date, start: str, hours: int
) -> None:
    """Not every day starts at midnight, and one never was."""
    low, high = zones.day_bounds(day, zones.zone(name))
    assert low == datetime.fromisoformat(start)
    assert high - low == timedelta(hours=hours)


@pytest.mark.parametrize("name", ["Pacific/Kiritimati", "Pacific/Niue", "Europe/London"])
def test_the_ends_of_the_calendar_have_an_instant_too(name: str) -> None:
    """Where UTC has no such moment, it is the first or the last one there is."""
    tz = zones.zone(name)
    days = [
        date.min,
        date(1, 1, 2),
        date(1, 1, 3),
        date(9999, 12, 29),
        date(9999, 12, 30),
        date.max,
    ]
    found = [zones.first_instant(day, tz) for day in days]
    assert found == sorted(found)
    assert found[0] == datetime.min.replace(tzinfo=UTC)
    assert found[-1] == datetime.max.replace(tzinfo=UTC)


def test_zones_come_from_the_package_and_not_from_the_machine() -> None:
    """Only its folder is searched, every zone is in it, its release is 2026f or later."""
    package = resources.files("tzdata")
    assert [str(package / "zoneinfo")] == list(zoneinfo.TZPATH)
    listed = (package / "zones").read_text("utf-8").split()
    assert zoneinfo.available_timezones() == set(listed)
    assert [name for name in listed if zones.find_zone(name) is None] == []
    assert zones.tzdata_version() >= "2026f"
    # tz database NEWS 2026c: Casablanca stays on +00 from 20 September 2026.
    assert datetime(
        2026, 12, 1, 12, tzinfo=zones.zone("Africa/Casablanca")
    ).utcoffset() == timedelta(0)


def test_a_package_in_an_archive_is_read_all_the_same(tmp_path: Path) -> None:
    """Where zones are no files of their own, Python finds them in the package."""
    archive = tmp_path / "tzdata.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        folder = Path(str(resources.files("tzdata")))
        for name in ("__init__.py", "zones", "zoneinfo/__init__.py", "zoneinfo/Europe/__init__.py"):
            packed.write(folder / name, f"tzdata/{name}")
        packed.write(folder / "zoneinfo" / "Europe" / "Athens", "tzdata/zoneinfo/Europe/London")
    code = (
        "import sys\nsys.path.insert(0, sys.argv[1])\nfrom datetime import datetime\n"
        "from weeksync import zones\n"
        "print(datetime(2027, 1, 1, tzinfo=zones.zone('Europe/London')).utcoffset())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(archive)], check=True, capture_output=True, text=True
    )
    assert done.stdout == "2:00:00\n"


def test_what_is_no_zone_is_said_with_a_remedy() -> None:
    """A name the database lacks, an empty one, one that tries to leave the folder."""
    for name in ("Europe/Londen", "", "../etc/passwd"):
        assert zones.find_zone(name) is None
        with pytest.raises(HouseholdError, match="as Europe/London"):
            zones.zone(name)
