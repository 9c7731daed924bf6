"""Marks that arrive while the pages are served: each counts once, none tells what is private."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import UsageError
from weeksync.model.household import latest_marks
from weeksync.model.week import IsoWeek
from weeksync.workflow.context import Context
from weeksync.workflow.mark_file import take_file
from weeksync.workflow.marks_served import Received, receive_marks
from weeksync.workflow.visible import as_seen_by

HABITS = """\
format = 1

[[habits]]
id = "water"
title = "Glasses of water"
person = "ann"
area = "home"
kind = "count"

[[habits]]
id = "quiet-page"
title = "Quiet page"
person = "bo"
area = "home"
only_for = ["bo"]
"""
TASKS = """\
format = 1

[[tasks]]
id = "gate"
title = "Oil the gate"
area = "home"

[[tasks]]
id = "surprise"
title = "Wrap the kite"
area = "home"
only_for = ["bo"]
"""
LATER = NOW + timedelta(minutes=5)


def household(folder: Path) -> Path:
    """Ann and Bo, with one thing of each kind that only Bo may see."""
    return write_household(folder, habits_toml=HABITS, tasks_toml=TASKS)


def line(thing: str, value: str, **more: str) -> bytes:
    """A mark as a tablet sends it."""
    members = {
        "id": thing,
        "date": "2027-03-24",
        "person": "",
        "value": value,
        "recorded_at": "2027-03-24T06:12:03.123Z",
        "device": "kitchen-4f2a",
    }
    return json.dumps({**members, **more}).encode() + b"\n"


def received(
    folder: Path, lines: bytes, *persons: str, at: datetime = LATER, device: str = ""
) -> Received:
    """What becomes of lines that arrive from a device of `persons`."""
    context = as_seen_by(Context.read(folder, NOW), persons)
    return receive_marks(context, lines, at, device)


def rows(folder: Path) -> list[str]:
    """The lines of the week's file of marks, without the first."""
    return (folder / "marks/2027-W12.csv").read_text().splitlines()[1:]


def test_a_mark_stands_in_its_file_with_the_time_it_arrived(tmp_path: Path) -> None:
    """As the tablet recorded it, and as we received it."""
    taken = received(household(tmp_path), line("water", "6"))
    assert (taken.new, taken.known, taken.refused) == (1, 0, ())
    assert rows(tmp_path) == [
        "water,2027-03-24,ann,6,2027-03-24T06:12:03.123000+00:00,"
        "2027-03-24T06:45:00+00:00,kitchen-4f2a"
    ]


def test_the_same_mark_twice_counts_once(tmp_path: Path) -> None:
    """Sent again because the answer was lost, or from a file that was saved before."""
    household(tmp_path)
    one = line("water", "6")
    assert received(tmp_path, one).new == 1
    again = received(tmp_path, one, at=LATER + timedelta(hours=1), device="paired as kitchen")
    assert (again.new, again.known, again.weeks) == (0, 1, ())
    (tmp_path / "saved.jsonl").write_bytes(one)
    take_file(Context.read(tmp_path, NOW), tmp_path / "saved.jsonl")
    assert len(rows(tmp_path)) == 1


def test_a_mark_without_a_device_has_the_one_that_signed_in(tmp_path: Path) -> None:
    """So it can be told later where it came from."""
    received(household(tmp_path), line("water", "6", device=""), device="kitchen")
    assert rows(tmp_path)[0].endswith(",kitchen")


def test_a_clock_that_runs_ahead_does_not_win_for_ever(tmp_path: Path) -> None:
    """Recorded in a year to come, it counts from its arrival: the next mark is later."""
    household(tmp_path)
    received(tmp_path, line("water", "9", recorded_at="2031-01-01T00:00:00Z"))
    received(
        tmp_path,
        line("water", "6", recorded_at="2027-03-24T06:50:00Z"),
        at=LATER + timedelta(minutes=9),
    )
    held = latest_marks(Context.read(tmp_path, NOW).files.marks)
    assert [mark.value for mark in held.values()] == ["6"]
    assert len(rows(tmp_path)) == 2, "the earlier one is kept in the file"


REFUSED: list[tuple[bytes, str]] = [
    (line("watr", "6"), 'id = "watr" is no habit'),
    (line("water", "lots"), 'value = "lots" is no mark'),
    (line("water", "6", date="2027-03-25"), "date = 2027-03-25 has not come yet"),
    (line("water", "6", date="2027-02-30"), 'date = "2027-02-30" is no date'),
    (line("water", "6", person="zed"), 'person = "zed" is nobody'),
    (b'{"id": "water"}\n', "the line is no JSON object of a mark"),
    (b"{not JSON\n", "the line is no JSON object of a mark"),
]


