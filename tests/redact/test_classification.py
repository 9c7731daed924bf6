"""CLASS, TRANSP and STATUS of RFC 5545 decide what can be shared at all, and what is busy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import pytest

from tests.redact.weeks import (
    decision,
    labels,
    on_page,
    settings,
    shared,
    spread_of,
    title_rules,
    with_class,
)
from tests.support.households import calendar
from tests.support.plans import LONDON, at, files, timed, todo
from weeksync.calendar.expand import expand
from weeksync.model.fields import DayPart
from weeksync.model.occurrence import says_public
from weeksync.model.pulled import StoredObject
from weeksync.model.shared import ShownAs
from weeksync.model.spread import DayOccurrence, LeftOut, LeftOutReason
from weeksync.redact import Sources, redact

SWIM = timed("Swim", at("2027-03-16 10:00"))
SAID = title_rules("Swim")


@pytest.mark.parametrize(
    ("written", "public"),
    [("", True), ("PUBLIC", True), ("PRIVATE", False), ("CONFIDENTIAL", False),
     ("X-INNER", False), ("OPEN", False)],
)  # fmt: skip
def test_a_class_that_is_not_known_is_private(written: str, public: bool) -> None:
    """RFC 5545 section 3.8.1.3: the default is PUBLIC; what is not recognised is as PRIVATE."""
    assert says_public(written) is public
    found = shared(SAID, [timed("Swim", at("2027-03-16 10:00"), classification=written)])
    assert labels(found) == (["Swim"] if public else [])


@pytest.mark.parametrize("written", ["", "PUBLIC"])
def test_no_class_and_public_are_no_consent(written: str) -> None:
    """Section 3.8.1.3: CLASS "cannot serve as an enforcement statement"; a rule has to."""
    found = shared(settings(), [timed("Swim", at("2027-03-16 10:00"), classification=written)])
    assert labels(found) == []
    assert str(decision(found, "Swim").why) == "no rule lets it through"


def test_an_event_is_as_private_as_its_most_private_copy() -> None:
    """In a second calendar it is PRIVATE, and that copy is not shown: it is left out, too."""
    private = timed("Swim", at("2027-03-16 10:00"), source="club", classification="PRIVATE")
    copy = LeftOut(private, LeftOutReason.SAME)
    assert labels(shared(SAID, [SWIM])) == ["Swim"]
    assert labels(shared(SAID, [SWIM], left_out=[copy])) == []


def test_a_series_that_became_private_is_so_at_the_times_it_had_before() -> None:
    """Read today its instances lie at other times, so that none is the one that was kept."""
    then = timed("Swim", at("2027-03-16 10:00"), identity="20270316T100000Z")
    now = timed("Swim", at("2027-03-17 18:00"), identity="20270317T180000Z")
    private = with_class(now, "PRIVATE")
    assert labels(shared(SAID, [then], around=[spread_of(SAID, [now])])) == ["Swim"]
    assert labels(shared(SAID, [then], around=[spread_of(SAID, [private])])) == []


def test_a_to_do_without_a_class_that_was_kept_is_private() -> None:
    """A week that was closed before CLASS was kept says nothing of it: that is no PUBLIC."""
    said = settings(calendars=({"share_tasks": "title"},), released=("Water",))
    done = todo("Water", status="COMPLETED", completed=date(2027, 3, 16))
    [shown] = [one for day in shared(said, todos=[done]).shared.days for one in day.tasks]
    assert shown.label == "Water"
    private = todo(
        "Water", status="COMPLETED", completed=date(2027, 3, 16), classification="PRIVATE"
    )
    assert not any(day.tasks for day in shared(said, todos=[private]).shared.days)


def expanded(*components: str) -> list[tuple[str, str, bool]]:
    """(title, CLASS, busy) of what these components give in the week."""
    text = calendar(*components).encode()
    one = StoredObject("home", "", "home.ics", "", "", text)
    found = expand([one], date(2027, 3, 15), date(2027, 3, 22), LONDON)
    return [(one.title, one.classification, one.busy) for one in found.occurrences]


def event(*lines: str) -> str:
    """A VEVENT with these lines."""
    head = ["BEGIN:VEVENT", "UID:one", "DTSTAMP:20270101T000000Z", "SUMMARY:Swim"]
    return "\r\n".join([*head, *lines, "END:VEVENT", ""])


SERIES = ("DTSTART:20270315T090000Z", "RRULE:FREQ=DAILY;COUNT=2")
MOVED = ("RECURRENCE-ID:20270316T090000Z", "DTSTART:20270316T100000Z", "SEQUENCE:1")


def test_an_exception_that_says_nothing_is_as_private_as_its_series() -> None:
    """Section 3.8.4.4 is silent of what an exception leaves out: the safer reading."""
    found = expanded(event(*SERIES, "CLASS:PRIVATE"), event(*MOVED))
    assert [one[1] for one in found] == ["PRIVATE", "PRIVATE"]
    found = expanded(event(*SERIES, "CLASS:PRIVATE"), event(*MOVED, "CLASS:PUBLIC"))
    assert sorted(one[1] for one in found) == ["PRIVATE", "PUBLIC"]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["CLASS:PUBLIC", "CLASS:PRIVATE"], "PRIVATE"),
        (["CLASS:private "], "PRIVATE"),
        (["CLASS:"], "PRIVATE"),
        (["CLASS;X-PARAM=1:confidential"], "CONFIDENTIAL"),
        ([], ""),
    ],
)
def test_of_several_classes_the_most_private_counts(lines: Iterable[str], expected: str) -> None:
    """Section 3.8.1.3 allows one; where there are more, or one is empty, nothing is given away."""
    [(_, found, _)] = expanded(event("DTSTART:20270316T100000Z", "DURATION:PT1H", *lines))
    assert found == expected


def test_a_transparent_event_is_no_busy_time() -> None:
    """Section 3.8.2.7: TRANSPARENT does not take time; without TRANSP an event is OPAQUE."""
    lines = ("DTSTART:20270316T100000Z", "DURATION:PT1H")
    assert expanded(event(*lines, "TRANSP:TRANSPARENT"))[0][2] is False
    assert expanded(event(*lines, "TRANSP:OPAQUE"))[0][2] is True
    assert expanded(event(*lines))[0][2] is True
    said = settings(calendars=({"share": "busy"},), times="exact", busy_times=True)
    free = timed("Swim", at("2027-03-16 10:00"), busy=False)
    assert on_page(shared(said, [free])) == []
    assert shared(said, [free]).shared.busy == ()
    assert [one.shown_as for one in on_page(shared(said, [SWIM]))] == [ShownAs.BUSY]
    assert len(shared(said, [SWIM]).shared.busy or ()) == 1


def test_a_cancelled_event_and_a_journal_are_never_shared() -> None:
    """Section 3.8.1.11, CANCELLED: not even its weekday; 3.6.3: a journal is a diary."""
    cancelled = replace(SWIM, cancelled=True, busy=False)
    journal = timed("Swim", at("2027-03-16 10:00"), journal=True, busy=False)
    spread = spread_of(SAID, [SWIM])
    for one in (cancelled, journal):
        # As it lies on a day where a page was printed with it, and is struck through since.
        days = tuple(
            replace(day, occurrences=(DayOccurrence(one, DayPart.MORNING),)) for day in spread.days
        )
        found = redact(Sources(replace(spread, days=days), files(SAID), LONDON))
        assert decision(found, "Swim").title == "Swim"
        assert labels(found) == []
