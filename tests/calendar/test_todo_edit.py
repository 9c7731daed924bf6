"""Completing a to-do in its raw text: nothing else moves, read by `icalendar` and byte by byte."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from weeksync.calendar.expand import expand
from weeksync.calendar.todo_edit import (
    SeenTodo,
    TodoState,
    complete_todo,
    look_at_todo,
    reopen_todo,
)
from weeksync.calendar.todo_text import Damaged, TodoText, folded
from weeksync.model.pulled import StoredObject

TZ = ZoneInfo("Europe/London")
DONE_AT = datetime(2027, 3, 24, 18, 20, tzinfo=UTC)
NOW = datetime(2027, 3, 25, 4, 0, tzinfo=UTC)

ZONE = """BEGIN:VTIMEZONE
TZID:Europe/London
BEGIN:STANDARD
DTSTART:19961027T020000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19960331T010000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
END:DAYLIGHT
END:VTIMEZONE
"""
ALARM = """BEGIN:VALARM
ACTION:DISPLAY
DESCRIPTION:Seeds
STATUS:x
TRIGGER;RELATED=END:-PT15M
END:VALARM
"""
PLAIN = """DTSTAMP:20270301T080000Z
X-WR-SORT;X-A="a:b;c":12
SUMMARY:Order the seeds for the long bed behind the shed and for the two po
 ts
