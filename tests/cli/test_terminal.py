"""A person at a terminal sees more than cron does."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.households import event, with_calendar
from weeksync.cli import main

DENTIST = event("dentist", "20270323T113000", "Dentist")


def at_a_terminal(*words: str, **environment: str) -> tuple[str, int]:
    """What a command writes to a real terminal, and its exit status."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "weeksync", *words],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100", **environment},
    )
    os.close(theirs)
    seen = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # Linux says so when the last writer has closed the terminal
            break
        if not part:
            break
        seen += part
    os.close(ours)
    return seen.decode(), process.wait()


def test_a_person_sees_a_progress_bar_and_what_was_done(tmp_path: Path) -> None:
    """Each piece of long work is named; at the end stands where the pages are."""
    folder = with_calendar(tmp_path, DENTIST)
    words = ["nightly", "--household", str(folder), "--now", "2027-03-24T06:40:00Z"]
    seen, status = at_a_terminal(*words)
    assert status == 0
    assert "Pulled 1 calendar source." in seen
    assert "4 weeks are ready" in seen
    assert "Making pages" in seen


def test_the_terminals_language_is_spoken_before_a_household_is_known() -> None:
    """Help follows LC_ALL where there is a catalogue."""
    seen, status = at_a_terminal("--help", LC_ALL="de_DE.UTF-8")
    assert status == 0
    assert "Kalender" in seen
    seen, _ = at_a_terminal("--help", LC_ALL="C.UTF-8")
    assert "Fetch what has changed in the calendars." in seen
    seen, status = at_a_terminal("--help", LC_ALL="xx_NOWHERE.UTF-8")
    assert status == 0
    assert "Fetch what has changed" in seen


def test_a_household_speaks_its_own_language(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Problems and days come in the household's language, whatever the terminal's."""
    folder = with_calendar(tmp_path, DENTIST)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("en_GB", "de_DE"))
    assert main(["show", "this", "--household", str(folder), "--now", "2027-03-24T06:40:00Z"]) == 1
    out, err = capsys.readouterr()
    assert "Dienstag, 23. März 2027" in out
    assert "weeksync pull" in err
    assert "never pulled" not in err


def test_a_reader_that_goes_away_is_no_error(tmp_path: Path) -> None:
    """`weeksync show | head -1` ends quietly."""
    folder = with_calendar(tmp_path, DENTIST)
    command = (
        f"{sys.executable} -m weeksync show 2020-01-01/2029-12-31 --household {folder} | head -1"
    )
    ended = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert len(ended.stdout.splitlines()) == 1
    assert "Traceback" not in ended.stderr
    assert "BrokenPipe" not in ended.stderr
