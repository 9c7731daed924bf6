"""Several objects and collections of one source, and what an occurrence carries."""

from __future__ import annotations

from datetime import date, datetime

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.calendar.support import LONDON, calendar, event, expanded, line, stored
from weeksync.calendar.expand import expand
from weeksync.model.occurrence import Occurrence

START, END = date(2027, 3, 1), date(2027, 4, 1)
MASTER = calendar(
    event("DTSTART:20270301T090000Z", "DURATION:PT1H", "RRULE:FREQ=DAILY;COUNT=2", "SUMMARY:Club")
)
OVERRIDE = calendar(
    event(
        "RECURRENCE-ID:20270302T090000Z",
        "DTSTART:20270303T100000Z",
        "DURATION:PT1H",
        "SUMMARY:Club, moved",
    )
)


def test_master_and_override_in_different_objects() -> None:
    """Within a collection a UID is one thing, however many objects hold it, in any order."""
    wanted = [
        "2027-03-01T09:00Z/2027-03-01T10:00Z Club",
        "2027-03-03T10:00Z/2027-03-03T11:00Z Club, moved",
    ]
    for texts in ((MASTER, OVERRIDE), (OVERRIDE, MASTER)):
        objects = [stored(text, f"{at}.ics") for at, text in enumerate(texts)]
        found = expand(objects, START, END, LONDON)
        assert [line(one) for one in found.occurrences] == wanted
        assert {one.identity for one in found.occurrences} == {
            "20270301T090000Z",
            "20270302T090000Z",
        }


def test_sources_keep_their_own_rules_for_one_tzid() -> None:
    """Two runs in one process that define one TZID differently do not mix."""
    zone = "\n".join((
        "BEGIN:VTIMEZONE", "TZID:Harbour", "BEGIN:STANDARD", "DTSTART:19700101T000000",
        "TZOFFSETFROM:{0}", "TZOFFSETTO:{0}", "END:STANDARD", "END:VTIMEZONE",
    ))  # fmt: skip
    for offset, hour in (("+0300", 6), ("-0500", 14), ("+0300", 6)):
        text = calendar(zone.format(offset), event("DTSTART;TZID=Harbour:20270301T090000"))
        (one,) = expanded(text, START, END).occurrences
        assert isinstance(one.start, datetime)
        assert one.start.hour == hour


def test_what_an_occurrence_carries() -> None:
    """Every property that pages and rules look at, unescaped."""
    (one,) = expanded(
        calendar(
            event(
                "DTSTAMP:20261201T090000Z",
                "DTSTART;TZID=Europe/Lisbon:20270301T090000",
                "SEQUENCE:4",
                "CLASS:private",
                r"SUMMARY:Tea\, cake \\ and\; talk",
                "LOCATION:4 Lantern Steps\\, Saltmere Cross",
                r"DESCRIPTION:Line one\nLine two",
                "URL:https://saltmere.invalid/tea",
                r"CATEGORIES:FAMILY,Food\, drink",
                "CATEGORIES:FAMILY",
                'ATTENDEE;CN="Brice: Nana";ROLE=REQ-PARTICIPANT:mailto:Nana@saltmere.invalid',
                "ORGANIZER:MAILTO:ines@saltmere.invalid",
            )
        ),
        START,
        END,
    ).occurrences
    assert one == Occurrence(
        source="test",
        collection="home",
        uid="a",
        identity="",
        title="Tea, cake \\ and; talk",
        start=datetime(2027, 3, 1, 9, tzinfo=LONDON),
        end=datetime(2027, 3, 1, 9, tzinfo=LONDON),
        zone="Europe/Lisbon",
        classification="PRIVATE",
        place="4 Lantern Steps, Saltmere Cross",
        notes="Line one\nLine two",
        link="https://saltmere.invalid/tea",
        categories=("FAMILY", "Food, drink"),
        attendees=("nana@saltmere.invalid", "ines@saltmere.invalid"),
        sequence=4,
        stamp="20261201T090000Z",
    )


TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")) | st.just("\n"),
    max_size=120,
)


@given(TEXT, st.lists(TEXT.filter(str.strip), max_size=3))
def test_texts_are_read_as_icalendar_writes_them(title: str, categories: list[str]) -> None:
    """Escaping and folding of the `icalendar` library are undone to the very text."""
    written = icalendar.Event()
    written.add("uid", "a")
    written.add("dtstart", datetime(2027, 3, 1, 9))
    written.add("summary", title)
    written.add("categories", categories)
    whole = icalendar.Calendar()
    whole.add_component(written)
    (one,) = expanded(whole.to_ical(), START, END).occurrences
    assert one.title == title.strip()
    assert one.categories == tuple(dict.fromkeys(text.strip() for text in categories))


@pytest.mark.parametrize("start", [date(2027, 3, 1), date(2027, 3, 2)])
def test_no_objects(start: date) -> None:
    """A source with nothing in it gives nothing."""
    found = expand([], start, END, LONDON)
    assert (found.occurrences, found.todos, found.problems) == ((), (), ())
