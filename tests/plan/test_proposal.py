"""The proposed week, from tasks and days made by hand. Monday is 22 March 2027."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.loads import load, loads, moment
from tests.support.plans import EXPECTED, LONDON
from weeksync.model.config import Planning
from weeksync.model.fields import DayPart
from weeksync.model.spread import PlanTask, Priority
from weeksync.model.week_plan import DayLoad, Piece, Proposal, ProposedTask, Standing
from weeksync.plan import reasons
from weeksync.plan.proposal import moves, propose
from weeksync.plan.week_rooms import Setting
from weeksync.plan.week_tasks import Asked

DAYS = tuple(date(2027, 3, day) for day in range(22, 29))
MON, TUE, WED, THU, FRI, SAT, SUN = DAYS
MIDNIGHT = datetime(2027, 3, 22, tzinfo=LONDON)


def task(title: str, estimate: int | None = 30, **keys: Any) -> PlanTask:
    """An open task of Ines whose id is its title."""
    return PlanTask(
        **({"id": title, "title": title, "persons": ("ines",)} | keys), estimate=estimate
    )


def put(title: str, day: date, estimate: int | None = 30, **keys: Any) -> PlanTask:
    """A task that was put on a day by choice."""
    return task(title, estimate, shown_on=day, chosen=True, **keys)


def asked(*tasks: PlanTask, today: date = MON, **keys: Any) -> Asked:
    """These tasks, asked for the week."""
    standing: dict[date, list[PlanTask]] = {}
    for one in tasks:
        if one.shown_on is not None or one.due is not None:
            standing.setdefault(one.shown_on or one.due or MON, []).append(one)
    given: dict[str, Any] = {
        "days": DAYS,
        "today": today,
        "until": SUN + timedelta(weeks=6),
        "standing": standing,
        "open_tasks": tasks,
        "priorities": {},
    }
    return Asked(**(given | keys))


def proposed(
    days: Sequence[DayLoad],
    *tasks: PlanTask,
    now: datetime = MIDNIGHT,
    planning: Mapping[str, Any] | None = None,
    confirmed: Mapping[str, Sequence[Piece]] | None = None,
    rests: Sequence[date] = (),
    **keys: Any,
) -> Proposal:
    """The proposal for these tasks on these days."""
    setting = Setting(
        now,
        LONDON,
        Planning(**(planning or {})),
        lambda person, day: day in rests,
        confirmed or {},
    )
    return propose(asked(*tasks, today=now.date(), **keys), days, setting)


def lines(proposal: Proposal) -> dict[str, str]:
    """Title → standing, pieces and reason in one line."""
    return {one.title: line(one) for one in proposal.tasks}


def line(one: ProposedTask) -> str:
    """A proposed task as `placed 22 08:00-09:00: why`."""
    times = "".join(f" {piece.start:%d %H:%M}-{piece.end:%H:%M}" for piece in one.pieces)
    return f"{one.standing.value}{times}: {one.reason}"


FREE = {
    MON: ("08:00-09:50", "11:25-20:00"),
    TUE: ("08:00-09:20", "12:25-20:00"),
    WED: ("08:00-09:20", "12:10-18:20"),
    THU: ("08:00-09:20", "12:10-18:50"),
    FRI: ("08:00-20:00",),
    SAT: ("13:40-20:00",),
    SUN: ("08:00-18:20", "19:25-20:00"),
}
"""What Ines's engagements of expected.json leave of 08:00 to 20:00 with ten minutes around each."""


def demo_week() -> tuple[list[DayLoad], list[PlanTask]]:
    """Her days with the minutes of expected.json, and its nine tasks."""
    figures = EXPECTED["tasks"]
    days = [
        load(day, *FREE[day], plannable=minutes)
        for day, minutes in zip(DAYS, figures["capacity_min_by_day"], strict=True)
    ]
    tasks = [
        task(title, minutes, due=date(2027, 3, int(due.split()[1])))
        for title, minutes, due in figures["tasks"]
    ]
    return days, tasks


