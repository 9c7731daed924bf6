"""One event in two calendars is shown once, and nothing disappears without a word."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import all_day, at, timed, todo
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import LeftOutReason
from weeksync.plan import merge_todos
from weeksync.plan.merge import merge

ORDER = ("", "home", "work", "club")
START = at("2027-03-22 10:30")


def copies(**of_second: object) -> list[Occurrence]:
    """The call with Nana in two calendars; what is given holds for the second copy."""
    first = timed("Call", START, source="home", uid="call", persons=("ines",))
    return [first, replace(first, source="work", persons=("dov",), **of_second)]  # type: ignore[arg-type]


def test_the_same_in_two_calendars_is_shown_once() -> None:
    """Persons are united, the other calendar is named, the copy is reported."""
    (shown,), (left,) = merge(copies(), ORDER)
    assert (shown.source, shown.persons, shown.also_in) == ("home", ("ines", "dov"), ("work",))
    assert (left.occurrence.source, left.reason) == ("work", LeftOutReason.SAME)


@pytest.mark.parametrize(
    ("second", "winner"),
    [
        ({}, "home"),
        ({"sequence": 1}, "work"),
        ({"sequence": -1, "stamp": "20270101T000000Z"}, "home"),
        ({"stamp": "20270101T000000Z"}, "work"),
    ],
)
def test_which_copy_wins(second: dict[str, object], winner: str) -> None:
    """The higher SEQUENCE, then the later stamp, then the calendar that comes first."""
    for pair in (copies(**second), copies(**second)[::-1]):
        (shown,), _ = merge(pair, ORDER)
        assert shown.source == winner


@pytest.mark.parametrize(
    ("second", "same"),
    [
        ({"uid": "another"}, False),
        ({"start": at("2027-03-23 10:30"), "end": at("2027-03-23 11:30")}, False),
        ({"start": at("2027-03-23 10:30"), "end": at("2027-03-23 11:30"), "sequence": 1}, True),
        ({"identity": "20270322T103000Z"}, True),
        ({"identity": "20270321T183000Z"}, False),
        ({"title": "Call with Nana"}, True),
    ],
)
def test_what_makes_two_entries_the_same(second: dict[str, object], same: bool) -> None:
    """UID and RECURRENCE-ID; a single copy is found by its start in the series it is of."""
    shown, left = merge(copies(**second), ORDER)
    assert (len(shown), len(left)) == ((1, 1) if same else (2, 0))


def test_instances_of_one_series_are_not_the_same() -> None:
    """Each identity stands for itself, even where two were moved to one time."""
    week = [
        timed("Call", START, uid="call", identity=identity)
        for identity in ("20270321T183000Z", "20270328T173000Z")
    ]
    shown, left = merge(week, ORDER)
    assert (len(shown), left) == (2, ())


def test_all_day_copies_are_found_by_their_date() -> None:
    """A copy without RECURRENCE-ID and one with it, both of the same day."""
    one = all_day("Books", date(2027, 3, 25), uid="books")
    shown, _ = merge([one, replace(one, source="work", identity="20270325")], ORDER)
    assert len(shown) == 1


def test_entries_without_a_uid_are_never_the_same() -> None:
    """Nothing says that they are one event."""
    one = timed("Call", START, uid="")
    assert len(merge([one, replace(one, source="work")], ORDER)[0]) == 2


def test_an_appointment_is_never_a_calendar_s_event() -> None:
    """An id of the household and a UID that happen to be one text are two things."""
    one = timed("Dentist", START, uid="dentist", source="")
    assert len(merge([one, replace(one, source="home")], ORDER)[0]) == 2


def test_a_cancelled_one_is_left_out() -> None:
    """It is reported with its reason."""
    shown, (left,) = merge([timed("Piano", START, cancelled=True)], ORDER)
    assert shown == ()
    assert left.reason is LeftOutReason.CANCELLED


@pytest.mark.parametrize(
    ("second", "shown"),
    [({"sequence": 1, "cancelled": True}, 0), ({"sequence": -1, "cancelled": True}, 1)],
)
def test_a_cancellation_counts_where_it_is_the_latest_word(
    second: dict[str, object], shown: int
) -> None:
    """RFC 5546 section 3.2.5: a cancellation raises SEQUENCE; an older one is overruled."""
    kept, left = merge(copies(**second), ORDER)
    assert len(kept) == shown
    assert Counter(one.reason for one in left) == (
        {LeftOutReason.SAME: 1} if shown else {LeftOutReason.SAME: 1, LeftOutReason.CANCELLED: 1}
    )


def test_three_calendars_are_named_in_their_order() -> None:
    """A calendar that is not in the order comes last; the winner's own is not named again."""
    first = copies()[0]
    group = [replace(first, source=name) for name in ("unknown", "club", "work", "home", "home")]
    (shown,), left = merge(group, ORDER)
    assert (shown.source, shown.also_in) == ("home", ("work", "club", "unknown"))
    assert len(left) == 4


@settings(deadline=None)  # a busy machine is no fault of the plan
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["home", "work", "club"]),
            st.sampled_from("abc"),
            st.integers(0, 2),
            st.booleans(),
        ),
        max_size=20,
    )
)
def test_nothing_is_lost_and_nothing_doubled(made: list[tuple[str, str, int, bool]]) -> None:
    """Everything that came in is shown or reported, and no two shown ones are the same."""
    occurrences = [
        timed(str(number), START, source=source, uid=uid, sequence=sequence, cancelled=cancelled)
        for number, (source, uid, sequence, cancelled) in enumerate(made)
    ]
    shown, left = merge(occurrences, ORDER)
    titles = [one.title for one in shown] + [one.occurrence.title for one in left]
    assert sorted(titles) == sorted(one.title for one in occurrences)
    assert len({one.uid for one in shown}) == len(shown)
    assert not any(one.cancelled for one in shown)
    assert merge(shown, ORDER) == (shown, ())


def test_to_dos_are_merged_by_the_same_rules() -> None:
    """The higher SEQUENCE wins; without a UID each stands for itself."""
    first = todo("Jars", uid="jars", source="home")
    found = merge_todos(
        [first, replace(first, source="work", sequence=2), todo("a", uid=""), todo("b", uid="")],
        ORDER,
    )
    assert [(one.title, one.source) for one in found] == [
        ("Jars", "work"),
        ("a", "home"),
        ("b", "home"),
    ]
