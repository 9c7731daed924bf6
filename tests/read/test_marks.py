"""Marks: every good line is kept, every bad one told."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from weeksync.model.household import latest_marks
from weeksync.read import HEADER, parse_marks, read_marks

HEAD = ",".join(HEADER)
GOOD = "walk,2027-03-22,ines,yes,2027-03-22T08:00:00+00:00,2027-03-22T08:00:01Z,tablet"
NAME = "marks/2027-W12.csv"


def csv(*lines: str) -> bytes:
    """A file of marks."""
    return "".join(f"{line}\n" for line in (HEAD, *lines)).encode()


def test_a_line_becomes_a_mark() -> None:
    """The columns as documented; an instant may end in Z or have an offset."""
    marks, problems = parse_marks(NAME, csv(GOOD.replace("+00:00", "+02:00")))
    assert problems == ()
    (mark,) = marks
    assert (mark.id, mark.day, mark.person, mark.value) == (
        "walk",
        date(2027, 3, 22),
        "ines",
        "yes",
    )
    assert mark.recorded_at.utcoffset() == timedelta(hours=2)
    assert mark.received_at == datetime(2027, 3, 22, 8, 0, 1, tzinfo=UTC)
    assert mark.device == "tablet"


@pytest.mark.parametrize("value", ["yes", "no", "0", "7.5", "-3", "10000"])
def test_marks_are_yes_no_or_a_number(value: str) -> None:
    """A number has a point before decimals, as in TOML."""
    marks, problems = parse_marks(NAME, csv(GOOD.replace("yes", value)))
    assert problems == ()
    assert marks[0].value == value


def test_an_empty_value_takes_a_mark_back() -> None:
    """It is a mark like any other: the line before it stays, and the later one holds."""
    later = GOOD.replace("yes", "").replace("08:00", "08:05")
    marks, problems = parse_marks(NAME, csv(GOOD, later))
    assert problems == ()
    assert [mark.value for mark in marks] == ["yes", ""]
    [held] = latest_marks(marks).values()
    assert held.value == ""


BAD = {
    "columns": (GOOD + ",more", "the line has 8 columns in place of 7: "),
    "comma": (GOOD.replace("yes", "7,5"), "the line has 8 columns in place of 7: "),
    "cut": ("walk,2027-03", "the line has 2 columns in place of 7: walk,2027-03"),
    "quote": (GOOD.replace("yes", '"7'), "the line has 0 columns in place of 7: "),
    "id": (GOOD.replace("walk", "Walk it"), 'id = "Walk it" is no id'),
    "no id": (GOOD.replace("walk", ""), 'id = "" is no id'),
    "person": (GOOD.replace("ines", "Ines M"), 'person = "Ines M" is no id'),
    "day": (GOOD.replace("03-22,", "02-30,"), 'date = "2027-02-30" is no date'),
    "week date": (GOOD.replace("2027-03-22,", "2027-W12-1,"), 'date = "2027-W12-1" is no date'),
    "value": (GOOD.replace("yes", "maybe"), 'value = "maybe" is no mark'),
    "infinite": (GOOD.replace("yes", "inf"), 'value = "inf" is no mark'),
    "too large to be written": (GOOD.replace("yes", "1000000001"), 'value = "1000000001" is no'),
    "huge": (GOOD.replace("yes", "9" * 400), 'value = "' + "9" * 58 + "… is no mark"),
    "no offset": (
        GOOD.replace("+00:00", ""),
        'recorded_at = "2027-03-22T08:00:00" is no instant',
    ),
    "no instant": (GOOD.replace("2027-03-22T08:00:01Z", "8"), 'received_at = "8" is no instant'),
    "NUL": (GOOD.replace("tablet", "\0\0\0"), "the line holds NUL"),
}


@pytest.mark.parametrize(("line", "said"), BAD.values(), ids=BAD.keys())
def test_a_bad_line_is_told_and_kept_out_alone(line: str, said: str) -> None:
    """The lines before and after count."""
    marks, problems = parse_marks(NAME, csv(GOOD, line, GOOD))
    assert len(marks) == 2
    assert [problem.place.line for problem in problems] == [3]
    assert str(problems[0].what).startswith(said)
    assert problems[0].remedy is not None


def test_bytes_of_another_encoding_cost_their_line() -> None:
    """The device's name in Latin-1, say."""
    content = csv(GOOD, GOOD.replace("tablet", "t\xe9l\xe9phone"), GOOD)
    marks, problems = parse_marks(NAME, content.replace("é".encode(), b"\xe9"))
    assert (len(marks), [problem.place.line for problem in problems]) == (2, [3])


def test_an_open_quote_does_not_swallow_what_follows() -> None:
    """A CSV reader over the whole file would take the next lines as one cell."""
    marks, _ = parse_marks(NAME, csv(GOOD.replace("tablet", '"tab'), GOOD, GOOD))
    assert len(marks) == 2


def test_lines_may_end_as_on_any_system_and_be_empty() -> None:
    """Carriage returns, empty lines, a byte order mark, quoted cells."""
    content = b"\xef\xbb\xbf" + csv(GOOD, "", GOOD.replace("tablet", '"a, ""b"""'))
    parsed = read_marks(NAME, content.replace(b"\n", b"\r\n"))
    assert parsed.problems == []
    assert parsed.lines == [2, 4]
    assert parsed.marks[1].device == 'a, "b"'


@pytest.mark.parametrize("first", [GOOD, "", HEAD.replace(",", ";"), HEAD + ",more"])
def test_without_its_first_line_nothing_is_read(first: str) -> None:
    """Columns in another order would give marks of other things."""
    marks, problems = parse_marks(NAME, f"{first}\n{GOOD}\n".encode())
    assert marks == ()
    assert [problem.place.line for problem in problems] == [1]
    assert str(problems[0].remedy) == f"write {HEAD} as the first line"


def test_a_file_of_nothing_but_bad_lines_is_a_screen_of_problems() -> None:
    """A thousand bad lines are told as twenty and a count."""
    _, problems = parse_marks(NAME, csv(*["x"] * 1000))
    assert len(problems) == 21
    assert str(problems[-1]) == (
        f"{NAME}:22: 980 more lines from here on are no marks; "
        "take a copy from before, or take the lines away"
    )