@pytest.mark.parametrize(("wrong", "why"), REFUSED)
def test_one_that_is_refused_takes_no_other_with_it(tmp_path: Path, wrong: bytes, why: str) -> None:
    """The place is the line in what was sent, from 0; empty lines count."""
    household(tmp_path)
    lines = line("water", "6") + b"\n" + wrong + line("water", "7", date="2027-03-23")
    taken = received(tmp_path, lines)
    assert taken.new == 2
    ((place, what, remedy),) = [(one.place, one.what, one.remedy) for one in taken.refused]
    assert place == 2
    assert str(what).startswith(why)
    assert remedy is not None


def test_what_is_no_marks_at_all_is_wrong_use(tmp_path: Path) -> None:
    """A form, a page, a CSV file: nothing of it is read."""
    household(tmp_path)
    for body in (b"id=water&value=6", b"<!doctype html>", b"id,date,value\nwater,2027-03-24,6"):
        with pytest.raises(UsageError, match="one JSON object on each line"):
            received(tmp_path, body)
    assert received(tmp_path, b" \n") == Received(0, 0, (), ())


def test_the_weeks_a_mark_touches(tmp_path: Path) -> None:
    """That of its day, and this one and the next, onto which tasks are carried."""
    household(tmp_path)
    taken = received(tmp_path, line("water", "6", date="2027-02-01"))
    assert taken.weeks == (IsoWeek(2027, 5), IsoWeek(2027, 12), IsoWeek(2027, 13))
    assert received(tmp_path, line("watr", "6")).weeks == ()


def answers(folder: Path, thing: str, value: str, *persons: str) -> list[tuple[str, str]]:
    """What is said of a mark that is refused, the id itself taken out of it."""
    taken = received(folder, line(thing, value), *persons)
    return [
        (str(one.what).replace(thing, "ID"), str(one.remedy).replace(thing, "ID"))
        for one in taken.refused
    ]


@pytest.mark.parametrize(("thing", "value"), [("quiet-page", "yes"), ("surprise", "done")])
@pytest.mark.parametrize("persons", [(), ("ann",)])
def test_what_is_only_for_others_is_answered_as_what_is_not_there(
    tmp_path: Path, thing: str, value: str, persons: tuple[str, ...]
) -> None:
    """Word for word, whatever is said of it, and nothing is written."""
    household(tmp_path)
    before = (tmp_path / "tasks.toml").read_bytes()
    unknown = answers(tmp_path, "x" * 20, value, *persons)
    assert len(unknown) == 1
    for said in (value, "lots", "", "5"):
        assert answers(tmp_path, thing, said, *persons) == unknown
    assert (tmp_path / "tasks.toml").read_bytes() == before
    assert not (tmp_path / "marks").exists()


def test_no_slip_of_the_pen_brings_out_a_private_id(tmp_path: Path) -> None:
    """`did you mean …?` names only what the asker may see."""
    household(tmp_path)
    assert "did you mean surprise" in str(answers(tmp_path, "surpise", "done", "bo"))
    assert "surprise" not in str(answers(tmp_path, "surpise", "done", "ann"))
    assert "quiet" not in str(answers(tmp_path, "quiet-pag", "yes"))


def test_who_may_see_it_may_mark_it(tmp_path: Path) -> None:
    """Unlocked, or with a token of that person's device."""
    household(tmp_path)
    taken = received(tmp_path, line("quiet-page", "yes") + line("surprise", "done"), "bo")
    assert (taken.new, taken.refused) == (2, ())
    assert "done = 2027-03-24" in (tmp_path / "tasks.toml").read_text()


def test_many_at_once_from_two_devices_lose_nothing(tmp_path: Path) -> None:
    """Two processes, fifty marks each, for the same cells; every line is whole."""
    household(tmp_path)
    children = []
    for device in ("kitchen", "hall"):
        child = os.fork()
        if child == 0:
            try:
                for number in range(50):
                    day = f"2027-03-{22 + number % 3}"
                    made = f"2027-03-24T06:00:{number:02}.000Z"
                    one = line("water", str(number), date=day, recorded_at=made, device=device)
                    assert received(tmp_path, one).new == 1
                os._exit(0)
            finally:
                os._exit(1)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(one, 0)[1]) for one in children] == [0, 0]
    written = rows(tmp_path)
    assert len(written) == 100
    assert {one.count(",") for one in written} == {6}
    assert sum(one.endswith(",kitchen") for one in written) == 50


def test_received_at_is_written_in_utc(tmp_path: Path) -> None:
    """The household's zone changes its clocks twice a year; a mark's time does not."""
    summer = datetime(2027, 3, 28, 1, 30, tzinfo=UTC)
    received(household(tmp_path), line("water", "6"), at=summer)
    assert ",2027-03-28T01:30:00+00:00," in rows(tmp_path)[0]
