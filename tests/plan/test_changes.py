"""Changes since a week was printed: snapshots taken of one spread and held against another."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.plans import all_day, at, config, files, mark, planner, timed
from weeksync.model.chosen import WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Habit, Lesson, Task, Term
from weeksync.model.household import HouseholdFiles
from weeksync.model.money import Bill
from weeksync.model.money_item import MoneyKind
from weeksync.model.occurrence import Occurrence
from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import Change, ChangeKind
from weeksync.plan.changes import changes, text
from weeksync.plan.snapshot import lines, take
from weeksync.read.checked import checked
from weeksync.read.snapshots import snapshot_bytes

W12 = IsoWeek(2027, 12)
PRINTED = datetime(2027, 3, 21, 18, tzinfo=UTC)
CALL = timed("Call", at("2027-03-24 17:30"), 45, uid="call", identity="20270321T183000Z")


def week(*occurrences: Occurrence, household: HouseholdFiles | None = None) -> Spread:
    """2027-W12 of a household with these occurrences."""
    return planner(household, occurrences).week(W12)


def differences(before: Spread, after: Spread, **keys: Any) -> list[tuple[str, str, str]]:
    """(kind, before, after) of each change between two spreads of a week."""
    found = changes(take(before, PRINTED), after, **keys)
    return [(one.kind.value, one.before, one.after) for one in found]


def test_the_same_week_has_no_changes() -> None:
    """A snapshot held against the spread it was taken of."""
    spread = week(CALL, all_day("Cousin", date(2027, 3, 26), 4))
    assert differences(spread, spread) == []


@pytest.mark.parametrize(
    ("now", "wanted"),
    [
        (
            timed("Call", at("2027-03-22 10:30"), 45, uid="call", identity=CALL.identity),
            ("moved", "2027-03-24 17:30-18:15 Call", "2027-03-22 10:30-11:15 Call"),
        ),
        (
            replace(CALL, title="Call with Nana", start=at("2027-03-24 18:00")),
            ("moved", "2027-03-24 17:30-18:15 Call", "2027-03-24 18:00-18:15 Call with Nana"),
        ),
        (
            replace(CALL, place="Kitchen"),
            ("changed", "2027-03-24 17:30-18:15 Call", "2027-03-24 17:30-18:15 Call, Kitchen"),
        ),
        (
            replace(CALL, end=at("2027-03-24 19:00")),
            ("changed", "2027-03-24 17:30-18:15 Call", "2027-03-24 17:30-19:00 Call"),
        ),
        (
            replace(CALL, tentative=True),
            ("changed", "2027-03-24 17:30-18:15 Call", "2027-03-24 17:30-18:15 Call ?"),
        ),
        (
            timed("Other", at("2027-03-24 17:30"), 45, uid="other"),
            None,
        ),
    ],
)  # fmt: skip
def test_what_became_of_an_event(now: Occurrence, wanted: tuple[str, str, str] | None) -> None:
    """Moved to another time, changed at its time, or gone with another one in its place."""
    gone = [
        ("gone", "2027-03-24 17:30-18:15 Call", ""),
        ("new", "", "2027-03-24 17:30-18:15 Other"),
    ]
    assert differences(week(CALL), week(now)) == ([wanted] if wanted else gone)


def test_the_calendar_it_is_read_from_is_no_change() -> None:
    """One event in two calendars may be read from the other one next time."""
    assert differences(week(CALL), week(replace(CALL, source="other", sequence=3))) == []


def test_a_series_moved_as_a_whole_is_moved() -> None:
    """Its times have new names (RECURRENCE-ID is the original start, RFC 5545 3.8.4.4)."""
    before = [timed("Swim", at(f"2027-03-{day} 09:00"), uid="swim", identity=f"202703{day}T090000Z")
              for day in (23, 25)]  # fmt: skip
    after = [timed("Swim", at(f"2027-03-{day} 09:30"), uid="swim", identity=f"202703{day}T093000Z")
             for day in (23, 25)]  # fmt: skip
    assert differences(week(*before), week(*after)) == [
        ("moved", "2027-03-23 09:00-10:00 Swim", "2027-03-23 09:30-10:30 Swim"),
        ("moved", "2027-03-25 09:00-10:00 Swim", "2027-03-25 09:30-10:30 Swim"),
    ]


def test_several_days_are_one_line() -> None:
    """A stay that gets a day shorter is changed once; beyond the page it is not the page's."""
    stay = all_day("Cousin", date(2027, 3, 26), 4)
    assert [text(one) for one in lines(week(stay)) if one.kind is LineKind.EVENT] == [
        "2027-03-26/2027-03-28 Cousin"
    ]
    assert differences(week(stay), week(all_day("Cousin", date(2027, 3, 26), 5))) == []
    assert differences(week(stay), week(all_day("Cousin", date(2027, 3, 26), 2))) == [
        ("changed", "2027-03-26/2027-03-28 Cousin", "2027-03-26/2027-03-27 Cousin")
    ]


