"""The index: UID groups, their digests, and the days they can touch."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from hashlib import sha256

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.corpus import SIZES, calendar_text
from tests.calendar.support import calendar, event, expanded
from weeksync.calendar import index_object
from weeksync.calendar.outline import outline
from weeksync.calendar.pieces import LARGE
from weeksync.calendar.text import ComponentText, read
from weeksync.model.limits import ReadLimits
from weeksync.model.pulled import ROOM, IndexedObject, RawObject, UidGroup

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
        ((START, "RDATE;VALUE=PERIOD:20270302T090000Z/PT366H"), "2027-03-01", "2027-03-17"),
        (
            (START, "RDATE;VALUE=PERIOD:20270302T090000Z/PT1H,20270303T090000Z/p3w"),
            "2027-03-01",
            "2027-03-24",
        ),
        ((START, "DTSTART:20270201T100000Z"), "2027-02-01", "2027-03-01"),
        ((START, "DTSTART:20270201T100000Z", "RRULE:FREQ=MONTHLY;COUNT=3"), "2027-02-01", None),
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


@settings(max_examples=60, deadline=None)
@given(
    start=st.dates(date(2020, 1, 1), date(2030, 12, 31)),
    rule=st.sampled_from(
        [
            *("FREQ=DAILY", "FREQ=DAILY;BYDAY=MO", "FREQ=WEEKLY", "FREQ=WEEKLY;BYDAY=MO,TH"),
            *("FREQ=MONTHLY", "FREQ=MONTHLY;BYMONTHDAY=1", "FREQ=MONTHLY;BYMONTHDAY=28"),
        ]
    ),
    interval=st.integers(1, 9),
    count=st.integers(1, 12),
)
def test_counted_series_end_within_their_bounds(
    start: date, rule: str, interval: int, count: int
) -> None:
    """Whatever COUNT and INTERVAL say, no time of a series lies behind its last day."""
    text = (f"DTSTART:{start:%Y%m%d}T090000Z", f"RRULE:{rule};INTERVAL={interval};COUNT={count}")
    last = group(*text).last_day
    end = start + timedelta(days=366 * 12)
    found = expanded(calendar(event(*text)), start, end).occurrences
    assert len(found) == count or "DAILY;BYDAY" in rule
    if last is not None:
        assert all(one.start.date() <= last for one in found if isinstance(one.start, datetime))


def test_a_large_text_is_indexed_in_pieces() -> None:
    """They are the text, and each group has the lines, the zones and the state it has in it."""
    content = calendar_text(0, SIZES["small"])
    found = index_object("test", RawObject("a.ics", "", content))[0]
    texts = {one.number: one.content or b"" for one in found.pieces}
    assert b"".join(texts.values()) == content
    head, *_, tail = texts.values()
    by_uid: dict[str, list[ComponentText]] = {}
    for one in read(content).components:
        by_uid.setdefault(outline(one).uid, []).append(one)
    assert [one.uid for one in found.groups] == [*by_uid]
    for placed in found.placed:
        numbers = sorted({placed.position // ROOM, *placed.others})
        alone = read(head + b"".join(texts[one] for one in numbers) + tail).components
        its = [one for one in alone if outline(one).uid == placed.group.uid]
        assert [told(one) for one in its] == [told(one) for one in by_uid[placed.group.uid]]


def told(one: ComponentText) -> tuple[object, ...]:
    """All that a component has but where it lies."""
    calendar_ = one.calendar
    return one.kind, one.raw, one.whole, calendar_.zones, calendar_.default_zone, calendar_.cancels


def test_a_text_is_read_whole_where_pieces_would_not_do() -> None:
    """A small one, two calendars in one, zones among entries, and what goes beyond the limits."""
    long = f"SUMMARY:{'x' * 700}"
    events = [event(START, long, uid=str(number)) for number in range(LARGE // 700)]
    assert indexed(calendar(*events[:9])).pieces == ()
    assert len(indexed(calendar(*events)).pieces) == 5
    assert indexed(calendar(*events) + calendar(*events)).pieces == ()
    assert indexed(calendar(*events, ZONE, *events)).pieces == ()
    few = ReadLimits(entries=len(events))
    text = calendar(*events, event(START, uid="more")).encode()
    assert index_object("test", RawObject("a.ics", "", text), few)[0].pieces == ()


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
