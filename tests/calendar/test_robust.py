"""Whatever the bytes are: nothing raises, the good is still there, answers lie in the window."""

from __future__ import annotations

from datetime import date
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.calendar.support import LONDON, calendar, event, line, stored
from weeksync.calendar import Expansion, expand, index_object
from weeksync.calendar.entries import Entry, read_entry
from weeksync.calendar.text import ComponentText
from weeksync.calendar.tzids import Clocks
from weeksync.calendar.window import Window
from weeksync.model.limits import ExpandLimits
from weeksync.model.pulled import RawObject

TEXTS = [
    path.read_bytes() for path in sorted((Path(__file__).parent / "data" / "cases").glob("*.ics"))
]
GOOD = stored(calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Good", uid="good")), "good.ics")
GOOD_LINE = "2027-03-01T09:00Z/2027-03-01T09:00Z Good"
START, END = date(2027, 2, 1), date(2027, 5, 1)
SMALL = ExpandLimits(per_uid=50, per_source=400, steps_per_uid=3_000, steps_per_source=20_000)
PIECES = st.one_of(
    st.binary(max_size=12),
    st.sampled_from([
        b"\r\n", b"\n", b"\r", b"\r\n ", b"\0", b":", b";", b",", b'"', b"\\", b"-", b"9" * 20,
        b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n", b"BEGIN:VCALENDAR\r\n", b"END:VCALENDAR\r\n",
        b"BEGIN:VALARM\r\n", b"\r\nRRULE:FREQ=SECONDLY\r\n", b"\r\nDTSTART:99991231T235959\r\n",
        b"\r\nDTSTART;VALUE=DATE:00010101\r\n", b"\r\nDURATION:-P9999999W\r\n", b"=", b"\xff\xfe",
        b"\r\nRDATE:20270301T000000/PT1H\r\n", b"\r\nRECURRENCE-ID;RANGE=THISANDFUTURE:2027\r\n",
    ]),
)  # fmt: skip


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A text of the cases with some places overwritten, cut or filled with something else."""
    content = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(content)))
        gone = draw(st.integers(0, 30))
        content = content[:at] + draw(PIECES) + content[at + gone :]
    return content[: draw(st.integers(0, len(content)))] if draw(st.booleans()) else content


def check(found: Expansion) -> None:
    """The good event is there, everything lies in the window, in order, and can be told."""
    window = Window.of(START, END, LONDON)
    assert GOOD_LINE in [line(one) for one in found.occurrences if one.uid == "good"]
    for one in found.occurrences:
        assert window.meets(one.start, one.end)
        assert one.bounds(LONDON)[0] <= one.bounds(LONDON)[1]
    moments = [one.bounds(LONDON)[0] for one in found.occurrences]
    days = [one.start.isoformat()[:10] for one in found.occurrences]
    assert days == sorted(days)
    assert len(moments) <= SMALL.per_source
    for problem in found.problems:
        assert str(problem).startswith(("test: ", "test ("))


@settings(max_examples=400, deadline=None)
@given(damaged())
def test_damaged_calendars_hide_nothing(content: bytes) -> None:
    """A damaged object beside a good one: the good event is there, and nothing raises."""
    objects = [stored(content, "bad.ics"), GOOD]
    check(expand(objects, START, END, LONDON, SMALL))
    indexed, problems = index_object("test", RawObject("bad.ics", "", content))
    assert len({group.uid for group in indexed.groups}) == len(indexed.groups)
    assert all(str(problem) for problem in problems)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(content: bytes) -> None:
    """Bytes that are no calendar at all do no harm either."""
    check(expand([GOOD, stored(content)], START, END, LONDON, SMALL))
    index_object("test", RawObject("bytes", "", content))


def test_what_nobody_thought_of_costs_one_event(monkeypatch: pytest.MonkeyPatch) -> None:
    """Any error inside one event becomes a problem that names it, and the next one is read."""

    def fails_once(component: ComponentText, uid: str, clocks: Clocks, source: str) -> Entry:
        if uid == "a":
            raise ArithmeticError
        return read_entry(component, uid, clocks, source)

    module = import_module("weeksync.calendar.expand")  # the package has a function of that name
    monkeypatch.setattr(module, "read_entry", fails_once)
    bad = stored(calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Odd")))
    found = expand([bad, GOOD], START, END, LONDON)
    assert [one.title for one in found.occurrences] == ["Good"]
    assert str(found.problems[0]).startswith(
        'test (a.ics, line 3): "Odd" (a) cannot be read (ArithmeticError)'
    )


def test_equal_inputs_give_equal_outputs() -> None:
    """All cases in one source, twice: the same occurrences in the same order."""
    objects = [stored(content, f"{at}.ics", str(at)) for at, content in enumerate(TEXTS)]
    first = expand(objects, START, END, LONDON)
    assert first == expand(objects, START, END, LONDON)
    assert len(first.occurrences) > 100
