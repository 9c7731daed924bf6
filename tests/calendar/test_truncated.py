"""A file that was cut off, at every byte: what was whole is there, and the cut is said."""

from __future__ import annotations

from datetime import date

import pytest

from tests.calendar.support import LONDON, line, stored, todo_line
from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.model.pulled import RawObject

START, END = date(2027, 3, 1), date(2027, 5, 1)
TEXT = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//weeksync tests//EN
X-WR-TIMEZONE:Europe/Paris
BEGIN:VTIMEZONE
TZID:Pier time
BEGIN:STANDARD
DTSTART:19700101T000000
TZOFFSETFROM:+0330
TZOFFSETTO:+0330
END:STANDARD
END:VTIMEZONE
BEGIN:VEVENT
UID:a@saltmere.invalid
DTSTART;TZID=Pier time:20270301T090000
SUMMARY:Café à
  trois
BEGIN:VALARM
TRIGGER:-PT5M
END:VALARM
END:VEVENT
BEGIN:VTODO
UID:b@saltmere.invalid
DUE:20270302T090000Z
SUMMARY:Jars
END:VTODO
BEGIN:VEVENT
UID:c@saltmere.invalid
DTSTART:20270303T090000
DURATION:PT1H
RRULE:FREQ=DAILY;COUNT=3
EXDATE:20270304T090000
SUMMARY:Series
END:VEVENT
BEGIN:VEVENT
UID:d@saltmere.invalid
DTSTART;VALUE=DATE:20270310
SUMMARY:Day
END:VEVENT
END:VCALENDAR
"""
WHOLE = {
    "Café à trois": ["2027-03-01T05:30Z/2027-03-01T05:30Z Café à trois"],
    "Jars": ["-/2027-03-02T09:00Z Jars"],
    "Series": [
        "2027-03-03T08:00Z/2027-03-03T09:00Z Series",
        "2027-03-05T08:00Z/2027-03-05T09:00Z Series",
    ],
    "Day": ["2027-03-10/2027-03-11 Day"],
}


def ends(content: bytes) -> list[int]:
    """Where each of the four components is over, at the last byte of its END."""
    found, at = [], 0
    for kind in (b"VEVENT", b"VTODO", b"VEVENT", b"VEVENT"):
        at = content.index(b"END:" + kind, at) + len(b"END:" + kind)
        found.append(at)
    return found


@pytest.mark.parametrize("line_end", ["\r\n", "\n"])
def test_every_cut(line_end: str) -> None:
    """Each component whose END was reached is what it is in the whole file, none is lost."""
    content = TEXT.replace("\n", line_end).encode()
    over = ends(content)
    last = content.rindex(b"END:VCALENDAR") + len(b"END:VCALENDAR")
    for cut in range(len(content) + 1):
        part = content[:cut]
        found = expand([stored(part)], START, END, LONDON)
        shown = [line(one) for one in found.occurrences] + [todo_line(one) for one in found.todos]
        for end, (title, wanted) in zip(over, WHOLE.items(), strict=True):
            if end <= cut:
                assert [one for one in shown if one.endswith(title)] == wanted, part
        _, problems = index_object("test", RawObject("a.ics", "", part))
        said = [str(problem) for problem in problems]
        if cut >= last:
            assert said == []
        else:
            assert len(said) == 1
            assert "in the middle" in said[0] or "no calendar" in said[0] or "is empty" in said[0]


def test_a_cut_names_its_line() -> None:
    """The last line that is there, as an editor counts."""
    for line_end in ("\n", "\r\n", "\r"):
        content = TEXT.partition("SUMMARY:Series")[0].replace("\n", line_end).encode()
        (problem,) = index_object("test", RawObject("a.ics", "", content))[1]
        assert problem.place.line == len(content.decode().splitlines())
