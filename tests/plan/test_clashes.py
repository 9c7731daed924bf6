"""Clashes, tight and touching engagements, and hours worked: by cases, and against counting."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import CONFIG, all_day, at, config, files, planner, timed
from weeksync.model.config import Config
from weeksync.model.engagement import Clash
from weeksync.model.occurrence import Occurrence
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import WeekPlan

W12 = IsoWeek(2027, 12)
MONDAY = "2027-03-22"


def worked_out(
    occurrences: list[Occurrence], settings_: Config | None = None, week: IsoWeek = W12
) -> WeekPlan:
    """The plan of a week with these occurrences."""
    plan = planner(files(settings_), occurrences).week(week).plan
    assert plan is not None
    return plan


def event(
    title: str, clock: str, minutes: int = 60, day: str = MONDAY, **keys: object
) -> Occurrence:
    """An event of Ines, on Monday where no other day is given."""
    return timed(title, at(f"{day} {clock}"), minutes, **({"persons": ("ines",)} | keys))


def told(clashes: tuple[Clash, ...]) -> list[tuple[str, str, int]]:
    """(kind, local time, minutes) of each."""
    return [(one.kind.value, f"{one.at:%a %H:%M}", one.minutes) for one in clashes]


@pytest.mark.parametrize(
    ("second", "minutes", "wanted"),
    [
        ("10:30", 60, [("clash", "Mon 10:30", 30)]),
        ("10:00", 30, [("clash", "Mon 10:00", 30)]),
        ("10:20", 10, [("clash", "Mon 10:20", 10)]),
        ("11:00", 60, [("touching", "Mon 11:00", 0)]),
        ("11:09", 60, [("tight", "Mon 11:00", 9)]),
        ("11:10", 60, []),
        ("08:00", 120, [("touching", "Mon 10:00", 0)]),
    ],
)
def test_how_two_engagements_meet(
    second: str, minutes: int, wanted: list[tuple[str, str, int]]
) -> None:
    """Half-open, with a buffer of ten minutes, against one from 10:00 to 11:00."""
    plan = worked_out([event("one", "10:00"), event("other", second, minutes)])
    assert told(plan.clashes) == wanted


@pytest.mark.parametrize(
    "other",
    [
        event("library", "10:30", busy=False),
        event("off", "10:30", cancelled=True),
        event("diary", "10:30", journal=True),
        event("Dov's", "10:30", persons=("dov",)),
        event("nobody's", "10:30", persons=()),
        event("a moment", "10:30", 0),
        all_day("fair", date(2027, 3, 22), persons=("ines",)),
    ],
    ids=lambda one: one.title,
)
def test_what_engages_nobody_does_not_clash(other: Occurrence) -> None:
    """Transparent, cancelled, a journal, another person's, nobody's, of no length, all day."""
    assert worked_out([event("one", "10:00"), other]).clashes == ()


def test_an_engagement_is_one_for_each_of_its_persons() -> None:
    """Who shares both has the clash; who has only one has none."""
    both = ("ines", "juno")
    plan = worked_out([event("one", "10:00", persons=both), event("two", "10:30", persons=both),
                       event("three", "10:30", persons=("dov",))])  # fmt: skip
    assert [one.person for one in plan.clashes] == ["ines", "juno"]


def test_the_way_is_part_of_an_engagement() -> None:
    """Forty minutes there and back: what is half an hour apart overlaps by ten on the way."""
    plan = worked_out([event("one", "10:00"), event("far", "11:30", travel_minutes=40)])
    assert told(plan.clashes) == [("clash", "Mon 10:50", 10)]
    (clash,) = plan.clashes
    assert f"{clash.second.start:%H:%M}-{clash.second.end:%H:%M}" == "10:50-13:10"
    assert f"{clash.second.begins:%H:%M}-{clash.second.ends:%H:%M}" == "11:30-12:30"


def test_a_gap_counts_only_where_nothing_fills_it() -> None:
    """One that ends while another goes on is followed by that one."""
    plan = worked_out(
        [event("long", "09:00", 180), event("short", "09:30", 30), event("next", "12:05")]
    )
    assert told(plan.clashes) == [("clash", "Mon 09:30", 30), ("tight", "Mon 12:00", 5)]


@pytest.mark.parametrize(
    ("first", "minutes", "second", "found_in", "when"),
    [
        ("2027-03-28 22:00", 115, "2027-03-29 00:00", 12, "Sun 23:55"),
        ("2027-03-28 23:00", 60, "2027-03-29 00:00", 13, "Mon 00:00"),
        ("2027-03-28 23:00", 120, "2027-03-28 23:30", 12, "Sun 23:30"),
        ("2027-03-28 23:00", 120, "2027-03-29 00:30", 13, "Mon 00:30"),
    ],
)
def test_over_the_edge_of_a_week_it_is_told_once(
    first: str, minutes: int, second: str, found_in: int, when: str
) -> None:
    """In the week of the moment: where the overlap begins, or the first one ends."""
    pair = [
        timed("one", at(first), minutes, persons=("ines",)),
        timed("other", at(second), 60, persons=("ines",)),
    ]
    made = planner(occurrences=pair)
    for number in (11, 12, 13, 14):
        plan = made.week(IsoWeek(2027, number)).plan
        assert plan is not None
        assert [f"{one.at:%a %H:%M}" for one in plan.clashes] == (
            [when] if number == found_in else []
        )


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        ((), (), ()),
        (("ines",), (), ("ines",)),
        ((), ("ines", "dov"), ("ines", "dov")),
        (("ines", "dov"), ("dov",), ("dov",)),
        (("ines",), ("dov",), None),
    ],
)
def test_who_may_see_a_clash(
    first: tuple[str, ...], second: tuple[str, ...], wanted: tuple[str, ...] | None
) -> None:
    """Who may see both; where that is nobody it is not told at all."""
    plan = worked_out(
        [event("one", "10:00", only_for=first), event("other", "10:30", only_for=second)]
    )
    assert [one.only_for for one in plan.clashes] == ([] if wanted is None else [wanted])


TIMES = st.lists(
    st.tuples(st.integers(0, 100), st.integers(0, 25)), max_size=5, unique_by=lambda one: one
)


@settings(deadline=None)
@given(TIMES, st.integers(0, 15))
def test_clashes_are_what_counting_gives(times: list[tuple[int, int]], buffer: int) -> None:
    """Every pair is looked at minute by minute; a gap counts where no minute in it is taken."""
    ten = at(f"{MONDAY} 10:00")
    plan = worked_out(
        [timed(f"event {start} {long}", ten + timedelta(minutes=start), long, persons=("ines",))
         for start, long in times],
        config(planning={"buffer_minutes": buffer}),
    )  # fmt: skip
    spans = sorted((start, start + long) for start, long in times if long)
    wanted = []
    for one, other in combinations(spans, 2):
        common = set(range(*one)) & set(range(*other))
        if common:
            wanted.append(("clash", min(common), len(common)))
    for end in {span[1] for span in spans}:
        later = [span[0] for span in spans if span[0] >= end]
        if not later:
            continue
        gap = min(later) - end
        over = any(span[0] < end < span[1] for span in spans)
        if gap < max(buffer, 1) and not over:
            wanted.append(("tight" if gap else "touching", end, gap))
    found = [
        (one.kind.value, int((one.at - ten).total_seconds() // 60), one.minutes)
        for one in plan.clashes
    ]
    assert sorted(found) == sorted(wanted)


def test_of_very_many_at_once_each_is_told_with_a_few() -> None:
    """Forty at one moment: not all 780 pairs, and none is left out."""
    events = [event(f"event {number}", "10:00", 60 + number) for number in range(40)]
    clashes = worked_out(events).clashes
    assert len(clashes) < 4 * 40
    names = {end.title for one in clashes for end in (one.first, one.second)}
    assert names == {one.title for one in events}


WORK = config(areas=[{**area, "work": area["id"] == "stall"} for area in CONFIG["areas"]])


def minutes_worked(events: list[Occurrence], week: IsoWeek = W12) -> dict[str, int]:
    """The minutes each person works."""
    return {one.person: one.minutes for one in worked_out(events, WORK, week).worked}


def test_only_engagements_of_work_areas_are_worked() -> None:
    """What overlaps is counted once, the way not at all, and who works nothing is not there."""
    events = [
        event("stall", "08:00", 240, area="stall", travel_minutes=30),
        event("meeting", "11:00", 90, area="stall"),
        event("lunch", "12:30", area="home"),
        event("lent a hand", "09:00", area="stall", busy=False),
        event("fair", "09:00", area="home", persons=("dov",)),
    ]
    assert minutes_worked(events) == {"ines": 270}


@pytest.mark.parametrize(
    ("start", "end", "minutes"),
    [
        ("2027-03-27 19:00", "2027-03-28 07:00", 11 * 60),
        ("2027-10-30 19:00", "2027-10-31 07:00", 13 * 60),
        ("2027-03-21 19:00", "2027-03-22 07:00", 7 * 60),
        ("2027-03-28 19:00", "2027-03-29 07:00", 5 * 60),
    ],
)
def test_a_night_has_its_exact_length(start: str, end: str, minutes: int) -> None:
    """An hour less or more as the clocks change; at the edges only what lies in the week."""
    begins, ends = at(start), at(end)
    long = int(ends.timestamp() - begins.timestamp()) // 60
    night = timed("night", begins, long, area="stall", persons=("dov",))
    week = IsoWeek(2027, 43) if start.startswith("2027-10") else W12
    assert minutes_worked([night], week) == {"dov": minutes}
