"""Room taken bit by bit: which gaps a task gets, and how it is cut."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.loads import gaps, load, moment
from tests.support.plans import LONDON
from weeksync.model.fields import DayPart
from weeksync.model.week_plan import DayLoad, Piece
from weeksync.plan.placement import Room, Wish

MON, TUE, WED = (date(2027, 3, day) for day in (22, 23, 24))
SUNDAY = date(2027, 3, 28)
"""The clocks go forward at 01:00."""

MIDNIGHT = datetime(2027, 3, 22, tzinfo=LONDON)


def room(*days: DayLoad, now: datetime = MIDNIGHT, smallest: int = 25) -> Room:
    """The room of these days."""
    return Room(days, now, LONDON, smallest)


def wish(minutes: int, first: date = MON, last: date = WED, part: DayPart | None = None) -> Wish:
    """A task of that many minutes."""
    return Wish(minutes, first, last, part)


def drawn(pieces: tuple[Piece, ...]) -> list[str]:
    """Pieces as `22 08:00-09:30 morning`."""
    return [f"{one.start:%d %H:%M}-{one.end:%H:%M} {one.part.value}" for one in pieces]


def test_the_earliest_gap_that_holds_it() -> None:
    """On the first day, in the first gap that is long enough."""
    asked = room(load(MON, "08:00-08:30", "09:00-11:00"))
    assert drawn(asked.place(wish(90), whole=True)) == ["22 09:00-10:30 morning"]
    assert drawn(asked.place(wish(30), whole=True)) == ["22 08:00-08:30 morning"]
    assert drawn(asked.place(wish(30), whole=True)) == ["22 10:30-11:00 morning"]
    assert asked.place(wish(30), whole=True) == ()


def test_a_stretch_over_noon_is_one_piece() -> None:
    """Where no part is asked for; it counts for the part in which it begins."""
    asked = room(load(MON, "11:40-14:00"))
    assert drawn(asked.place(wish(60), whole=True)) == ["22 11:40-12:40 morning"]
    assert drawn(asked.place(wish(60), whole=True)) == ["22 12:40-13:40 afternoon"]


def test_only_in_its_part_of_the_day() -> None:
    """An evening task waits for an evening."""
    asked = room(load(MON, "08:00-18:10"), load(TUE, "08:00-20:00"))
    assert drawn(asked.place(wish(30, part=DayPart.EVENING), whole=True)) == [
        "23 18:00-18:30 evening"
    ]


def test_whole_on_a_later_day_rather_than_in_bits() -> None:
    """Unless bits are asked for, which take the earliest minutes there are."""
    days = (load(MON, "08:00-09:00"), load(TUE, "08:00-12:00"))
    assert drawn(room(*days).place(wish(100), whole=True)) == ["23 08:00-09:40 morning"]
    assert drawn(room(*days).place(wish(100), whole=False)) == [
        "22 08:00-09:00 morning",
        "23 08:00-08:40 morning",
    ]


@pytest.mark.parametrize(
    ("minutes", "lengths"),
    [
        pytest.param(70, [45, 25], id="no crumb is left over"),
        pytest.param(80, [55, 25], id="the rest is exactly the smallest piece"),
        pytest.param(100, [60, 40], id="as much as there is"),
    ],
)
def test_pieces_are_worth_starting(minutes: int, lengths: list[int]) -> None:
    """No piece is shorter than 25 minutes."""
    asked = room(load(MON, "08:00-09:00"), load(TUE, "08:00-09:00"))
    found = asked.place(wish(minutes), whole=False)
    assert [(one.end - one.start) // timedelta(minutes=1) for one in found] == lengths


def test_a_gap_under_the_smallest_piece_takes_only_what_is_as_short() -> None:
    """A task of ten minutes is one piece, a longer one is not begun for ten."""
    asked = room(load(MON, "08:00-08:20"), load(TUE, "08:00-08:40"))
    assert drawn(asked.place(wish(40, last=TUE), whole=False)) == ["23 08:00-08:40 morning"]
    assert drawn(asked.place(wish(10), whole=False)) == ["22 08:00-08:10 morning"]


def test_no_more_than_can_be_planned() -> None:
    """Gaps may hold more: the share of free time is kept."""
    asked = room(load(MON, "08:00-12:00", plannable=60), load(TUE, "08:00-12:00", plannable=60))
    assert drawn(asked.place(wish(60), whole=True)) == ["22 08:00-09:00 morning"]
    assert asked.place(wish(61), whole=False) == ()
    assert asked.left(MON) == 0
    assert asked.left(TUE) == 60


def test_what_was_chosen_takes_its_minutes_whatever_can_be_planned() -> None:
    """In a gap where one holds it; else only the minutes."""
    asked = room(load(MON, "08:00-10:00", plannable=72))
    assert drawn(asked.reserve(MON, 90, None)) == ["22 08:00-09:30 morning"]
    assert asked.left(MON) == 0
    asked = room(load(MON, "08:00-10:00", plannable=72))
    assert asked.reserve(MON, 60, DayPart.EVENING) == ()
    assert asked.left(MON) == 12
    assert asked.reserve(WED, 60, None) == (), "a day that is not there"


def test_what_was_chosen_at_a_time_is_there_whether_free_or_not() -> None:
    """Its stretch is taken out of the gaps."""
    asked = room(load(MON, "08:00-10:00"))
    assert drawn(asked.reserve_at(MON, time(8, 30), 60, None)) == ["22 08:30-09:30 morning"]
    assert drawn(asked.reserve_at(MON, time(14), 30, DayPart.AFTERNOON)) == [
        "22 14:00-14:30 afternoon"
    ]
    assert drawn(asked.place(wish(30), whole=True)) == ["22 08:00-08:30 morning"]
    assert asked.place(wish(30), whole=True) == ()


def test_of_today_only_what_is_still_to_come() -> None:
    """Gaps begin now, and the minutes that can be planned shrink by the same share."""
    asked = room(load(MON, "08:00-12:00", plannable=144), now=moment(MON, 11 * 60))
    assert asked.left(MON) == 36
    assert drawn(asked.place(wish(30), whole=True)) == ["22 11:00-11:30 morning"]


def test_until_a_time_of_the_last_day() -> None:
    """What is due at nine is done by nine, and only the share before counts."""
    until = int(moment(TUE, 9 * 60).timestamp()) // 60
    asked = room(load(MON, "08:00-08:30"), load(TUE, "08:00-12:00", plannable=120))
    assert asked.left(TUE, until) == 30 + 30
    assert asked.place(Wish(100, MON, TUE, None, until), whole=True) == ()
    assert drawn(asked.place(Wish(50, MON, TUE, None, until), whole=True)) == [
        "23 08:00-08:50 morning"
    ]


def test_a_piece_over_the_hour_that_is_not_there() -> None:
    """From 00:30 to 02:30 on the night the clocks go forward are 60 minutes."""
    asked = room(load(SUNDAY, "00:30-02:30"))
    (piece,) = asked.place(wish(60, SUNDAY, SUNDAY), whole=True)
    assert (piece.start, piece.end) == (moment(SUNDAY, 30), moment(SUNDAY, 150))
    assert asked.place(wish(1, SUNDAY, SUNDAY), whole=False) == ()


def test_kept_where_it_is_free() -> None:
    """All pieces or none."""
    asked = room(load(MON, "08:00-10:00"), load(TUE, "08:00-09:00"))
    monday = Piece(moment(MON, 500), moment(MON, 530), DayPart.MORNING)
    late = Piece(moment(TUE, 530), moment(TUE, 560), DayPart.MORNING)
    assert not asked.keep([monday, late])
    assert asked.left(TUE) == 180
    assert asked.keep([monday])
    assert asked.left(TUE) == 150
    assert not asked.keep([monday])


SPANS = st.lists(st.tuples(st.integers(8 * 4, 20 * 4), st.integers(1, 16)), max_size=5)


@given(
    days=st.lists(SPANS, min_size=1, max_size=3),
    tasks=st.lists(st.integers(1, 200), max_size=8),
    whole=st.booleans(),
    share=st.integers(30, 100),
)
def test_pieces_lie_in_gaps_and_apart(
    days: list[list[tuple[int, int]]], tasks: list[int], whole: bool, share: int
) -> None:
    """Every piece lies in gaps, none overlaps another, sums and shortest pieces are kept."""
    made = []
    for offset, spans in enumerate(days):
        taken: set[int] = set()
        for start, length in spans:
            taken |= set(range(start, min(start + length, 22 * 4)))
        hours = [
            f"{q // 4:02}:{q % 4 * 15:02}-{(q + 1) // 4:02}:{(q + 1) % 4 * 15:02}"
            for q in sorted(taken)
        ]
        day = MON + timedelta(days=offset)
        free = sum(gap.minutes for gap in gaps(day, *hours))
        made.append(load(day, *hours, plannable=free * share // 100))
    asked = room(*made)
    found: list[Piece] = []
    for minutes in tasks:
        pieces = asked.place(wish(minutes), whole=whole)
        lengths = [(one.end - one.start) // timedelta(minutes=1) for one in pieces]
        assert sum(lengths) in (0, minutes)
        assert all(length >= min(25, minutes) for length in lengths)
        found += pieces
    found.sort(key=lambda one: one.start)
    assert all(first.end <= second.start for first, second in pairwise(found))
    for one in made:
        inside = [piece for piece in found if piece.start.date() == one.day]
        covered = {
            minute
            for gap in one.gaps
            for minute in range(int(gap.start.timestamp()) // 60, int(gap.end.timestamp()) // 60)
        }
        used = [
            minute
            for piece in inside
            for minute in range(
                int(piece.start.timestamp()) // 60, int(piece.end.timestamp()) // 60
            )
        ]
        assert set(used) <= covered
        assert len(used) <= one.plannable
