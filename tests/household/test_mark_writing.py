"""Marks at the end of their files: each once, whatever happened to the file before."""

from __future__ import annotations

import multiprocessing
import os
import resource
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.households import write_household
from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.errors import EditRefused, HouseholdError
from weeksync.household import append_marks, read_household
from weeksync.model.household import Mark, latest_marks
from weeksync.read import HEADER, parse_marks

MONDAY = date(2027, 3, 22)
AT = datetime(2027, 3, 22, 8, 0, tzinfo=UTC)
NAME = "marks/2027-W12.csv"
HEAD = ",".join(HEADER)


def mark(value: str = "yes", **other: Any) -> Mark:
    """A mark of the walk on Monday."""
    return replace(Mark("walk", MONDAY, "ann", value, AT, AT, "tablet"), **other)


def marks_of(folder: Path, name: str = NAME) -> tuple[Mark, ...]:
    """The marks of a file that has no bad line."""
    marks, problems = parse_marks(name, (folder / name).read_bytes())
    assert problems == ()
    return marks


def test_the_first_mark_of_a_week_begins_its_file(tmp_path: Path) -> None:
    """With the line that names the columns; RFC 4180 section 2.1 ends lines with CR LF."""
    done = append_marks(tmp_path, [mark()])
    assert done.new == (mark(),)
    assert (tmp_path / NAME).read_bytes() == (
        f"{HEAD}\r\n"
        "walk,2027-03-22,ann,yes,2027-03-22T08:00:00+00:00,2027-03-22T08:00:00+00:00,tablet\r\n"
    ).encode()


def test_marks_are_filed_by_the_iso_week_of_their_own_day(tmp_path: Path) -> None:
    """ISO 8601: 1 January 2027 lies in week 53 of 2026, 4 January in week 1 (from the standard)."""
    days = [date(2027, 1, 1), date(2027, 1, 3), date(2027, 1, 4)]
    append_marks(tmp_path, [mark(day=day) for day in days])
    assert [one.day for one in marks_of(tmp_path, "marks/2026-W53.csv")] == days[:2]
    assert [one.day for one in marks_of(tmp_path, "marks/2027-W01.csv")] == days[2:]


def test_the_same_mark_twice_is_one(tmp_path: Path) -> None:
    """In one run, in a later one, in another zone's words, and however late it arrived."""
    other_zone = AT.astimezone(timezone(timedelta(hours=2)))
    append_marks(tmp_path, [mark(), mark()])
    later = mark(received_at=AT + timedelta(hours=5), recorded_at=other_zone)
    done = append_marks(tmp_path, [later, mark("no")])
    assert (done.known, done.new) == ((later,), (mark("no"),))
    before = (tmp_path / NAME).read_bytes()
    assert append_marks(tmp_path, [later]).new == ()
    assert (tmp_path / NAME).read_bytes() == before
    assert [one.value for one in marks_of(tmp_path)] == ["yes", "no"]


@pytest.mark.parametrize(
    "change",
    [
        {"id": "other"},
        {"day": MONDAY + timedelta(1)},
        {"person": "bo"},
        {"value": "no"},
        {"recorded_at": AT + timedelta(seconds=1)},
        {"device": "phone"},
    ],
    ids=lambda change: next(iter(change)),
)
def test_what_differs_in_anything_is_another_mark(tmp_path: Path, change: dict[str, Any]) -> None:
    """Both are in the file, the earlier one as it was."""
    append_marks(tmp_path, [mark()])
    assert append_marks(tmp_path, [mark(**change)]).new == (mark(**change),)
    assert len(marks_of(tmp_path)) == 2


def test_a_mark_is_taken_back_by_a_later_one_without_value(tmp_path: Path) -> None:
    """What was recorded stays in the file; the day is as if nothing were recorded."""
    folder = write_household(tmp_path)
    append_marks(folder, [mark(), mark("", recorded_at=AT + timedelta(minutes=1))])
    files = read_household(folder)
    assert [one.value for one in files.marks] == ["yes", ""]
    assert latest_marks(files.marks)["walk", MONDAY].value == ""


def test_a_file_goes_on_as_it_began(tmp_path: Path) -> None:
    """Line feeds alone, a byte order mark, a last line without its end: not a byte changes."""
    line = "walk,2027-03-23,ann,no,2027-03-23T08:00:00Z,2027-03-23T08:00:00Z,tablet"
    before = f"\ufeff{HEAD}\n\n{line}".encode()
    (tmp_path / "marks").mkdir()
    (tmp_path / NAME).write_bytes(before)
    append_marks(tmp_path, [mark()])
    after = (tmp_path / NAME).read_bytes()
    assert after.startswith(before + b"\nwalk,2027-03-22")
    assert b"\r" not in after
    assert [one.value for one in marks_of(tmp_path)] == ["no", "yes"]


@pytest.mark.parametrize(
    "device", ['the "blue", one', "a\nb", "a\r\nb", "x" * 300, "\0\ud800\x1b[2J", " tablet ", ""]
)
def test_a_device_of_any_name_takes_one_line(tmp_path: Path, device: str) -> None:
    """Quotes and commas are kept as RFC 4180 section 2 writes them; control signs are not."""
    for _ in range(2):
        append_marks(tmp_path, [mark(device=device)])
    [one] = marks_of(tmp_path)
    assert one.device == "".join(c if c.isprintable() else " " for c in device).strip()[:64]


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", " \t= @"])
def test_a_device_is_no_formula_to_a_table_program(tmp_path: Path, sign: str) -> None:
    """The signs that OWASP names under CSV Injection; sent once more it is known all the same."""
    for _ in range(2):
        append_marks(tmp_path, [mark(device=f"{sign}1+1")])
    assert [one.device for one in marks_of(tmp_path)] == ["1+1"]


