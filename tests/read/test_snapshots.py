"""Snapshots of a week: written as they are read, and told where they cannot be used."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.read import parse_snapshot, snapshot_bytes

NAME = "snapshots/2027-W12.json"
LINE = SnapshotLine(
    kind=LineKind.EVENT,
    key="event|call|",
    series="event|call",
    day=date(2027, 3, 22),
    until=date(2027, 3, 23),
    title=" Call: “Nana”\n\u2028",
    start="10:30",
    persons=("ines", "nana"),
)
SNAPSHOT = Snapshot(
    format=1, week="2027-W12", taken_at=datetime(2027, 3, 21, 18, tzinfo=UTC), lines=(LINE,)
)

ROW = json.loads(snapshot_bytes(SNAPSHOT))["lines"][0]


def test_the_file_has_a_line_for_each_line() -> None:
    """Whoever opens it, or compares two of them, sees the lines of the week as lines."""
    rows = snapshot_bytes(SNAPSHOT).decode().splitlines()
    assert rows[:4] == [
        "{",
        '"format": 1,',
        '"week": "2027-W12",',
        '"taken_at": "2027-03-21T18:00:00Z",',
    ]
    bare = replace(SNAPSHOT, lines=())
    assert json.loads(snapshot_bytes(bare))["lines"] == []
    assert parse_snapshot(NAME, snapshot_bytes(bare)) == (bare, ())


@given(
    st.lists(
        st.builds(
            SnapshotLine,
            kind=st.sampled_from(LineKind),
            key=st.text(max_size=20),
            day=st.dates(date(1900, 1, 1), date(2199, 12, 31)),
            title=st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
            text=st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
            tentative=st.booleans(),
            only_for=st.sampled_from([(), ("ines",), ("ines", "dov")]),
        ),
        max_size=5,
    )
)
def test_what_is_written_is_read_again(lines: list[SnapshotLine]) -> None:
    """Whatever the titles hold, nothing is lost and nothing added."""
    snapshot = replace(SNAPSHOT, lines=tuple(lines))
    assert parse_snapshot(NAME, snapshot_bytes(snapshot)) == (snapshot, ())


def changed(**keys: Any) -> bytes:
    """The file with some keys replaced."""
    return json.dumps(json.loads(snapshot_bytes(SNAPSHOT)) | keys).encode()


def test_what_a_later_weeksync_adds_is_passed_over() -> None:
    """A property nobody knows does not cost the snapshot."""
    assert parse_snapshot(NAME, changed(printed_on="A5")) == (SNAPSHOT, ())


@pytest.mark.parametrize(
    ("content", "line", "said"),
    [
        (b'{"format": 1,\n"week": }', 2, "no JSON"),
        (b"\xff\xfe\xff", None, "no JSON"),
        (b"[" * 100_000, None, "no JSON"),
        (b"[]", None, "content"),
        (b"{}", None, "no usable format"),
        (changed(lines=[{"kind": "event"}]), None, "lines.0.key"),
        (changed(lines=[{**ROW, "day": "22 March"}]), None, "lines.0.day"),
        (changed(lines=[ROW] * 5_001), None, "lines"),
        (changed(taken_at="2027-03-21T18:00:00"), None, "taken_at"),
        (changed(week="W12"), None, "week"),
        (changed(week="2027-W13"), None, "2027-W13"),
    ],
    ids=["cut", "bytes", "deep", "list", "empty", "no-key", "no-date", "long", "naive", "no-week",
         "other-week"],
)  # fmt: skip
def test_a_file_that_cannot_be_used_is_told(content: bytes, line: int | None, said: str) -> None:
    """With its place, what is wrong, and what to do; never half of it is used."""
    snapshot, (problem,) = parse_snapshot(NAME, content)
    assert snapshot is None
    assert (problem.place.file, problem.place.line) == (NAME, line)
    assert said in str(problem.what)
    assert "print or confirm" in str(problem.remedy)
    assert "Nana" not in str(problem)


def test_names_and_formats_that_are_not_ours() -> None:
    """A file named for no week, and one of a later form, each with its own remedy."""
    (problem,) = parse_snapshot("snapshots/old.json", snapshot_bytes(SNAPSHOT))[1]
    assert "2027-W12" in str(problem.remedy)
    (problem,) = parse_snapshot(NAME, changed(format=2))[1]
    assert "newer weeksync" in str(problem.remedy)
