"""Physical lines of problems: whatever the line ends, folds, encoding and company."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calendar.support import LONDON, calendar, event, stored
from weeksync.calendar.expand import expand
from weeksync.calendar.where import last_line, physical
from weeksync.model.pulled import StoredObject

START, END = date(2027, 3, 1), date(2027, 4, 1)
BAD = event("DTSTART:20270301T090000Z", "DTEND:soon", "SUMMARY:Bad", uid="bad")
GOOD = [event("DTSTART:20270302T090000Z", f"SUMMARY:Good {at}", uid=str(at)) for at in range(3)]


def places(*objects: StoredObject) -> list[tuple[str, int | None]]:
    """Object and line of each problem."""
    return [
        (problem.place.object, problem.place.line)
        for problem in expand(objects, START, END, LONDON).problems
    ]


def line_of(text: str, part: str) -> int:
    """The line of the text that begins with that part, as an editor counts."""
    return next(at for at, one in enumerate(text.splitlines(), 1) if one.startswith(part))


@pytest.mark.parametrize("line_end", ["\r\n", "\n", "\r", "\n\n", "\r\n\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "latin-1"])
def test_line_ends_and_encodings(line_end: str, encoding: str) -> None:
    """The number is that of the file as it lies there."""
    text = calendar(GOOD[0].replace("Good", "Café"), BAD, GOOD[1]).replace("\n", line_end)
    assert places(stored(text.encode(encoding))) == [("a.ics", line_of(text, "DTEND:soon"))]


def test_folds_and_zeros() -> None:
    """Folded lines count as many as they take; a folded property begins at its first."""
    text = calendar(
        GOOD[0].replace("SUMMARY:", "SUM\n MARY:a\n  b\n\tc"),
        BAD.replace("DTEND:soon", "DT\n END:so\n on"),
    )
    wanted = text.splitlines().index("DT") + 1
    assert places(stored(text.replace("BEGIN", "BE\0GIN"))) == [("a.ics", wanted)]


def test_the_same_line_in_several_events() -> None:
    """Each event's own line is meant, of components with the same UID too."""
    again = event("RECURRENCE-ID:20270305T090000Z", "DTSTART:20270305T100000Z", "DTEND:soon")
    first = event("DTSTART:20270304T090000Z", "RRULE:FREQ=DAILY;COUNT=3", "DTEND:soon")
    text = calendar(first, BAD, again, GOOD[2])
    lines = [at for at, one in enumerate(text.splitlines(), 1) if one == "DTEND:soon"]
    assert places(stored(text)) == [("a.ics", lines[0]), ("a.ics", lines[2]), ("a.ics", lines[1])]


def test_an_alarm_between_does_not_hide_the_line() -> None:
    """Nested lines are no part of the event's, and are counted."""
    alarm = "BEGIN:VALARM\nTRIGGER:-PT5M\nDTEND:alarm\nEND:VALARM\nDTEND:soon"
    text = calendar(BAD.replace("DTEND:soon", alarm))
    assert places(stored(text)) == [("a.ics", line_of(text, "DTEND:soon"))]


def test_objects_are_told_apart() -> None:
    """Of two objects with the same event each problem names its own."""
    found = places(
        stored(calendar(BAD), "a.ics", "one"), stored(calendar(GOOD[0], BAD), "b.ics", "two")
    )
    assert found == [("a.ics", 6), ("b.ics", 11)]


def test_lines_of_whole_texts() -> None:
    """The last line that holds anything, and the physical place of an unfolded line."""
    assert last_line(b"a\r\nb\r\n\r\n\0\0") == 2
    assert last_line(b"") == 1
    assert [physical(b"\n a\n\nb\n c\r\rd", count) for count in (1, 2, 3, 4)] == [2, 4, 7, None]


@given(st.binary(max_size=200), st.integers(0, 200))
def test_nothing_raises(noise: bytes, at: int) -> None:
    """Whatever stands around: a line is a line of the text, or none is told."""
    content = calendar(BAD).encode()
    content = content[:at] + noise + content[at:]
    count = content.count(b"\n") + content.count(b"\r") + 1
    for _, line in places(stored(content)):
        assert line is None or 1 <= line <= count
