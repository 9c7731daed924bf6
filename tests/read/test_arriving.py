"""Marks saved on a tablet: CSV or JSON lines, each line read by itself and kept as it stands."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime

import pytest

from weeksync.read import HEADER, Line, read_arriving

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
HEAD = ",".join(HEADER)
GOOD = "walk,2027-03-22,ann,yes,2027-03-22T08:00:00+00:00,,tablet"
MEMBERS = {
    "id": "walk",
    "date": "2027-03-22",
    "value": "yes",
    "recorded_at": "2027-03-22T08:00:00Z",
    "person": "ann",
    "device": "tablet",
}


def lines(*texts: str, first: str = HEAD) -> list[Line]:
    """What the lines of a file say."""
    content = "".join(f"{text}\r\n" for text in (first, *texts) if text).encode()
    return read_arriving("saved.csv", content, NOW).lines


def test_csv_and_json_lines_say_the_same() -> None:
    """When it was received is said by the receiver, whatever the file says of it."""
    [by_csv] = lines(GOOD)
    [by_json] = lines(json.dumps(MEMBERS), first="")
    [received] = lines(json.dumps({**MEMBERS, "received_at": "1999-01-01T00:00:00Z"}), first="")
    assert by_csv.mark == by_json.mark == received.mark
    assert by_csv.mark is not None
    assert (by_csv.mark.day, by_csv.mark.received_at) == (date(2027, 3, 22), NOW)
    assert (by_csv.number, by_json.number) == (2, 1)


@pytest.mark.parametrize(
    ("value", "read"), [(True, "yes"), (False, "no"), (7, "7"), (7.5, "7.5"), (None, ""), ("", "")]
)
def test_a_value_may_be_what_json_has_for_it(value: object, read: str) -> None:
    """True, a number, null for a mark taken back."""
    [line] = lines(json.dumps({**MEMBERS, "value": value}), first="")
    assert line.mark is not None
    assert line.mark.value == read


BAD_CSV = [
    "walk,2027-03-22",
    GOOD.replace("2027-03-22,", "2027-02-30,"),
    GOOD.replace("+00:00", ""),
    GOOD.replace("walk", "Walk it"),
    GOOD + "\0",
    GOOD + "x" * 5000,
    GOOD.replace("tablet", '"tab'),
]
BAD_JSON = [
    "{",
    "[]",
    "7",
    "[" * 100_000,
    '{"id": ' + "9" * 5000 + "}",
    json.dumps({**MEMBERS, "colour": "red"}),
    json.dumps({key: value for key, value in MEMBERS.items() if key != "recorded_at"}),
    json.dumps({**MEMBERS, "id": ["walk"]}),
    json.dumps({**MEMBERS, "date": 20270322}),
    json.dumps({**MEMBERS, "recorded_at": {"at": 1}}),
]


@pytest.mark.parametrize("bad", BAD_CSV, ids=range(len(BAD_CSV)))
def test_a_bad_line_of_csv_is_kept_as_it_stands(bad: str) -> None:
    """With its number, and without its neighbours."""
    before, wrong, after = lines(GOOD, bad, GOOD)
    assert before.mark is not None
    assert after.mark is not None
    assert (wrong.mark, wrong.number, wrong.text) == (None, 3, bad.encode())
    assert wrong.problem is not None
    assert str(wrong.problem).startswith("saved.csv:3: ")


@pytest.mark.parametrize("bad", BAD_JSON, ids=range(len(BAD_JSON)))
def test_a_bad_line_of_json_is_kept_as_it_stands(bad: str) -> None:
    """What is no object, has other members or values of another kind."""
    good = json.dumps(MEMBERS)
    before, wrong, after = lines(good, bad, good, first="")
    assert before.mark is not None
    assert after.mark is not None
    assert (wrong.mark, wrong.text) == (None, bad.encode())


def test_not_a_number_is_no_value() -> None:
    """Python's JSON reads NaN; as a mark it is a word that no kind takes."""
    [line] = lines(json.dumps({**MEMBERS, "value": float("nan")}), first="")
    assert line.mark is not None
    assert line.mark.value == "NaN"


@pytest.mark.parametrize("first", ["id;date", "<!doctype html>", "\ufffd\ufffd", GOOD])
def test_another_kind_of_file_is_told_as_a_whole(first: str) -> None:
    """A page saved in place of the marks, say."""
    arrived = read_arriving("saved.csv", f"{first}\n{GOOD}\n".encode(), NOW)
    assert arrived.lines == []
    assert arrived.problem is not None
    assert "does not name the columns" in str(arrived.problem)


def test_an_empty_file_holds_no_marks() -> None:
    """And is no mistake: nothing was marked."""
    assert read_arriving("saved.csv", b"\xef\xbb\xbf\n\n", NOW).lines == []