STATUS;X-Q=1:IN-PROCESS
due;value=date:20270326
PERCENT-COMPLETE:40
SEQUENCE:3
DESCRIPTION:STATUS:OPEN\\nCOMPLETED:no
"""
WEEKLY = """DTSTAMP:20270301T080000Z
SUMMARY:Water the pots
DTSTART;TZID=Europe/London:20270308T180000
DUE;TZID=Europe/London:20270308T190000
RRULE:FREQ=WEEKLY;COUNT=8
EXDATE;TZID=Europe/London:20270315T180000
"""


def calendar(*todos: str, end: str = "\r\n", zone: str = ZONE) -> bytes:
    """An object with these to-dos, each without its UID line and its BEGIN and END."""
    body = "".join(f"BEGIN:VTODO\nUID:one\n{one}END:VTODO\n" for one in todos)
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//y\n{zone}{body}END:VCALENDAR\n"
    return text.replace("\n", end).encode()


def completed(content: bytes, identity: str = "") -> bytes:
    """The text with the to-do completed."""
    new = complete_todo(content, "one", identity, TZ, DONE_AT, NOW)
    assert new is not None
    return new


def components(content: bytes, kind: str = "VTODO") -> list[Any]:
    """The to-dos of a text, as `icalendar` reads it."""
    return [*Calendar.from_ical(content).walk(kind)]


def lines(content: bytes) -> list[bytes]:
    """The physical lines with their ends."""
    return content.splitlines(keepends=True)


SET = {"STATUS", "COMPLETED", "PERCENT-COMPLETE", "LAST-MODIFIED", "DTSTAMP", "SEQUENCE"}


def rest(todo: Any) -> list[tuple[str, bytes]]:
    """All of a component but what completing sets, as `icalendar` reads and writes it."""
    found = [(name, value) for name, value in todo.property_items() if name not in SET]
    return [
        (name, value.to_ical() if hasattr(value, "to_ical") else value) for name, value in found
    ]


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_only_the_lines_that_say_it_is_done_change(end: str) -> None:
    """All other lines stay as they are, in their places, with their folds and ends."""
    before = calendar(PLAIN + ALARM, "SUMMARY:Another\n", end=end)
    before = before.replace(b"UID:one", b"UID:two").replace(b"UID:two", b"UID:one", 1)
    after = completed(before)
    stamp = f"20270325T040000Z{end}"
    changed = {
        f"DTSTAMP:20270301T080000Z{end}": f"DTSTAMP:{stamp}",
        f"STATUS;X-Q=1:IN-PROCESS{end}": f"STATUS:COMPLETED{end}",
        f"PERCENT-COMPLETE:40{end}": f"PERCENT-COMPLETE:100{end}",
        f"SEQUENCE:3{end}": f"SEQUENCE:4{end}",
    }
    wanted = [changed.get(one.decode(), one.decode()).encode() for one in lines(before)]
    alarm = wanted.index(f"BEGIN:VALARM{end}".encode())
    wanted[alarm:alarm] = [
        f"COMPLETED:20270324T182000Z{end}".encode(),
        f"LAST-MODIFIED:{stamp}".encode(),
    ]
    assert lines(after) == wanted


def test_another_reader_finds_nothing_else_changed() -> None:
    """RFC 5545 sections 3.8.1.11, 3.8.2.1 and 3.8.1.8, read by `icalendar`."""
    before = calendar(PLAIN + ALARM)
    after = completed(before)
    (old_todo,), (new_todo,) = components(before), components(after)
    assert rest(old_todo) == rest(new_todo)
    assert new_todo["STATUS"] == "COMPLETED"
    assert new_todo["PERCENT-COMPLETE"] == 100
    assert new_todo["COMPLETED"].dt == DONE_AT
    assert new_todo["LAST-MODIFIED"].dt == new_todo["DTSTAMP"].dt == NOW
    (old_zone,), (new_zone,) = components(before, "VTIMEZONE"), components(after, "VTIMEZONE")
    assert old_zone.to_ical() == new_zone.to_ical()


def test_one_time_of_a_series_gets_an_entry_of_its_own() -> None:
    """RECURRENCE-ID has the value type and the zone of DTSTART (RFC 5545 section 3.8.4.4).

    After the change to summer time on 28 March 2027 the third time is at 18:00 there, too.
    """
    before = calendar(WEEKLY + ALARM)
    after = completed(before, "20270329T170000Z")
    series, one = components(after)
    assert series.to_ical() == components(before)[0].to_ical()
    end = b"END:VTODO\r\n"
    assert after.startswith(before[: before.index(end) + len(end)])
    assert after.endswith(before[before.index(end) + len(end) :])
    assert b"RECURRENCE-ID;TZID=Europe/London:20270329T180000\r\n" in after
    assert b"DTSTART;TZID=Europe/London:20270329T180000\r\n" in after
    assert b"DUE;TZID=Europe/London:20270329T190000\r\n" in after
    assert one["STATUS"] == "COMPLETED"
    assert one["SUMMARY"] == "Water the pots"
    assert not {"RRULE", "EXDATE"} & set(one)
    assert len(one.walk("VALARM")) == 1
    assert look_at_todo(after, "one", "20270405T170000Z", TZ) == SeenTodo(TodoState.OPEN)


def test_a_time_that_was_changed_before_is_completed_where_it_stands() -> None:
    """Its own entry is edited, and no second one is made."""
    moved = (
        "RECURRENCE-ID;TZID=Europe/London:20270322T180000\nSUMMARY:Later\nDUE:20270324T120000Z\n"
    )
    after = completed(calendar(WEEKLY, moved), "20270322T180000Z")
    series, one = components(after)
    assert (one["SUMMARY"], one["STATUS"]) == ("Later", "COMPLETED")
    assert "STATUS" not in series


def test_whole_days_and_times_in_utc_are_written_as_such() -> None:
    """A series of whole days gets a date, one in UTC a time with Z."""
    days = "DTSTART;VALUE=DATE:20270308\nDUE;VALUE=DATE:20270309\nRRULE:FREQ=DAILY\n"
    after = completed(calendar(days), "20270324")
    assert b"RECURRENCE-ID;VALUE=DATE:20270324\r\n" in after
    assert b"DUE;VALUE=DATE:20270325\r\n" in after
    timed = "DUE:20270308T120000Z\nRRULE:FREQ=DAILY\n"
    after = completed(calendar(timed), "20270324T120000Z")
    assert b"RECURRENCE-ID:20270324T120000Z\r\n" in after
    assert b"\r\nDUE:20270324T120000Z\r\n" in after


def test_a_change_of_all_later_times_is_left_as_it_is() -> None:
    """Its own first time cannot be completed alone; a later one takes its words and times."""
    later = (
        "RECURRENCE-ID;RANGE=THISANDFUTURE;TZID=Europe/London:20270322T180000\n"
        "SUMMARY:Pots, later\n"
        "DTSTART;TZID=Europe/London:20270322T193000\nDUE;TZID=Europe/London:20270322T200000\n"
    )
    before = calendar(WEEKLY, later)
    assert complete_todo(before, "one", "20270322T180000Z", TZ, DONE_AT, NOW) is None
    assert look_at_todo(before, "one", "20270322T180000Z", TZ).state is TodoState.UNCLEAR
    after = completed(before, "20270329T170000Z")
    series, changed, one = components(after)
    assert [series.to_ical(), changed.to_ical()] == [todo.to_ical() for todo in components(before)]
    assert one["SUMMARY"] == "Pots, later"
    assert b"RECURRENCE-ID;TZID=Europe/London:20270329T180000\r\n" in after
    assert b"DTSTART;TZID=Europe/London:20270329T193000\r\n" in after


@pytest.mark.parametrize("identity", ["", "20270329T170000Z"])
def test_what_was_completed_can_be_opened_again(identity: str) -> None:
    """STATUS:NEEDS-ACTION, and neither COMPLETED nor PERCENT-COMPLETE is left."""
    done = completed(calendar(WEEKLY if identity else PLAIN), identity)
    assert look_at_todo(done, "one", identity, TZ) == SeenTodo(TodoState.DONE, "20270324T182000Z")
    again = reopen_todo(done, "one", identity, TZ, NOW)
    assert again is not None
    todo = components(again)[-1]
    assert todo["STATUS"] == "NEEDS-ACTION"
    assert not {"COMPLETED", "PERCENT-COMPLETE"} & set(todo)
    assert complete_todo(done, "one", identity, TZ, DONE_AT, NOW) is None


def test_who_organizes_it_counts_its_revisions() -> None:
    """RFC 5545 section 3.8.7.4: SEQUENCE is counted by the organizer."""
    after = completed(calendar("SEQUENCE:2\nORGANIZER:mailto:dov@example.org\n"))
    assert b"SEQUENCE:2\r\n" in after


def test_what_is_cancelled_or_not_there_is_told_apart() -> None:
    """Neither is edited."""
    cancelled = calendar("STATUS:CANCELLED\n")
    assert look_at_todo(cancelled, "one", "", TZ).state is TodoState.CANCELLED
    assert look_at_todo(cancelled, "two", "", TZ).state is TodoState.GONE
    assert look_at_todo(calendar(WEEKLY), "one", "20270315T180000Z", TZ).state is TodoState.GONE
    assert complete_todo(cancelled, "one", "", TZ, DONE_AT, NOW) is None


@pytest.mark.parametrize(
    "broken",
    [
        b"",
        b"<html>",
        calendar(PLAIN)[:-20],
        calendar(PLAIN).replace(b"END:VTODO\r\n", b""),
        calendar("SUMMARY:Cafe\n").replace(b"Cafe", b"Caf\xe9"),
    ],
    ids=["empty", "html", "cut", "no end", "latin-1"],
)
def test_a_damaged_text_is_never_written_once_more(broken: bytes) -> None:
    """It is refused, whatever reading can still make of it."""
    with pytest.raises(Damaged):
        TodoText.of(broken)
    assert complete_todo(broken, "one", "", TZ, DONE_AT, NOW) is None


def test_lines_that_are_written_are_folded() -> None:
    """At 75 octets, and never within a character (RFC 5545 section 3.1)."""
    parts = folded("RECURRENCE-ID;TZID=" + "ä" * 70 + ":20270322T180000").split(b"\r\n ")
    assert [len(part) <= 75 - (at > 0) for at, part in enumerate(parts)] == [True] * len(parts)
    assert b"".join(parts).decode().count("ä") == 70


HERE = Path(__file__).parent
TEXTS = sorted([*HERE.glob("data/cases/*.ics"), *(HERE / "fuzz" / "corpus").glob("*")])


def test_whatever_a_text_holds_only_lines_of_the_tick_change() -> None:
    """Every case and everything fuzzing has found, three to-dos of each at most."""
    ticked = 0
    for path in TEXTS:
        content = path.read_bytes()
        raw = StoredObject("s", "c", path.name, "", "", content)
        for one in expand([raw], date(2027, 1, 1), date(2028, 1, 1), TZ).todos[:3]:
            new = complete_todo(content, one.uid, one.identity, TZ, DONE_AT, NOW)
            if new is None:
                continue
            ticked += 1
            old_lines, new_lines = lines(content), lines(new)
            gone = [line for line in old_lines if line not in new_lines]
            come = [line for line in new_lines if line not in old_lines]
            added = new.upper().count(b"BEGIN:VTODO") - content.upper().count(b"BEGIN:VTODO")
            if added:  # a time of a series, in an entry of its own
                assert (added, gone) == (1, []), path.name
            else:
                assert {name_of(line) for line in (*gone, *come)} <= SET, path.name
    assert ticked >= 20


def name_of(line: bytes) -> str:
    """The property a line begins with."""
    return line.decode().replace(";", ":").partition(":")[0].upper()
