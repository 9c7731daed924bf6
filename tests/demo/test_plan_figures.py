"""The figures of the planned week: clashes, free minutes, caps, gaps, hours worked.

`expected.json` was worked out without this project, from the four feeds and nine tasks alone:
here with the household reduced to them, and again with the whole household, whose routines lie
outside the planning hours of Ines.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from weeksync import demo
from weeksync.model.engagement import ClashKind
from weeksync.model.spread import Spread
from weeksync.model.week_plan import DayLoad, WeekPlan
from weeksync.workflow import Context, open_store, shown
from weeksync.workflow.pull import pull

EXPECTED: dict[str, Any] = json.loads((Path(__file__).parent / "expected.json").read_text("utf-8"))


@pytest.fixture(scope="module", params=["the four feeds", "the whole household"])
def week(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Spread:
    """2027-W12, of the feeds alone and of everything."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "household")
    if request.param == "the four feeds":
        for name in ("appointments", "routines", "habits", "money", "terms"):
            (home / f"{name}.toml").unlink()
        for file in (home / "weeks").iterdir():
            file.unlink()
    context = Context.read(home, demo.NOW)
    with open_store(context) as store:
        pull(context, store)
    return shown(context, "2027-W12")[0]


@pytest.fixture(scope="module")
def plan(week: Spread) -> WeekPlan:
    """What is worked out about it."""
    assert week.plan is not None
    return week.plan


@pytest.fixture(scope="module")
def loads(plan: WeekPlan) -> list[tuple[str, DayLoad]]:
    """The loads of Ines, each with its day as `Mon 22`."""
    return [(f"{one.day:%a %d}", one) for one in plan.loads if one.person == "ines"]


def clash_list(plan: WeekPlan, person: str) -> list[tuple[str, str, str, int]]:
    """The clashes of a person as the list of figures has them."""
    return [
        (one.first.title, one.second.title, f"{one.at:%a %H:%M}", one.minutes)
        for one in plan.clashes
        if one.kind is ClashKind.CLASH and one.person == person
    ]


def test_the_clashes_of_ines(plan: WeekPlan) -> None:
    """Exactly three, with where each overlap begins and how long it is."""
    found = clash_list(plan, "ines")
    assert len(found) == len(EXPECTED["conflicts_ines"]) == 3
    for one, wanted in zip(found, EXPECTED["conflicts_ines"], strict=True):
        assert one[0].startswith(wanted[0])  # the feed's title says more than the list
        assert list(one[1:]) == wanted[1:]


def test_the_clashes_of_dov(plan: WeekPlan) -> None:
    """None, and nothing that is tight or touches."""
    assert clash_list(plan, "dov") == EXPECTED["conflicts_dov"] == []
    assert [one for one in plan.clashes if one.person == "dov"] == []


def test_one_hand_over_has_no_slack(plan: WeekPlan) -> None:
    """Thursday 19:00: Dov's shift ends as the meeting of Ines begins, and nobody else is there."""
    (one,) = plan.hand_overs
    assert f"{one.at:%a %H:%M}" == "Thu 19:00"
    assert (one.first.person, one.second.person, one.minutes) == ("dov", "ines", 0)
    assert (one.first.title, one.second.title) == ("Dov day shift", "Traders meeting")


def test_the_free_minutes_of_ines(loads: list[tuple[str, DayLoad]]) -> None:
    """From 8 to 20 o'clock, Monday to Sunday, buffers not taken off."""
    wanted = {day: one["free_min"] for day, one in EXPECTED["ines_free_08_20"].items()}
    assert {day: one.free for day, one in loads} == wanted


def test_the_share_that_may_be_planned(loads: list[tuple[str, DayLoad]]) -> None:
    """60 percent of the free minutes of each day."""
    wanted = {day: one["plan_60pct_min"] for day, one in EXPECTED["ines_free_08_20"].items()}
    assert {day: one.plannable for day, one in loads} == wanted
    assert [one.plannable for _, one in loads] == EXPECTED["tasks"]["capacity_min_by_day"]


def runs(load: DayLoad, least: int) -> Iterator[str]:
    """The gaps of a day over its parts, of so many minutes or more, as `08:00-10:00`."""
    joined: list[tuple[datetime, datetime]] = []
    for gap in load.gaps:
        if joined and joined[-1][1] == gap.start:
            joined[-1] = (joined[-1][0], gap.end)
        else:
            joined.append((gap.start, gap.end))
    for start, end in joined:
        if (end - start).total_seconds() >= least * 60:
            yield f"{start:%H:%M}-{end:%H:%M}"


def test_the_gaps_of_ninety_minutes_and_more(tmp_path: Path) -> None:
    """Without a buffer the gaps are the free stretches themselves."""
    home = demo.copy_to(tmp_path / "household")
    settings = home / "config.toml"
    text = settings.read_text("utf-8")
    settings.write_text(text.replace("[planning]", "[planning]\nbuffer_minutes = 0", 1), "utf-8")
    context = Context.read(home, demo.NOW)
    with open_store(context) as store:
        pull(context, store)
    plan = shown(context, "2027-W12")[0].plan
    assert plan is not None
    found = {f"{one.day:%a %d}": list(runs(one, 90)) for one in plan.loads if one.person == "ines"}
    assert found == {day: one["gaps>=90"] for day, one in EXPECTED["ines_free_08_20"].items()}


def test_a_buffer_is_kept_to_each_engagement(loads: list[tuple[str, DayLoad]]) -> None:
    """Ten minutes at the optician's side and at the call's, none at the edge of the hours."""
    monday = loads[0][1]
    assert list(runs(monday, 1)) == ["08:00-09:50", "11:25-20:00"]


def test_hours_worked(plan: WeekPlan) -> None:
    """Dov 47 hours: four shifts of 12, less the hour that the night to Sunday does not have.

    Ines: the stall from 7:30 to 13:30 and the traders' meeting of an hour and a half.
    """
    hours = {one.person: one.minutes / 60 for one in plan.worked}
    assert hours == {"ines": 7.5, "dov": EXPECTED["dov_shift_hours_W12"]}
    assert hours["dov"] == 47


def test_engagements_overlap_at_most_twice(loads: list[tuple[str, DayLoad]]) -> None:
    """On the three days with a clash two at once, one at most on the others but the free Friday."""
    assert [one.overlap for _, one in loads] == [2, 2, 1, 1, 0, 2, 1]


def test_the_day_after_a_night_begins_later(week: Spread) -> None:
    """Dov's bedtime after the night of Friday: seven hours and one to get ready before 19:00.

    None after his last night, since nothing follows on Sunday; 23:00 before each day shift at 7.
    """
    assert week.plan is not None
    found = {f"{one.day:%a}": f"{one.bedtime:%a %H:%M}" for one in week.plan.sleep
             if one.person == "dov"}  # fmt: skip
    assert found == {"Tue": "Tue 23:00", "Wed": "Wed 23:00", "Fri": "Sat 11:00"}


def test_an_hour_less_in_the_night_of_the_clock_change(week: Spread) -> None:
    """Ines on Saturday: breakfast is at 7:00 as ever, and bed an hour earlier for the same sleep.

    Without routines the call at 18:30 is the first thing on Sunday, and asks for no bedtime.
    """
    assert week.plan is not None
    found = {f"{one.day:%a}": f"{one.bedtime:%H:%M}" for one in week.plan.sleep
             if one.person == "ines"}  # fmt: skip
    if len(found) == 7:
        assert (found["Fri"], found["Sat"]) == ("22:30", "21:30")
    else:
        assert "Sat" not in found
        assert found["Fri"] == "23:00"  # the stall at 7:30
