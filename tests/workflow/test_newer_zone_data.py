"""A newer release of the zone data changes pages without a new pull.

Each run is a process of its own; the second one finds another `tzdata` package first, a copy of
the installed one in which Lisbon has the rules of Athens and whose release is one that there is
not. Nothing else differs: the calendar's file is gone by then.
"""

from __future__ import annotations

import importlib
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, write_household

CALL = """\
BEGIN:VEVENT
UID:call
DTSTAMP:20270101T000000Z
DTSTART;TZID=Europe/Lisbon:20270324T093000
DURATION:PT1H
SUMMARY:Call
END:VEVENT
""".replace("\n", "\r\n")
RELEASE = "2099z"


def weeksync(folder: Path, *command: str, path: Path | None = None) -> str:
    """What a command prints; `path` is where packages are looked for first."""
    words = [sys.executable, "-m", "weeksync", *command]
    words += ["--household", str(folder), "--now", NOW.isoformat()]
    env = {**os.environ, "PYTHONPATH": str(path)} if path is not None else dict(os.environ)
    done = subprocess.run(words, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=env)
    assert done.returncode == 0, done.stderr
    return done.stdout


def times(folder: Path) -> list[str]:
    """When the call is on the week's page, with its day, as 2027-03-24 09:30."""
    page = (folder / "output" / "site" / "2027-W12.html").read_text("utf-8")
    days = re.split(r'<article [^>]*id="d-([0-9-]+)"', page)
    return [
        f"{day} {start}"
        for day, text in zip(days[1::2], days[2::2], strict=True)
        for start in re.findall(r'<span class="when">([0-9:]+)[^<]*</span>[^\n]{0,80}Call', text)
    ]


@pytest.fixture(scope="module")
def newer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with that other package."""
    folder = tmp_path_factory.mktemp("newer")
    installed = importlib.import_module("tzdata").__file__
    assert installed is not None
    shutil.copytree(Path(installed).parent, folder / "tzdata")
    zones = folder / "tzdata" / "zoneinfo" / "Europe"
    shutil.copyfile(zones / "Athens", zones / "Lisbon")
    init = folder / "tzdata" / "__init__.py"
    text = re.sub(r'IANA_VERSION = "\w+"', f'IANA_VERSION = "{RELEASE}"', init.read_text("utf-8"))
    init.write_text(text, "utf-8")
    return folder


def test_another_release_moves_the_call(tmp_path: Path, newer: Path) -> None:
    """Half past nine in Lisbon is half past nine in London, in Athens half past seven."""
    folder = write_household(
        tmp_path, '\n[[calendars]]\nid = "family"\npath = "family.ics"\nperson = "ann"\n'
    )
    file = folder / "family.ics"
    file.write_text(calendar(CALL), "utf-8", newline="")
    weeksync(folder, "pull")
    weeksync(folder, "build")
    before = times(folder)
    assert before == ["2027-03-24 09:30"]
    file.unlink()
    weeksync(folder, "build", path=newer)
    assert times(folder) == ["2027-03-24 07:30"]
    weeksync(folder, "build")
    assert times(folder) == before


def test_the_release_is_shown(tmp_path: Path, newer: Path) -> None:
    """In `check` and at the foot of every page."""
    folder = write_household(tmp_path)
    weeksync(folder, "build", path=newer)
    for page in (folder / "output" / "site").glob("*.html"):
        assert f"Time zones {RELEASE}" in page.read_text("utf-8")
    assert f"tzdata {RELEASE}" in weeksync(folder, "check", path=newer)
    installed = importlib.import_module("tzdata").IANA_VERSION
    assert f"tzdata {installed}" in weeksync(folder, "check")
