"""The index: UID groups, their digests, and the days they can touch."""

from __future__ import annotations

from datetime import date, timedelta
from hashlib import sha256

import pytest

from tests.calendar.support import calendar, event
from weeksync.calendar import index_object
from weeksync.model.pulled import IndexedObject, RawObject, UidGroup

ZONE = "\n".join((
    "BEGIN:VTIMEZONE", "TZID:Harbour", "BEGIN:STANDARD", "DTSTART:19700101T000000",
    "TZOFFSETFROM:+0100", "TZOFFSETTO:+0100", "END:STANDARD", "END:VTIMEZONE",
))  # fmt: skip


def indexed(text: str) -> IndexedObject:
    """The index of a text that has nothing wrong with it."""
    found, problems = index_object("test", RawObject("a.ics", "tag", text.encode()))
    assert problems == ()
    return found


def group(*lines: str) -> UidGroup:
    """The one group of a calendar with one event."""
    return indexed(calendar(event(*lines))).groups[0]


def test_groups_and_digests() -> None:
    """A group holds all components of a UID; its digest changes with them and nothing else."""
    one = event("DTSTART:20270301T090000Z")
    override = event("RECURRENCE-ID:20270301T090000Z", "DTSTART:20270302T090000Z")
    other = event("DTSTART:20270305T090000Z", uid="b")
    text = calendar(one, other, override)
    found = indexed(text)
    assert found.digest == sha256(text.encode()).hexdigest()
    assert [(one.uid, one.components) for one in found.groups] == [("a", 2), ("b", 1)]
    changed = indexed(text.replace("20270305", "20270306"))
    assert changed.groups[0].digest == found.groups[0].digest
    assert changed.groups[1].digest != found.groups[1].digest


def test_line_ends_and_folding_do_not_change_a_digest() -> None:
    """The same lines sent otherwise are the same group."""
    plain = calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Long words here"))
    folded = plain.replace("Long", "Lo\n ng").replace("\n", "\r\n")
    assert indexed(plain).groups == indexed(folded).groups


def test_the_digest_covers_the_zone_rules_it_uses() -> None:
    """A changed VTIMEZONE changes the groups that use it, and no others."""
    text = calendar(
        ZONE,
        event("DTSTART;TZID=Harbour:20270301T090000"),
        event("DTSTART:20270301T090000Z", uid="b"),
    )
    before, after = indexed(text).groups, indexed(text.replace("+0100", "+0200")).groups
    assert before[0].digest != after[0].digest
    assert before[1].digest == after[1].digest


START = "DTSTART:20270301T090000Z"


@pytest.mark.parametrize(
    ("lines", "first", "last"),
    [
        ((START,), "2027-03-01", "2027-03-01"),
        ((START, "DTEND:20270305T090000Z"), "2027-03-01", "2027-03-05"),
        (("DTSTART;VALUE=DATE:20270301", "DURATION:P2W"), "2027-03-01", "2027-03-15"),
        ((START, "RRULE:FREQ=DAILY"), "2027-03-01", None),
        ((START, "RRULE:FREQ=DAILY;UNTIL=20270401"), "2027-03-01", "2027-04-01"),
        ((START, "RRULE:FREQ=WEEKLY;COUNT=5;BYDAY=MO,TU"), "2027-03-01", "2027-04-05"),
        ((START, "RRULE:FREQ=MONTHLY;BYMONTHDAY=31;COUNT=3"), "2027-03-01", None),
        ((START, "RDATE:20280101T090000Z"), "2027-03-01", "2028-01-01"),
        (("RRULE:FREQ=DAILY",), None, None),
        (("DTSTART:20279999T090000Z",), None, None),
    ],
)
def test_days(lines: tuple[str, ...], first: str | None, last: str | None) -> None:
    """The bounds hold what the event can touch, and are generous by days where they exist."""
    found = group(*lines)
    assert (found.first_day is None) == (first is None)
    assert (found.last_day is None) == (last is None)
    if found.first_day is not None and first is not None:
        assert timedelta(0) <= date.fromisoformat(first) - found.first_day <= timedelta(days=2)
    if found.last_day is not None and last is not None:
        assert timedelta(0) <= found.last_day - date.fromisoformat(last) <= timedelta(days=14)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", '"feed" is empty'),
        (
            b"<html><body>Sign in</body></html>",
            '"feed" holds no calendar; it begins with "<html><body>Sign in</body></html>"',
        ),
        (b'{"error": 1}', '"feed" holds no calendar; it begins with "{"error": 1}"'),
        (b"\x1f\x8b\x08\0", '"feed" holds no calendar; it begins with "‹"'),
    ],
)
def test_what_is_no_calendar_is_said(content: bytes, said: str) -> None:
    """Nothing, HTML, JSON and packed bytes hold no groups, and it is said what they are."""
    found, problems = index_object("test", RawObject("feed", "", content))
    assert found.groups == ()
    assert [str(problem) for problem in problems] == [
        f"test: {said}; look whether the address or the file is the right one"
    ]


def test_an_empty_calendar_is_fine() -> None:
    """A calendar without any event is no problem of its own."""
    assert indexed(calendar()).groups == ()


def test_a_digest_tells_where_damaged_components_end() -> None:
    """A text with an event begun twice and ended once, with its last line and without it: other
    lines belong to the events then, and the digests differ. Found by drawn mutations."""
    event = "BEGIN:VEVENT\r\nUID:a\r\nDTSTART;VALUE=DATE:20160229\r\nRRULE:FREQ=YEARLY\r\nSUMMARY:"
    text = f"BEGIN:VCALENDAR\r\n{event}Stock\r\n{event}StRDATE:x/PT2HEND:VEVENT\r\n"
    found = [
        index_object("test", RawObject("a.ics", "", one.encode()))[0].groups[0].digest
        for one in (f"{text}END:VCALENDAR\r\n", text)
    ]
    assert found[0] != found[1]
