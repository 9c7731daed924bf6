"""A week of year one after ten years in which everything else was changed: the same bytes.

Every two years or so the household changes feeds, files and settings, another release of the zone
data comes, and its pages are made from nothing.
"""

from __future__ import annotations

import re
import shutil
from datetime import UTC, datetime
from pathlib import Path

from tests.end_to_end.test_close import other_zones, weeksync
from weeksync import demo

__all__ = ["other_zones"]

FROZEN = "2027-W11.html"
TREES = ("site", "own")


def later(year: int) -> datetime:
    """A spring morning of that year."""
    return datetime(year, 3, 24, 6, 40, tzinfo=UTC)


def edited(path: Path, *changes: tuple[str, str]) -> None:
    """Changes of text, each of which must find what it changes."""
    text = path.read_text("utf-8")
    for before, after in changes:
        assert re.search(before, text, re.M) is not None, before
        text = re.sub(before, after, text, flags=re.M)
    path.write_text(text, "utf-8", newline="")


def people_and_words(home: Path) -> None:
    """2029: people and areas have other names, colours and letters, habits other targets."""
    edited(
        home / "config.toml",
        (r'^name = "Ines"$', 'name = "Inez"'),
        (r'^name = "Body and rest"$', 'name = "Rest"'),
        (r'^colour = "fir"\nletter = "B"$', 'colour = "clay"\nletter = "Z"'),
        (r'^morning = "06:00-12:00"$', 'morning = "05:00-11:00"'),
        (r'^afternoon = "12:00-18:00"$', 'afternoon = "11:00-18:00"'),
    )
    edited(home / "habits.toml", (r"^target = .*$", "target = 3"), (r'"Water"', '"Tea"'))


def feeds(home: Path) -> None:
    """2031: of the feeds one has other times and titles, one is empty, one is gone."""
    folder = home / "calendars"
    edited(folder / "home.ics", (r"^SUMMARY:.*?(\r?)$", r"SUMMARY:Something else\1"))
    (folder / "rota.ics").write_text(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//none//EN\r\nEND:VCALENDAR\r\n", newline=""
    )
    (folder / "stall.ics").unlink()


def settings(home: Path) -> None:
    """2034: another language, region, zone, first weekday, paper, and fewer pages."""
    edited(
        home / "config.toml",
        (r'^locale = "en_GB"$', 'locale = "de_AT"\nfirst_weekday = "sunday"'),
        (r'^region = "GB-ENG"$', 'region = "AT"'),
        (r'^time_zone = "Europe/London"', 'time_zone = "Europe/Vienna"'),
        (r'^size = "A4"', 'size = "A5"'),
        (r"^weeks_back = 10\nweeks_ahead = 14", "weeks_back = 2\nweeks_ahead = 2"),
    )


def files(home: Path) -> None:
    """2037: what the week was made of is gone, and somebody else lives there now."""
    for name in ("tasks.toml", "appointments.toml", "money.toml", "terms.toml", "routines.toml"):
        (home / name).write_text("format = 1\n", "utf-8")
    for name in ("marks", "check-ins", "weeks", "snapshots", "reviews"):
        shutil.rmtree(home / name)
    edited(home / "config.toml", (r'^id = "pell"\nname = "Pell"', 'id = "robin"\nname = "Robin"'))
    edited(home / "habits.toml", (r'^person = "pell"', 'person = "robin"'))
    edited(home / "config.toml", (r'^person = \["ines", "pell"\]', 'person = ["ines", "robin"]'))


def test_a_week_of_year_one_is_the_same_bytes_after_ten_years(
    tmp_path: Path, other_zones: Path
) -> None:
    """Its pages of both trees, made from nothing each time; all others have become other pages."""
    home = demo.copy_to(tmp_path / "household")
    weeksync(home, "nightly")
    weeksync(home, "close", "2027-W11")
    weeksync(home, "build")
    output = home / "output"
    first = {tree: (output / tree / FROZEN).read_bytes() for tree in TREES}
    before = (output / "site" / "2027-W12.html").read_bytes()
    record = (home / "archive" / "2027-W11.json").read_bytes()
    for year, change in ((2029, people_and_words), (2031, feeds), (2034, settings), (2037, files)):
        change(home)
        shutil.rmtree(output)
        # A feed that is gone, and what is named that is gone, are problems; the pages are made.
        weeksync(home, "nightly", now=later(year), path=other_zones, status=int(year > 2029))
        weeksync(home, "close", "last", now=later(year), path=other_zones, status=int(year > 2029))
        for tree, page in first.items():
            assert (output / tree / FROZEN).read_bytes() == page, (year, tree)
    assert (home / "archive" / "2027-W11.json").read_bytes() == record
    assert b"2099z" not in first["site"]
    assert b"2099z" in (output / "site" / "index.html").read_bytes()
    assert before not in {path.read_bytes() for path in (output / "site").glob("20*.html")}


def test_a_page_made_of_another_record_is_told_apart(tmp_path: Path) -> None:
    """The test above can fail: one mark more in the record, and the page is another one."""
    home = demo.copy_to(tmp_path / "household")
    weeksync(home, "nightly")
    weeksync(home, "close", "2027-W11")
    weeksync(home, "build")
    page = home / "output" / "site" / FROZEN
    first = page.read_bytes()
    edited(home / "archive" / "2027-W11.json", (r"Potato cakes", "Turnip cakes"))
    weeksync(home, "build")
    assert page.read_bytes() != first