def test_a_night_has_its_ends_on_two_days() -> None:
    """From 19:00 to 07:00; of one that began the week before only the end is there."""
    night = timed("Night", at("2027-03-26 19:00"), 720)
    before = timed("Night before", at("2027-03-21 19:00"), 720)
    after = timed("Night after", at("2027-03-28 19:00"), 720)
    shown = [text(one) for one in lines(week(before, night, after)) if one.kind is LineKind.EVENT]
    assert shown == [
        "2027-03-22 -07:00 Night before",
        "2027-03-26/2027-03-27 19:00-07:00 Night",
        "2027-03-28 19:00 Night after",
    ]


WEEK_FILE = {
    "format": 1,
    "notes": "Clocks on Sunday",
    "days": [{"date": date(2027, 3, 24), "priorities": ["report", "A slow day"]}],
    "placed": [{"task": "report", "date": date(2027, 3, 24), "part": "morning"}],
    "rows": [{"title": "Meals", "cells": {"monday": "Soup", "tuesday": "Eggs"}}],
    "breaks": [{"date": date(2027, 3, 24), "start": time(10, 45), "what": "Step"}],
}


def chosen(**keys: Any) -> dict[str, Any]:
    """The household of this file, with some keys of its week replaced."""
    task = Task(id="report", title="Report", due=date(2027, 3, 25), person="ines")
    return {
        "weeks": {W12: checked(WeekFile, WEEK_FILE | keys)},
        "tasks": (task, Task(id="gate", title="Gate", due=date(2027, 3, 26))),
        "bills": (Bill(id="tax", title="Tax", first=date(2027, 3, 26), amount=14_200),),
        "habits": (Habit(id="water", title="Water", person="ines"),),
        "terms": (Term(id="t", name="T", start=date(2027, 3, 1), end=date(2027, 3, 25)),),
        "lessons": (Lesson(id="maths", child="pell", subject="Maths", days=(Weekday.TUESDAY,)),),
    }


def of(parts: dict[str, Any], **settings: Any) -> Spread:
    """2027-W12 of a household with these files."""
    return week(household=files(config(**settings), **parts))


CHOSEN = chosen()


def test_every_kind_of_line_is_taken() -> None:
    """By day and kind; no amount is in any of them, and the tax of Good Friday is on Tuesday."""
    household = files(**CHOSEN)
    snapshot = take(planner(household, [CALL]).week(W12), PRINTED)
    decided = [one for one in snapshot.lines if one.kind is not LineKind.PROPOSED]
    assert [text(one) for one in decided] == [
        "2027-03-22 Water",
        "2027-03-22 Meals, Soup",
        "2027-03-22 Clocks on Sunday",
        "2027-03-23 Maths",
        "2027-03-23 Meals, Eggs",
        "2027-03-24 17:30-18:15 Call",
        "2027-03-24 A slow day",
        "2027-03-24 Report",
        "2027-03-24 morning Report (2027-03-25)",
        "2027-03-24 10:45-10:55 Step",
        "2027-03-26 Good Friday",
        "2027-03-26 Gate",
    ]
    assert "14200" not in snapshot_bytes(snapshot).decode()


@pytest.mark.parametrize(
    ("parts", "wanted"),
    [
        (
            chosen(placed=[{"task": "report", "date": date(2027, 3, 25), "part": "morning"}]),
            [("moved", "2027-03-24 morning Report (2027-03-25)", "2027-03-25 morning Report")],
        ),
        (
            chosen(placed=[{"task": "report", "date": date(2027, 3, 24), "part": "evening"}]),
            [("moved", "2027-03-24 morning Report (2027-03-25)",
              "2027-03-24 evening Report (2027-03-25)")],
        ),
        (
            chosen(days=[{"date": date(2027, 3, 24), "priorities": ["report"]}]),
            [("gone", "2027-03-24 A slow day", "")],
        ),
        (
            chosen(rows=[{"title": "Meals", "cells": {"monday": "Stew"}}]),
            [("changed", "2027-03-22 Meals, Soup", "2027-03-22 Meals, Stew"),
             ("gone", "2027-03-23 Meals, Eggs", "")],
        ),
        (
            chosen(breaks=[{"date": date(2027, 3, 24), "start": time(11), "what": "Step"}]),
            [("moved", "2027-03-24 10:45-10:55 Step", "2027-03-24 11:00-11:10 Step")],
        ),
        (chosen(notes=""), [("gone", "2027-03-22 Clocks on Sunday", "")]),
        (
            CHOSEN | {"habits": ()},
            [("gone", "2027-03-22 Water", "")],
        ),
        (
            CHOSEN | {"lessons": (Lesson(id="maths", child="pell", subject="Maths",
                                         days=(Weekday.TUESDAY,), not_on=(date(2027, 3, 23),),
                                         make_up=(date(2027, 3, 24),)),)},
            [("moved", "2027-03-23 Maths", "2027-03-24 Maths")],
        ),
    ],
)  # fmt: skip
def test_what_became_of_what_was_chosen(
    parts: dict[str, Any], wanted: list[tuple[str, str, str]]
) -> None:
    """Each kind of line, taken to another day, changed where it stood, or gone."""
    assert differences(of(CHOSEN), of(parts)) == wanted


