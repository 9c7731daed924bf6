"""The benchmark corpus is what it says, and the runner measures what it runs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from icalendar import Calendar

from benchmarks import expansion
from benchmarks.corpus import SIZES, calendar_text, write_corpus
from benchmarks.measure import ROOT, Measured, StageFailed, measure
from benchmarks.parse import parse
from benchmarks.run import STAGES, commands, table
from benchmarks.text import fold

SMALL = SIZES["small"]


def test_the_small_corpus_has_its_size(tmp_path: Path) -> None:
    """Six calendars, 3,000 events, about 2.7 MB, about 8 in 100 of them series."""
    corpus = write_corpus(tmp_path, SMALL)
    assert len(corpus.calendars) == 6
    assert parse(list(corpus.calendars)) == corpus.events == 3_000
    assert 2.4e6 < corpus.size < 3.0e6
    lines = b"".join(path.read_bytes() for path in corpus.calendars).split(b"\r\n")
    series = sum(line.startswith(b"RRULE:FREQ") and b"COUNT" in line for line in lines)
    assert 0.06 < series / corpus.events < 0.10
    assert sum(line.startswith(b"RECURRENCE-ID") for line in lines) > 100


def test_a_seed_fixes_every_byte() -> None:
    """The same seed gives the same calendar, another seed another one."""
    first = calendar_text(0, SMALL, seed=3)
    assert first == calendar_text(0, SMALL, seed=3)
    assert first != calendar_text(0, SMALL, seed=4)


def test_events_have_what_real_ones_have() -> None:
    """Zones, descriptions, attendees, alarms, all-day spans and times in UTC are all there."""
    calendar = Calendar.from_ical(calendar_text(0, SMALL))
    events = [part for part in calendar.subcomponents if part.name == "VEVENT"]
    zones = {str(part["TZID"]) for part in calendar.subcomponents if part.name == "VTIMEZONE"}
    assert len(zones) == 3
    assert {str(event["DTSTART"].params.get("TZID", "")) for event in events} == zones | {""}
    assert all(event["DESCRIPTION"] for event in events)
    assert any("ATTENDEE" in event for event in events)
    assert any(part.name == "VALARM" for event in events for part in event.subcomponents)
    assert any(event["DTSTART"].params.get("VALUE") == "DATE" for event in events)


def test_an_override_names_an_instance_of_its_series() -> None:
    """Every RECURRENCE-ID has the UID of a series of the same calendar."""
    calendar = Calendar.from_ical(calendar_text(1, SMALL))
    events = [part for part in calendar.subcomponents if part.name == "VEVENT"]
    series = {str(event["UID"]) for event in events if "RRULE" in event}
    moved = {str(event["UID"]) for event in events if "RECURRENCE-ID" in event}
    assert moved
    assert moved <= series


@pytest.mark.parametrize("letter", ["a", "ü", "α", "語"])
def test_folding_keeps_characters_whole(letter: str) -> None:
    """No folded line is longer than 75 octets and unfolding gives the line back."""
    line = "SUMMARY:" + letter * 200
    content = fold(line)
    assert max(len(part) for part in content.split(b"\r\n")) <= 75
    assert all(part.decode() for part in content.split(b"\r\n")[:-1])
    assert content.replace(b"\r\n ", b"").decode() == line + "\r\n"


def test_memory_and_time_of_a_command_are_measured() -> None:
    """A process that fills 200 MB is seen to do so, one that does nothing is not."""
    # From a small process: what is started counts from the memory of the one that starts it.
    code = "held = bytearray(200_000_000)\nfor _ in range(3_000_000): pass"
    asked = (
        "import sys; from benchmarks.measure import measure\n"
        f"for code in ('pass', {code!r}):\n"
        "    used = measure([sys.executable, '-c', code])\n"
        "    print(used.cpu, used.wall, used.peak_mb)"
    )
    answer = subprocess.run(
        [sys.executable, "-c", asked], cwd=ROOT, capture_output=True, text=True, check=True
    )
    idle, busy = (Measured(*map(float, line.split())) for line in answer.stdout.splitlines())
    assert idle.peak_mb < 100 < 190 < busy.peak_mb
    assert busy.cpu > idle.cpu
    assert busy.wall > 0


def test_a_stage_that_fails_is_an_error() -> None:
    """The time of a command that failed is never shown; what it said is."""
    with pytest.raises(StageFailed, match="no good"):
        measure([sys.executable, "-c", "raise SystemExit('no good')"])


def test_the_table_counts_in_units_of_the_parse() -> None:
    """The last column is the CPU time over that of the parse."""
    figures = {stage: Measured(2.0 * n, 1.0, 10.0) for n, stage in enumerate(STAGES, 1)}
    lines = table(figures).splitlines()
    assert [line.split()[-1] for line in lines[1:]] == ["0.50", "1.00", "1.50", "2.00", "2.50"]


def test_there_is_a_command_for_every_stage(tmp_path: Path) -> None:
    """Stages and commands belong together, and every calendar is parsed."""
    corpus = write_corpus(tmp_path, SMALL)
    found = commands(tmp_path)
    assert tuple(found) == STAGES
    assert found["parse, icalendar"][3:] == [str(path) for path in corpus.calendars]


def test_every_leg_of_the_expansion_goes_through_the_same_bytes(tmp_path: Path) -> None:
    """Ours gives what the bare libraries give; the corpus has none of what they get wrong."""
    corpus = write_corpus(tmp_path, SMALL)
    paths = list(corpus.calendars)
    assert expansion.parse(paths) == corpus.events + 3 * len(paths)  # each has three VTIMEZONEs
    ours, bare = expansion.weeksync(paths), expansion.libraries(paths)
    assert abs(ours - bare) <= bare // 100
    assert ours > 1_000


def test_the_small_corpus_keeps_what_is_promised_of_the_large_one(tmp_path: Path) -> None:
    """CPU at most 1.5 times the libraries', memory over the start at most 0.3 of the parse's.

    On the small corpus the start of the interpreter weighs more; the large one is measured by
    `python -m benchmarks.expansion large`.
    """
    write_corpus(tmp_path, SMALL)
    code = (
        "import sys; from pathlib import Path; from benchmarks.expansion import *\n"
        "measured = measure_legs(Path(sys.argv[1]), 1)\n"
        "print(table(measured), *(measured[leg].cpu for leg in LEGS), sep='\\n')"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "calendars")],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    *lines, _, _, bare, ours = answer.stdout.splitlines()
    assert float(ours) <= expansion.MOST_TIME * float(bare)
    assert "weeksync ÷ libraries" in lines[-2]
