"""Lines of the log: their words, their levels, where they go, and how much room they take."""

from __future__ import annotations

import io
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import pytest

from weeksync.lean.log import append, heard, say, words

AT = datetime(2027, 3, 24, 4, 0, 5, tzinfo=UTC)
LINES = [("info", "source=family"), ("warning", "source=school"), ("error", "run=nightly")]


@pytest.mark.parametrize(
    ("value", "word"),
    [
        ("family", "value=family"),
        (0, "value=0"),
        ("two words", 'value="two words"'),
        ("", 'value=""'),
        ("a=b", 'value="a=b"'),
        ("line\nbreak", r'value="line\nbreak"'),
        ("ü\u2028\u202e", r'value="\u00fc\u2028\u202e"'),
        ("\x1b[31m", r'value="\u001b[31m"'),
    ],
)
def test_a_value_stays_on_its_line(value: object, word: str) -> None:
    """What a server says can neither begin a line of its own nor colour a terminal."""
    assert words({"value": value}) == word


@pytest.mark.parametrize(("least", "many"), [("error", 1), ("warning", 2), ("info", 3)])
def test_a_level_hears_what_weighs_more(least: str, many: int) -> None:
    """Of three lines of three levels."""
    assert len(heard(LINES, least)) == many


def test_a_stream_gets_time_and_level_with_each_line() -> None:
    """An ISO 8601 instant first."""
    stream = io.StringIO()
    say(stream, LINES[:1], AT)
    assert stream.getvalue() == "2027-03-24T04:00:05+00:00 info source=family\n"


def test_the_journal_gets_the_level_as_it_reads_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """JOURNAL_STREAM names the stream (systemd.exec(5)); <4> is a warning (sd-daemon(3))."""
    with (tmp_path / "journal").open("w+") as stream:
        about = os.fstat(stream.fileno())
        monkeypatch.setenv("JOURNAL_STREAM", f"{about.st_dev}:{about.st_ino}")
        say(stream, LINES, AT)
        stream.seek(0)
        assert stream.read() == "<6>source=family\n<4>source=school\n<3>run=nightly\n"
        monkeypatch.setenv("JOURNAL_STREAM", f"{about.st_dev}:{about.st_ino + 1}")
        stream.truncate(0)
        stream.seek(0)
        say(stream, LINES[:1], AT)
        stream.seek(0)
        assert stream.read().startswith("2027-")


def test_a_file_stays_within_its_bound(tmp_path: Path) -> None:
    """Ten years of nights take twice the bound at most, and the last lines are there."""
    place = tmp_path / "log.txt"
    for number in range(2000):
        append(str(place), [("info", f"run={number}")], AT, 16 * 1024)
    sizes = {one.name: one.stat().st_size for one in tmp_path.iterdir()}
    assert set(sizes) == {"log.txt", "log.txt.1"}
    assert max(sizes.values()) <= 16 * 1024
    assert place.read_text().endswith("run=1999\n")
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_nothing_to_say_makes_no_file(tmp_path: Path) -> None:
    """Where no line weighs enough."""
    append(str(tmp_path / "log.txt"), [], AT, 16 * 1024)
    assert not list(tmp_path.iterdir())