def test_a_holiday_moves_a_bill() -> None:
    """Good Friday taken off the household's list: the tax comes on the day it is due."""
    removed = [{"date": date(2027, 3, 26), "remove": True}]
    found = changes(take(of(CHOSEN), PRINTED), of(CHOSEN, holidays=removed))
    assert [(one.kind, one.title, one.money) for one in found] == [
        (ChangeKind.GONE, "Good Friday", None),
        (ChangeKind.NEW, "Tax", MoneyKind.BILL),
    ]


@pytest.mark.parametrize("task", ["report", "gate"])
def test_what_was_done_or_marked_is_no_change(task: str) -> None:
    """A mark is made by somebody who knows; one that was dropped has gone from the page."""

    def ended(how: str) -> dict[str, Any]:
        tasks = [replace(one, **{how: date(2027, 3, 23)}) if one.id == task else one
                 for one in CHOSEN["tasks"]]  # fmt: skip
        return CHOSEN | {"tasks": tuple(tasks)}

    marked = ended("done") | {"marks": (mark("water", date(2027, 3, 22), "7"),)}
    is_done = lambda ident, day: ident == task  # noqa: E731
    assert differences(of(CHOSEN), of(marked), is_done=is_done) == []
    assert [kind for kind, _, _ in differences(of(CHOSEN), of(ended("dropped")))] == ["gone"]


def test_a_journal_is_in_no_snapshot() -> None:
    """A diary is on no common page, and what is written in it is no change of the week."""
    diary = all_day("Diary", date(2027, 3, 24), journal=True)
    assert differences(week(), week(diary)) == []


def test_what_is_reserved_is_never_taken_for_what_is_not() -> None:
    """An event that becomes reserved is gone for all, and new for those who may see it."""
    found = changes(
        take(week(CALL), PRINTED), week(replace(CALL, only_for=("ines",), place="Attic"))
    )
    assert [(one.kind, one.only_for, one.before, one.after) for one in found] == [
        (ChangeKind.GONE, (), "2027-03-24 17:30-18:15 Call", ""),
        (ChangeKind.NEW, ("ines",), "", "2027-03-24 17:30-18:15 Call, Attic"),
    ]


def test_only_a_week_has_a_snapshot() -> None:
    """Another span has no file that it could be kept in."""
    spread = planner().span(date(2027, 3, 23), date(2027, 3, 24))
    with pytest.raises(ValueError, match="week"):
        take(spread, PRINTED)


SPREAD = week(CALL, timed("Other", at("2027-03-23 09:00"), uid="b", identity="1"))
lines_of_a_week = st.lists(
    st.builds(
        SnapshotLine,
        kind=st.just(LineKind.EVENT),
        key=st.sampled_from(["a|1", "a|2", "b|1", "c|1"]),
        series=st.sampled_from(["a", "b"]),
        day=st.sampled_from([date(2027, 3, day) for day in (22, 23, 24)]),
        title=st.sampled_from(["x", "y"]),
        start=st.sampled_from(["", "09:00"]),
        only_for=st.sampled_from([(), ("ines",)]),
    ),
    max_size=8,
)


@given(lines_of_a_week, st.randoms(use_true_random=False))
def test_changes_account_for_every_line(old: list[SnapshotLine], random: Any) -> None:
    """Old lines less those gone or changed, and with the new ones, are the lines of the week.

    And the order of the lines of a snapshot does not matter.
    """
    spread = SPREAD
    snapshot = Snapshot(format=1, week="2027-W12", taken_at=PRINTED, lines=tuple(old))
    found = changes(snapshot, spread)
    was = [one.was for one in found if one.was is not None]
    now = [one.now for one in found if one.now is not None]
    left = list(old)
    for line in was:
        left.remove(line)
    assert sorted([*left, *now], key=repr) == sorted(lines(spread), key=repr)
    assert all(_is_told(one) for one in found)
    shuffled = list(old)
    random.shuffle(shuffled)
    assert changes(replace(snapshot, lines=tuple(shuffled)), spread) == found


def _is_told(change: Change) -> bool:
    """Whether its kind says which of the two lines there are, and who may see them."""
    both = change.kind in {ChangeKind.MOVED, ChangeKind.CHANGED}
    parts = [one for one in (change.was, change.now) if one is not None]
    return len(parts) == 1 + both and {one.only_for for one in parts} == {change.only_for}