def test_a_file_of_another_form_is_left_alone(tmp_path: Path) -> None:
    """Lines behind a first line that nobody can read would be lost without a word."""
    (tmp_path / "marks").mkdir()
    for content in (b"day;thing\n", b"\0" * 40, b"id,date\nwalk,2027-03-22\n"):
        (tmp_path / NAME).write_bytes(content)
        with pytest.raises(EditRefused) as refused:
            append_marks(tmp_path, [mark()])
        assert refused.value.problems[0].place.line == 1
        assert (tmp_path / NAME).read_bytes() == content


def test_a_folder_or_a_dangling_link_in_its_place_is_told(tmp_path: Path) -> None:
    """Nothing is put anywhere else."""
    (tmp_path / NAME).mkdir(parents=True)
    with pytest.raises(EditRefused):
        append_marks(tmp_path, [mark()])
    (tmp_path / NAME).rmdir()
    (tmp_path / NAME).symlink_to(tmp_path / "nowhere")
    with pytest.raises(EditRefused):
        append_marks(tmp_path, [mark()])
    assert not (tmp_path / "nowhere").exists()


def test_a_file_that_may_not_be_written_is_told() -> None:
    """As an ordinary user: the sentence names the file and the reason."""
    with shared_folder() as folder:
        append_marks(folder, [mark()])
        path = folder / NAME
        path.chmod(0o444)
        give_away(folder, folder / "marks", path)

        def check() -> None:
            with pytest.raises(HouseholdError) as error:
                append_marks(folder, [mark("no")])
            assert str(error.value).startswith(f"{NAME} could not be written (Permission denied)")

        unprivileged(check)
        assert len(marks_of(folder)) == 1


def _on_a_full_disk(folder: Path, room: int) -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
    try:
        append_marks(folder, [mark(str(number)) for number in range(200)])
    except HouseholdError as error:
        os._exit(7 if "the file is as it was" in str(error) else 8)
    os._exit(0)


def test_on_a_full_disk_the_file_stays_as_it_was(tmp_path: Path) -> None:
    """Written half, it is cut back to its old end; with room again everything is taken."""
    append_marks(tmp_path, [mark()])
    before = (tmp_path / NAME).read_bytes()
    child = multiprocessing.get_context("spawn").Process(
        target=_on_a_full_disk, args=(tmp_path, len(before) + 1000)
    )
    child.start()
    child.join()
    assert child.exitcode == 7
    assert (tmp_path / NAME).read_bytes() == before
    done = append_marks(tmp_path, [mark(str(number)) for number in range(200)])
    assert len(done.new) == 200


def _write_some(folder: Path, device: str, count: int) -> None:
    for number in range(count):
        append_marks(folder, [mark(str(number), device=device), mark("yes", device="both")])


def test_several_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Four processes: each of their marks is there once, and the one they share once."""
    context = multiprocessing.get_context("spawn")
    writers = [
        context.Process(target=_write_some, args=(tmp_path, f"device-{number}", 25))
        for number in range(4)
    ]
    for one in writers:
        one.start()
    for one in writers:
        one.join()
        assert one.exitcode == 0
    found = [(one.device, one.value) for one in marks_of(tmp_path)]
    wanted = {(f"device-{n}", str(v)) for n in range(4) for v in range(25)} | {("both", "yes")}
    assert len(found) == len(wanted)
    assert set(found) == wanted


INSTANTS = st.datetimes(
    min_value=datetime(2000, 1, 1), max_value=datetime(2100, 1, 1), timezones=st.just(UTC)
)
MARKS = st.builds(
    Mark,
    id=st.sampled_from(["walk", "water", "pell-maths"]),
    day=st.dates(date(2027, 3, 22), date(2027, 3, 28)),
    person=st.sampled_from(["ann", ""]),
    value=st.sampled_from(["yes", "no", "", "7.5", "12583"]),
    recorded_at=INSTANTS,
    received_at=INSTANTS,
    device=st.text(st.characters(codec="utf-8"), max_size=12),
)


@settings(max_examples=60)
@given(
    first=st.lists(MARKS, max_size=6),
    second=st.lists(MARKS, min_size=1, max_size=4),
    newline=st.sampled_from(["\r\n", "\n"]),
    cut=st.integers(0, 10_000),
    junk=st.sampled_from([b"", b"\0" * 9, b"\xff\xfe", b'"']),
)
def test_whatever_a_crash_left_behind_the_next_marks_are_whole(
    first: list[Mark], second: list[Mark], newline: str, cut: int, junk: bytes
) -> None:
    """Cut anywhere, with what a file system may leave behind: no byte goes, no mark is lost."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        append_marks(folder, first)
        (folder / "marks").mkdir(exist_ok=True)
        path = folder / NAME
        whole = path.read_bytes() if path.exists() else b""
        torn = whole.replace(b"\r\n", newline.encode())[:cut]
        if len(torn) > len(HEAD) + 2:
            torn += junk
        path.write_bytes(torn)
        kept, _ = parse_marks(NAME, torn[: torn.rfind(b"\n") + 1]) if b"\n" in torn else ((), ())
        append_marks(folder, second)
        after = path.read_bytes()
        assert after.startswith(torn)
        marks, problems = parse_marks(NAME, after)
        assert set(kept) <= set(marks)
        assert len(problems) <= 1
        devices = {mark.device for mark in marks}
        for mark in second:
            cleaned = "".join(c if c.isprintable() else " " for c in mark.device)
            cleaned = cleaned.lstrip("=+-@ ").strip()
            assert cleaned in devices
            assert any(
                (one.id, one.day, one.person, one.value, one.recorded_at)
                == (mark.id, mark.day, mark.person, mark.value, mark.recorded_at)
                for one in marks
            )
