"""Half-open spans: published counts, and every result against counting minute by minute."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.plan.intervals import (
    Span,
    covers,
    length,
    meets,
    most_at_once,
    united,
    within,
    without,
)

SPANS = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 8)).map(lambda s: (s[0], sum(s))))
BOUNDS = st.tuples(st.integers(0, 30), st.integers(0, 12)).map(lambda s: (s[0], sum(s)))


def moments(spans: list[Span]) -> set[int]:
    """Every whole moment that one of the spans holds."""
    return {moment for start, end in spans for moment in range(start, end)}


def is_united(spans: list[Span]) -> bool:
    """Whether the spans are in order, hold something each, and neither overlap nor touch."""
    return all(low < high for low, high in spans) and all(
        before[1] < after[0] for before, after in pairwise(spans)
    )


LECTURES = [
    (540, 630), (540, 750), (540, 630), (660, 750), (660, 840), (780, 870), (780, 870),
    (840, 990), (900, 990), (900, 990),
]  # fmt: skip
"""Ten lectures in minutes after midnight, 9:00 to 16:30."""


def test_as_many_rooms_as_lectures_at_once() -> None:
    """Kleinberg & Tardos, Algorithm Design (2005), section 4.1: ten lectures need three rooms.

    The number was read in a page that quotes the book; the times are those of its figure (from
    memory), and give it.
    """
    assert most_at_once(LECTURES) == 3


def test_an_end_comes_before_a_start() -> None:
    """Half-open: a lecture may begin in the room where one ends at that moment."""
    assert most_at_once([(0, 60), (60, 120), (60, 90)]) == 2
    assert most_at_once([(0, 60), (60, 120)]) == 1
    assert most_at_once([(0, 60), (59, 120)]) == 2
    assert most_at_once([(30, 30), (0, 60)]) == 1
    assert most_at_once([]) == 0


ACTIVITIES = list(
    zip((1, 3, 0, 5, 3, 5, 6, 8, 8, 2, 12), (4, 5, 6, 7, 9, 9, 10, 11, 12, 14, 16), strict=True)
)


def test_the_activities_that_can_be_chosen_do_not_meet() -> None:
    """Cormen et al., Introduction to Algorithms (3rd ed.), section 16.1: activities 1, 4, 8 and 11
    are compatible, and no fifth fits beside them (data from memory; they give that answer)."""
    chosen = [ACTIVITIES[number - 1] for number in (1, 4, 8, 11)]
    assert most_at_once(chosen) == 1
    others = [one for one in ACTIVITIES if one not in chosen]
    assert all(most_at_once([*chosen, one]) == 2 for one in others)


@given(SPANS)
def test_united_spans_hold_the_same_moments(spans: list[Span]) -> None:
    """In order, apart, and not a moment more or less."""
    found = united(spans)
    assert is_united(found)
    assert moments(found) == moments(spans)
    assert length(found) == len(moments(spans))


@given(SPANS, SPANS)
def test_what_is_taken_away_is_gone(spans: list[Span], taken: list[Span]) -> None:
    """What is left are the moments of the one that the other does not hold."""
    found = without(united(spans), united(taken))
    assert moments(found) == moments(spans) - moments(taken)
    assert all(low < high for low, high in found)
    assert found == sorted(found)


@given(SPANS, BOUNDS)
def test_what_is_cut_to_bounds_lies_within(spans: list[Span], bounds: Span) -> None:
    """The moments that both hold."""
    assert moments(within(spans, bounds)) == moments(spans) & moments([bounds])


@given(SPANS)
def test_the_most_at_once_is_what_counting_gives(spans: list[Span]) -> None:
    """At each moment the spans that hold it are counted one by one."""
    counts = [sum(low <= moment < high for low, high in spans) for moment in range(40)]
    assert most_at_once(spans) == max(counts)


@given(SPANS, BOUNDS)
def test_covering_and_meeting(spans: list[Span], bounds: Span) -> None:
    """All moments of the bounds are held, or one of them is."""
    joined = united(spans)
    asked = moments([bounds]) or {bounds[0]}
    assert covers(joined, bounds) is (asked <= moments(spans))
    if bounds[0] < bounds[1]:
        assert meets(joined, bounds) is bool(asked & moments(spans))


@pytest.mark.parametrize(
    ("spans", "taken", "left"),
    [
        ([(480, 1200)], [(600, 675)], [(480, 600), (675, 1200)]),
        ([(480, 1200)], [(480, 1200)], []),
        ([(480, 1200)], [(0, 480), (1200, 1300)], [(480, 1200)]),
        ([(0, 10), (20, 30)], [(5, 25)], [(0, 5), (25, 30)]),
    ],
)
def test_touching_takes_nothing(spans: list[Span], taken: list[Span], left: list[Span]) -> None:
    """What only touches is left whole."""
    assert without(spans, taken) == left