def test_the_nine_tasks_of_the_demo() -> None:
    """Only the sales sheet is late; all others have a time before they are due, with the reason."""
    days, tasks = demo_week()
    found = proposed(days, *tasks)
    assert found.late == EXPECTED["tasks"]["late_count"]
    late = [one.title for one in found.tasks if one.standing is Standing.LATE]
    assert late == EXPECTED["tasks"]["moore_hodgson_late"]
    for one in found.tasks:
        assert one.pieces
        if one.title not in late:
            assert one.due is not None
            assert one.standing is Standing.PLACED
            assert one.pieces[-1].end.date() <= one.due
    shown = lines(found)
    assert shown["Term report Juno"] == (
        "placed 24 12:10-16:10: due 2027-03-24: 240 of 288 plannable minutes"
    )
    assert shown["VAT-style sales sheet"] == (
        "late 26 09:30-14:30: 162 plannable minutes are missing until 2027-03-23; "
        "it fits on 2027-03-26"
    )


def test_nobody_is_in_two_places() -> None:
    """No two pieces of the demo's week overlap, and each day keeps its minutes."""
    days, tasks = demo_week()
    pieces = sorted(
        (piece.start, piece.end) for one in proposed(days, *tasks).tasks for piece in one.pieces
    )
    assert all(first[1] <= second[0] for first, second in pairwise(pieces))
    for one in days:
        used = sum((end - start).seconds // 60 for start, end in pieces if start.date() == one.day)
        assert used <= one.plannable


def test_what_was_chosen_stays_and_takes_its_minutes_first() -> None:
    """At its time, or in a gap of its day and part; others go around it."""
    found = proposed(
        loads(DAYS, "08:00-10:00"),
        put("fixed", MON, 60, start=time(8, 30)),
        put("some", MON, 30),
        task("open", 30, due=MON),
        task("other", 30, due=MON),
    )
    assert lines(found) == {
        "some": "chosen 22 08:00-08:30: chosen for 2027-03-22",
        "fixed": "chosen 22 08:30-09:30: chosen for 2027-03-22",
        "open": "placed 22 09:30-10:00: due 2027-03-22: 30 of 120 plannable minutes",
        "other": "late 23 08:00-08:30: 30 plannable minutes are missing until 2027-03-22; "
        "it fits on 2027-03-23",
    }


def test_a_priority_is_chosen_for_its_day() -> None:
    """Though it stands on none; one of a later week is left alone."""
    wanted = {"sort": TUE, "later": SUN + timedelta(days=3)}
    found = proposed(
        loads(DAYS, "08:00-10:00"),
        task("sort", due=FRI),
        task("later"),
        wanted_on=wanted.get,
    )
    assert lines(found) == {"sort": "chosen 23 08:00-08:30: a priority of 2027-03-23"}


def test_put_on_two_days() -> None:
    """It is one task with the minutes of both."""
    first, second = put("sheet", TUE, 300, minutes=90), put("sheet", THU, 300, minutes=60)
    found = proposed(loads(DAYS, "08:00-20:00"), second, standing={TUE: [first], THU: [second]})
    (one,) = found.tasks
    assert [piece.start.day for piece in one.pieces] == [23, 25]
    assert one.minutes == 150


def test_left_over_from_a_day_that_is_over() -> None:
    """What was said of the day before yesterday holds no more, and the task is proposed again."""
    old = put("sheet", MON, 60, minutes=20, start=time(19), part=DayPart.EVENING)
    found = proposed(
        loads(DAYS, "08:00-20:00"),
        old,
        now=moment(WED, 7 * 60),
        find={"sheet": task("sheet", 60)}.get,
    )
    assert lines(found) == {
        "sheet": "placed 24 08:00-09:00: no due date: 60 of 720 plannable minutes"
    }


def test_on_another_day_by_choice_it_is_no_matter_of_this_week() -> None:
    """Put on next week's Tuesday; not to be begun before next week; found a place earlier."""
    found = proposed(
        loads(DAYS, "08:00-20:00"),
        put("next", SUN + timedelta(days=2)),
        task("closed", not_before=SUN + timedelta(days=1)),
        task("far", due=SUN + timedelta(weeks=8)),
        task("placed"),
        elsewhere={"placed"},
    )
    assert found.tasks == ()


def test_in_a_coming_week_what_is_due_before_it_is_late() -> None:
    """Where the weeks before had no room for it; what has a place in them is not asked again."""
    found = proposed(
        loads(DAYS, "08:00-20:00"),
        task("full", due=SUN - timedelta(weeks=1)),
        task("placed", due=SUN - timedelta(weeks=1)),
        now=moment(date(2027, 3, 18), 600),
        elsewhere={"placed"},
    )
    assert lines(found) == {
        "full": "late 22 08:00-08:30: to be done by 2027-03-21; it fits on 2027-03-22"
    }


def test_the_order_of_what_is_not_due_in_these_days() -> None:
    """By due date; without one by the own ranking, then by the weeks carried, then by title."""
    later = SUN + timedelta(days=9)
    tasks = [
        task("b"),
        task("a"),
        task("carried", carried=2),
        task("ranked", priority=2),
        task("dated later", due=later + timedelta(days=1)),
        task("dated", due=later),
    ]
    found = proposed([load(MON, "08:00-20:00")], *tasks)
    assert [one.title for one in found.tasks] == [
        "dated", "dated later", "ranked", "carried", "a", "b",
    ]  # fmt: skip


def test_without_an_estimate_the_usual_one_is_taken_and_said() -> None:
    """And `guessed` says so, too."""
    found = proposed(
        loads(DAYS, "08:00-10:00"),
        task("due", None, due=TUE),
        task("none", None),
        planning={"usual_estimate_minutes": 45},
    )
    assert lines(found) == {
        "due": "placed 22 08:00-08:45: due 2027-03-23: the usual 45 of 120 plannable minutes",
        "none": "placed 22 08:45-09:30: no due date: the usual 45 of 120 plannable minutes",
    }
    assert all(one.guessed for one in found.tasks)


def test_where_minutes_fit_and_no_gap_does() -> None:
    """Gaps of twenty minutes, or none in the evening: it stays without a place and says why."""
    found = proposed(
        [load(MON, "08:00-08:20", "09:00-09:20", "10:00-10:20")],
        task("form", 30, due=MON),
        task("song", 10, due=MON, part=DayPart.EVENING),
    )
    assert found.late == 0
    assert lines(found) == {
        "form": "unplaced: its 30 minutes fit, and no gap does",
        "song": "unplaced: its 10 minutes fit, and no gap of its day part does",
    }


def test_not_before_a_day() -> None:
    """It is kept where a task is placed, and told; the count of the fewest late knows none."""
    found = proposed(
        [load(MON, "08:00-09:00"), load(TUE, "08:00-08:40"), load(WED, "08:00-09:00")],
        task("open", 30, not_before=TUE, due=WED),
        task("long", 60, not_before=TUE, due=TUE),
        task("never", 30, not_before=SUN + timedelta(days=2), due=WED),
    )
    assert found.late == 0
    assert lines(found) == {
        "open": "placed 23 08:00-08:30: from 2027-03-23, due 2027-03-24: "
        "30 of 40 plannable minutes",
        "long": "unplaced: from 2027-03-23 on 10 plannable minutes are left until 2027-03-23",
        "never": "unplaced: cannot be begun before 2027-03-30",
    }


def test_lead_days_bring_the_due_date_forward() -> None:
    """A parcel due on Friday that takes three days is to be done by Tuesday."""
    found = proposed(
        loads(DAYS, "08:00-08:30"), task("parcel", due=FRI, lead_days=4), task("a", due=MON)
    )
    assert found.late == 1
    found = proposed(loads(DAYS, "08:00-08:30"), task("parcel", due=FRI, lead_days=3))
    assert lines(found) == {
        "parcel": "placed 22 08:00-08:30: due 2027-03-26, to be done by 2027-03-23: "
        "30 of 30 plannable minutes"
    }


def test_lead_days_of_a_task_without_an_estimate() -> None:
    """Both are told."""
    found = proposed(loads(DAYS, "08:00-08:30"), task("parcel", None, due=FRI, lead_days=3))
    assert str(found.tasks[0].reason) == (
        "due 2027-03-26, to be done by 2027-03-23: the usual 30 of 30 plannable minutes"
    )


def test_due_at_a_time() -> None:
    """A to-do due on Monday at nine cannot wait for the afternoon."""
    due = moment(MON, 9 * 60)
    days = [load(MON, "08:30-09:00", "13:00-20:00")]
    found = proposed(days, task("form", 30, due=MON, due_at=due), task("call", 30, due=MON))
    assert lines(found)["form"].startswith("placed 22 08:30-09:00")
    assert lines(found)["call"].startswith("placed 22 13:00-13:30")


def test_what_waits_is_listed_as_waiting() -> None:
    """It is placed nowhere and takes nobody's minutes."""
    found = proposed(
        [load(MON, "08:00-08:30")],
        task("parcel", due=MON, waits_for="Juno's drawing"),
        task("call", due=MON),
    )
    assert found.late == 0
    assert lines(found)["parcel"] == "unplaced: waits for: Juno's drawing"
    assert lines(found)["call"].startswith("placed")


def test_overdue_ones_are_late_and_come_as_soon_as_there_is_room() -> None:
    """After those that can still be in time, before those that have no date."""
    found = proposed(
        [load(WED, "08:00-09:00"), load(THU, "08:00-08:30")],
        task("overdue", due=MON),
        task("today", due=WED),
        task("undated"),
        task("old", due=TUE),
        now=moment(WED, 7 * 60),
    )
    assert found.late == 2
    assert lines(found) == {
        "today": "placed 24 08:00-08:30: due 2027-03-24: 30 of 60 plannable minutes",
        "overdue": "late 24 08:30-09:00: to be done by 2027-03-22; it fits on 2027-03-24",
        "old": "late 25 08:00-08:30: to be done by 2027-03-23; it fits on 2027-03-25",
        "undated": "unplaced: no due date, and 0 plannable minutes are left",
    }


def test_days_that_are_full() -> None:
    """Late, overdue or not due yet: each says how little is left."""
    found = proposed(
        [load(WED, "08:00-08:30")],
        task("old", 60, due=MON),
        task("now", 60, due=WED),
        task("later", 60, due=SUN + timedelta(days=5)),
        now=moment(WED, 7 * 60),
    )
    assert lines(found) == {
        "old": "late: to be done by 2027-03-22, and these days are full",
        "now": "late: 30 plannable minutes are missing until 2027-03-24",
        "later": "unplaced: due 2027-04-02, and 30 plannable minutes are left here",
    }


def test_one_minute_is_singular() -> None:
    """Of what is left, missing, or fits."""
    found = [
        reasons.full(task("open"), 1),
        reasons.late(task("open", due=WED), 1, None, MON),
        reasons.no_gap(1, part=False),
    ]
    assert [str(one) for one in found] == [
        "no due date, and 1 plannable minute is left",
        "1 plannable minute is missing until 2027-03-24",
        "its 1 minute fits, and no gap does",
    ]


def test_bits_where_that_puts_more_in_time() -> None:
    """Whole on one day is preferred only as long as nothing else loses its place for it."""
    days = [load(MON, "08:00-08:50"), load(TUE, "08:00-09:00")]
    long = task("long", 60, due=TUE, priority=1)
    assert [len(one.pieces) for one in proposed(days, long).tasks] == [1]
    found = proposed(days, long, task("short", 30, due=TUE, not_before=TUE))
    assert found.late == 0
    assert {one.title: len(one.pieces) for one in found.tasks} == {"long": 2, "short": 1}


def test_a_child_s_task_that_was_chosen_takes_nobody_s_minutes() -> None:
    """It stays where it is, without a time."""
    found = proposed([load(MON, "08:00-08:30")], put("form", MON, persons=("pell",)), task("a"))
    assert lines(found)["form"] == "chosen: chosen for 2027-03-22"
    assert lines(found)["a"].startswith("placed")


def test_whose_time_it_takes() -> None:
    """The person's; of several, or where nobody is named, who has most left before it is due."""
    days = [*loads(DAYS, "08:00-09:00"), *loads(DAYS, "08:00-12:00", person="dov")]
    found = proposed(
        days,
        task("hers", due=MON),
        task("either", due=MON, persons=("ines", "dov")),
        task("nobody's", due=MON, persons=()),
        task("secret", due=MON, persons=(), only_for=("ines",)),
        task("a child's", due=MON, persons=("pell",)),
    )
    assert {one.title: one.person for one in found.tasks} == {
        "hers": "ines",
        "either": "dov",
        "nobody's": "dov",
        "secret": "ines",
        "a child's": "pell",
    }
    assert lines(found)["a child's"] == "unplaced: nobody whose days are planned is named for it"


def test_what_several_chose_takes_the_time_of_each() -> None:
    """An hour of both at eight: neither has it left for anything else, as their loads say."""
    days = [*loads((MON,), "08:00-09:00"), *loads((MON,), "08:00-09:00", person="dov")]
    both = put("both", MON, 60, persons=("ines", "dov"))
    found = proposed(days, both, task("hers", due=MON), task("his", due=MON, persons=("dov",)))
    assert [one.title for one in found.tasks if one.pieces] == ["both"]
    assert found.late == 2


def test_work_is_shared_out() -> None:
    """What was given to one counts when the next is given."""
    days = [*loads((MON,), "08:00-10:00"), *loads((MON,), "08:00-09:00", person="dov")]
    found = proposed(days, *(task(name, 60, due=MON, persons=()) for name in "abc"))
    assert found.late == 0
    assert sorted(one.person for one in found.tasks) == ["dov", "ines", "ines"]


def test_nothing_is_proposed_on_lighter_days() -> None:
    """What was chosen for them stays."""
    found = proposed(
        loads(DAYS, "08:00-10:00"), put("chosen", MON), task("open", due=TUE), rests=(MON,)
    )
    assert lines(found)["chosen"].startswith("chosen 22")
    assert lines(found)["open"].startswith("placed 23")


def test_further_due_dates_of_what_repeats_take_their_minutes() -> None:
    """The first open one is placed; the others stay on their days."""
    first = task("water", 60, due=MON, shown_on=MON)
    second = task("water", 60, due=TUE, shown_on=TUE)
    found = proposed(
        loads((MON, TUE), "08:00-09:00"),
        first,
        task("open", 60, due=TUE),
        standing={MON: [first], TUE: [second]},
    )
    assert lines(found)["water"].startswith("placed 22")
    assert lines(found)["open"].startswith("late:")
    assert len(found.tasks) == 2


def test_re_planned_from_now() -> None:
    """Only what remains of today and the days after it; nothing of what has passed."""
    found = proposed(
        loads(DAYS, "08:00-10:00"), task("open", due=WED), task("b", due=THU), now=moment(WED, 570)
    )
    assert lines(found)["open"].startswith("placed 24 09:30-10:00")
    assert lines(found)["b"].startswith("placed 25 08:00-08:30")


def test_what_was_confirmed_stays_where_its_time_is_still_free() -> None:
    """Differences are only what has to move, what is new, and what has no place any more."""
    days = loads((MON, TUE), "08:00-09:00")
    at = {
        "kept": (Piece(moment(TUE, 500), moment(TUE, 530), DayPart.MORNING),),
        "moved": (Piece(moment(MON, 600), moment(MON, 630), DayPart.MORNING),),
        "gone": (Piece(moment(MON, 480), moment(MON, 510), DayPart.MORNING),),
    }
    found = proposed(
        days,
        task("kept", due=TUE),
        task("moved", due=TUE),
        task("new", due=MON),
        task("gone", due=TUE, waits_for="glue"),
        put("chosen", TUE, 10),
        confirmed=at,
    )
    assert lines(found)["kept"] == (
        "placed 23 08:20-08:50: as it stood when the week was confirmed"
    )
    made = {one.task: one for one in moves(found, at)}
    assert set(made) == {"moved", "new", "gone"}
    assert made["moved"].before == at["moved"]
    assert [piece.start for piece in made["moved"].after] == [moment(MON, 510)]
    assert made["new"].before == ()
    assert made["gone"].after == ()


def test_what_is_under_way_stays_where_it_is() -> None:
    """In the middle of a confirmed hour nothing is moved, and nothing told as a difference."""
    at = {"open": (Piece(moment(MON, 480), moment(MON, 540), DayPart.MORNING),)}
    days = [load(MON, "08:00-20:00")]
    found = proposed(days, task("open", 60), now=moment(MON, 510), confirmed=at)
    assert lines(found)["open"].startswith("placed 22 08:00-09:00")
    assert moves(found, at) == ()


def test_what_is_nobodys_stays_with_who_is_free() -> None:
    """Confirmed or chosen for a time, it takes that of whose gap holds it, not of most room."""
    days = [load(MON, "08:00-20:00"), load(MON, "08:40-09:10", person="dov")]
    nobodys: dict[str, Any] = {"persons": ()}
    at = {"kept": (Piece(moment(MON, 520), moment(MON, 550), DayPart.MORNING),)}
    busy = put("busy", MON, 120, start=time(8))
    found = proposed(days, busy, task("kept", **nobodys), confirmed=at)
    assert {one.title: one.person for one in found.tasks} == {"busy": "ines", "kept": "dov"}
    found = proposed(days, put("kept", MON, start=time(8, 40), **nobodys), busy)
    assert {one.title: one.person for one in found.tasks} == {"busy": "ines", "kept": "dov"}


def test_no_gap_of_a_chosen_day() -> None:
    """What a person put on a day that does not hold it says so, a priority of it as well."""
    wish: dict[str, Any] = {"priorities": {TUE: (Priority("sort", "sort"),)},
            "wanted_on": {"sort": TUE}.get}  # fmt: skip
    days = loads((MON, TUE), "08:00-08:30")
    found = proposed(days, put("form", MON, 60), task("sort", 45), **wish)
    assert lines(found) == {
        "form": "chosen: chosen for 2027-03-22, and no gap of that day holds its 60 minutes",
        "sort": "chosen: a priority of 2027-03-23, and no gap of that day holds its 45 minutes",
    }


def test_lighter_days_say_so() -> None:
    """They are not full: nothing is proposed for them."""
    tasks = (task("old", due=MON), task("due", due=THU), task("plain"))
    found = proposed(
        loads(DAYS, "08:00-20:00"), *tasks, now=moment(WED, 480), rests=(WED, THU, FRI, SAT, SUN)
    )
    assert lines(found) == {
        "old": "late: to be done by 2027-03-22; for lighter days nothing is proposed",
        "due": "late: to be done by 2027-03-25; for lighter days nothing is proposed",
        "plain": "unplaced: for lighter days nothing is proposed",
    }


def test_to_be_done_before_it_can_be_begun() -> None:
    """It must be late, and has its time as soon as it can be begun."""
    found = proposed(loads(DAYS, "08:00-20:00"), task("form", due=THU, not_before=SAT))
    assert found.late == 1
    assert lines(found) == {
        "form": "late 27 08:00-08:30: to be done by 2027-03-25, "
        "and it cannot be begun before 2027-03-27"
    }


def test_what_is_over_is_no_difference() -> None:
    """A piece of this morning has been done or not; it is not moved."""
    at = {"open": (Piece(moment(MON, 480), moment(MON, 510), DayPart.MORNING),)}
    found = proposed([load(MON, "08:00-08:30")], task("open"), now=moment(MON, 720), confirmed=at)
    assert moves(found, at) == ()


def test_priorities_of_a_day() -> None:
    """To be done by then first, then the own ranking, then how long carried; with the reason."""
    found = proposed(
        [load(MON, "08:00-20:00")],
        task("plain"),
        task("carried", carried=2),
        task("ranked", priority=3),
        task("due", due=MON),
        put("chosen", MON, carried=1, priority=1),
        planning={"priorities_a_day": 4},
    )
    assert [(one.title, str(one.reason)) for one in found.priorities] == [
        ("due", "to be done by 2027-03-22"),
        ("chosen", "its own priority is 1"),
        ("ranked", "its own priority is 3"),
        ("carried", "carried 2 weeks"),
    ]


@pytest.mark.parametrize(("there", "wanted"), [(0, ["a", "b"]), (1, ["a"]), (2, []), (3, [])])
def test_priorities_that_are_there_are_counted(there: int, wanted: list[str]) -> None:
    """At most two a day; words of one's own count as well."""
    own = tuple(Priority(f"own {number}") for number in range(there))
    found = proposed(
        [load(MON, "08:00-20:00")],
        *(task(name, due=MON) for name in "abc"),
        priorities={MON: own},
    )
    assert [one.title for one in found.priorities] == wanted


def test_a_priority_once_and_not_while_it_waits() -> None:
    """A task in two pieces, one that is a priority already, one that waits."""
    long = [put("long", MON, 60, priority=1), put("long", TUE, 60, priority=1)]
    waiting = put("waiting", MON, priority=1, waits_for="glue")
    already = put("already", TUE, priority=1)
    found = proposed(
        loads((MON, TUE), "08:00-20:00"),
        long[1],
        waiting,
        already,
        standing={MON: [long[0], waiting], TUE: [long[1], already]},
        priorities={WED: (Priority("already", "already"),)},
    )
    assert [(one.day, one.title) for one in found.priorities] == [(MON, "long")]


def test_a_priority_of_a_day_that_is_over_can_be_one_again() -> None:
    """It was not done then."""
    late = task("report", due=TUE, priority=1)
    found = proposed(
        [load(WED, "08:00-20:00")],
        late,
        now=moment(WED, 420),
        priorities={TUE: (Priority("report", "report"),)},
    )
    assert [(one.day, one.title) for one in found.priorities] == [(WED, "report")]


def test_only_for_goes_with_the_task() -> None:
    """Whatever is proposed about it."""
    hidden = task("frame", due=MON, only_for=("ines",))
    found = proposed([load(MON, "08:00-20:00")], hidden)
    assert [one.only_for for one in found.tasks] == [("ines",)]
    assert [one.only_for for one in found.priorities] == [("ines",)]
    assert [one.only_for for one in moves(found, {})] == [("ines",)]


MINUTES = st.one_of(st.none(), st.integers(1, 150))
DAY = st.one_of(st.none(), st.sampled_from(DAYS))


@st.composite
def drawn_tasks(draw: st.DrawFn) -> list[PlanTask]:
    """A few open tasks of two people and of nobody, with days they are due and not before."""
    made = []
    for number in range(draw(st.integers(0, 9))):
        due, first = draw(DAY), draw(DAY)
        chosen = draw(st.booleans()) and draw(st.booleans())
        made.append(
            task(
                f"t{number}",
                draw(MINUTES),
                due=due,
                not_before=first,
                persons=draw(st.sampled_from([("ines",), ("dov",), (), ("ines", "dov")])),
                part=draw(st.sampled_from([None, None, *DayPart])),
                carried=draw(st.integers(0, 4)),
                priority=draw(st.sampled_from([None, 1, 5])),
                chosen=chosen,
                shown_on=draw(st.sampled_from(DAYS)) if chosen else due,
            )
        )
    return made


HOURS = ["08:00-09:00", "10:00-13:00", "15:00-15:20", "17:30-20:00"]
WEEK = st.lists(st.lists(st.sampled_from(HOURS), unique=True), min_size=7, max_size=7)


@given(drawn_tasks(), WEEK, WEEK, st.integers(20, 100), st.sampled_from(DAYS))
def test_whatever_there_is(
    tasks: list[PlanTask],
    hers: list[list[str]],
    his: list[list[str]],
    share: int,
    today: date,
) -> None:
    """Each task once; in gaps, apart, in time where it says so, within what can be planned."""
    days = []
    for person, week in (("ines", hers), ("dov", his)):
        for day, hours in zip(DAYS, week, strict=True):
            free = load(day, *sorted(hours), person=person)
            days.append(replace(free, plannable=free.plannable * share // 100))
    now = moment(today, 0)
    found = proposed(days, *tasks, now=now)
    assert len({one.task for one in found.tasks}) == len(found.tasks)
    known = {one.id: one for one in tasks}
    used: dict[tuple[str, date], list[tuple[float, float]]] = {}
    for one in found.tasks:
        plain = known[one.task]
        spans = [(piece.start.timestamp(), piece.end.timestamp()) for piece in one.pieces]
        assert sum(end - start for start, end in spans) in (0, one.minutes * 60)
        if one.standing is Standing.UNPLACED:
            assert not spans
        if one.standing is Standing.CHOSEN:
            assert plain.chosen
            continue
        for piece in one.pieces:
            assert piece.start >= now
            assert piece.start.date() >= (plain.not_before or DAYS[0])
            assert plain.part in (None, piece.part)
            assert (piece.end - piece.start).seconds >= min(25, one.minutes) * 60
            if one.standing is Standing.PLACED:
                assert plain.due is None or piece.start.date() <= plain.due
            used.setdefault((one.person, piece.start.date()), []).append(
                (piece.start.timestamp(), piece.end.timestamp())
            )
    for one_day in days:
        spans = sorted(used.get((one_day.person, one_day.day), []))
        assert all(first[1] <= second[0] for first, second in pairwise(spans))
        assert sum(end - start for start, end in spans) <= one_day.plannable * 60
    assert found.late == sum(one.standing is Standing.LATE for one in found.tasks)
    assert found == proposed(days, *reversed(tasks), now=now), "the order given does not matter"
