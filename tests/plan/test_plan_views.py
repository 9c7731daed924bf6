"""What the views take out of a week's plan: held against a plan that has everything twice."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass, replace
from datetime import date
from typing import Any

import pytest

from tests.support.plans import NOW, at, planner
from weeksync.message import message
from weeksync.model.engagement import (
    Clash,
    ClashKind,
    Engagement,
    HandOver,
    SleepWindow,
    Worked,
)
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.snapshot import LineKind, SnapshotLine
from weeksync.model.spread import PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import (
    Attendance,
    BusinessWeek,
    Carried,
    Change,
    ChangeKind,
    ComingUp,
    DayLoad,
    Gap,
    LessonTally,
    LighterDays,
    LowestBalance,
    PartLoad,
    Piece,
    Proposal,
    ProposedBreak,
    ProposedHabit,
    ProposedPriority,
    ProposedTask,
    Standing,
    UnassignedTask,
    WeekPlan,
)
from weeksync.plan import views
from weeksync.plan.record_plan import plan_record

DAY = date(2027, 3, 24)
NINE, TEN = at("2027-03-24 09:00"), at("2027-03-24 10:00")
SECRET = "zx-secret"
"""Stands wherever a reserved record has words of its own."""
AMOUNT = 98_765


def engagement(title: str, only_for: tuple[str, ...], person: str = "ines") -> Engagement:
    """An hour of a person in the area `home`."""
    return Engagement(person, title, NINE, TEN, NINE, TEN, area="home", only_for=only_for)


def records(title: str, only_for: tuple[str, ...]) -> WeekPlan:
    """A plan with one record of each kind, of Ines, in the area `home` where it has one."""
    first, second = engagement(title, only_for), engagement("x", (), "dov")
    words, item = message("{title}", title=title), (title, only_for)
    line = SnapshotLine(kind=LineKind.EVENT, key=title, day=DAY, title=title, only_for=only_for)
    piece = Piece(NINE, TEN, DayPart.MORNING)
    bill = MoneyItem(MoneyKind.BILL, title, title, DAY, DAY, AMOUNT, "GBP", only_for=only_for)
    return WeekPlan(
        loads=(
            DayLoad("ines", DAY, 600, 360, 400, (PartLoad(DayPart.MORNING, 180, 60),),
                    (Gap(NINE, TEN, DayPart.MORNING),), (title,), 2),
        ),
        unassigned=(UnassignedTask("nobody's", "Nobody's", DAY, 30),),
        clashes=(
            Clash(ClashKind.CLASH, "ines", DAY, NINE, 10, first, second._replace(person="ines"),
                  only_for),
        ),
        hand_overs=(HandOver(DAY, NINE, 0, second, first, only_for),),
        worked=(Worked("ines", 60),),
        sleep=(SleepWindow("ines", DAY, NINE, first, 7.5, words, only_for, 300),),
        proposal=Proposal(
            NOW,
            (
                ProposedTask(title, title, "ines", Standing.LATE, words, 60, due=DAY,
                             pieces=(piece,), only_for=only_for),
            ),
            (ProposedPriority(DAY, title, title, words, ("ines",), only_for),),
            (ProposedHabit(title, title, "ines", (DAY,), words, DayPart.EVENING, only_for),),
            (ProposedBreak("ines", NINE, 10, title, words, only_for),),
            1,
        ),
        carried=(Carried(title, title, 3, True, ("ines",), only_for),),
        lighter=(
            LighterDays("ines", DAY, DAY, "zx-why", (title,), (("art", DAY),), (bill,), (title,),
                        (item,) if only_for else ()),
        ),
        balances=(LowestBalance(title, "GBP", DAY, DAY, DAY, AMOUNT, only_for, DAY),),
        business=(BusinessWeek("GBP", AMOUNT, AMOUNT, only_for=only_for),),
        lessons=(LessonTally("pell", "Art", "spring", 3, 2, 1, 0),),
        attendance=(Attendance("pell", "spring", 3, 2, 1),),
        coming_up=(ComingUp(DAY, DAY, title, title, ("ines",), "home", title, only_for),),
        confirmed=NOW,
        changes=(
            Change(ChangeKind.MOVED, DAY, title, title, title, ("ines",), None, only_for, line,
                   line),
        ),
    )  # fmt: skip


def spread(*plans: WeekPlan) -> Spread:
    """A week with the records of several plans in one; its tasks are those of the plans."""
    made: dict[str, Any] = {"confirmed": NOW}
    for field in fields(WeekPlan):
        if field.name not in {"confirmed", "proposal"}:
            made[field.name] = tuple(x for one in plans for x in getattr(one, field.name))
    proposals = [one.proposal for one in plans if one.proposal is not None]
    tasks = ("tasks", "priorities", "habits", "breaks")
    proposal: dict[str, Any] = {
        name: tuple(x for one in proposals for x in getattr(one, name)) for name in tasks
    }
    whole = planner().week(IsoWeek(2027, 12))
    stood = tuple(
        PlanTask(one.task, one.title, persons=("ines",), area="home", only_for=one.only_for)
        for one in proposal["tasks"]
    )
    days = (replace(whole.days[0], tasks=stood), *whole.days[1:])
    late = len(proposal["tasks"])
    plan = WeekPlan(**made, proposal=Proposal(NOW, **proposal, late=late))
    return replace(whole, days=days, plan=plan)


BOTH = spread(records("Open", ()), records(SECRET, ("ines",)))


def plan_of(shown: Spread) -> WeekPlan:
    """The plan of a spread."""
    assert shown.plan is not None
    return shown.plan


def as_json(plan: WeekPlan) -> str:
    """The plan as one text."""
    return json.dumps(plan_record(plan))


def test_the_sample_has_everything_there_is() -> None:
    """So a field that is added later has to be thought of here and in the views."""
    plan = plan_of(BOTH)
    assert plan.proposal is not None
    for holder in (plan, plan.proposal):
        for field in fields(holder):
            value = getattr(holder, field.name)
            assert value, field.name
            if isinstance(value, tuple) and hasattr(value[0], "only_for"):
                assert {bool(one.only_for) for one in value} == {True, False}, field.name
    assert as_json(plan).count(SECRET) > 30


def test_the_common_view_has_nothing_reserved() -> None:
    """No name, no amount, no reason of a lighter week, no bedtime, no moment that one is free."""
    plan = plan_of(views.common(BOTH))
    text = as_json(plan)
    for hidden in (SECRET, str(AMOUNT), "zx-why"):
        assert hidden not in text
    assert (plan.sleep, plan.balances, plan.business) == ((), (), ())
    assert all(one.gaps == () for one in plan.loads)


def test_the_common_view_keeps_the_rest() -> None:
    """Every other list still has its open record, and the late are counted again."""
    plan = plan_of(views.common(BOTH))
    emptied = {field.name for field in fields(plan) if not getattr(plan, field.name)}
    assert emptied == {"sleep", "balances", "business"}
    assert plan.proposal is not None
    assert (len(plan.proposal.tasks), plan.proposal.late) == (1, 1)
    assert all(len(getattr(plan.proposal, name)) == 1 for name in
               ("priorities", "habits", "breaks"))  # fmt: skip
    assert [one.free for one in plan.loads] == [600, 600]
    assert plan.loads[0].to_move == ("Open",)
    assert plan.loads[1].to_move == ()


@pytest.mark.parametrize(
    ("first", "second", "overlap", "wanted"),
    [((), (), 2, 2), ((), ("ines",), 3, 2), (("ines",), ("ines",), 2, 1)],
)
def test_an_overlap_does_not_tell_of_a_reserved_clash(
    first: tuple[str, ...], second: tuple[str, ...], overlap: int, wanted: int
) -> None:
    """On the common page two at once are told of only where one of the clashes shown is it."""
    plans = [records("one", first), records("two", second)]
    plans = [replace(one, loads=(replace(one.loads[0], overlap=overlap),)) for one in plans]
    plan = plan_of(views.common(spread(*plans)))
    assert {one.overlap for one in plan.loads} == {wanted}


def test_a_person_sees_their_own() -> None:
    """Ines sees both records of everything, those of children apart."""
    plan = plan_of(views.for_person(BOTH, "ines"))
    whole = plan_of(BOTH)
    gone = {"lessons", "attendance", "balances", "business"}
    for field in fields(plan):
        if field.name not in gone:
            assert getattr(plan, field.name) == getattr(whole, field.name), field.name
    assert (plan.lessons, plan.attendance) == ((), ())
    assert [one.account for one in plan.balances] == ["Open", SECRET]
    assert [one.only_for for one in plan.business] == [("ines",)], "the sum that tells most"


def test_another_person_does_not() -> None:
    """Dov sees the hand-over that is his, and sums of the household; nothing that is hers."""
    plan = plan_of(views.for_person(BOTH, "dov"))
    assert SECRET not in as_json(plan)
    left = {field.name for field in fields(plan) if getattr(plan, field.name)}
    assert left == {"unassigned", "hand_overs", "proposal", "balances", "business", "confirmed"}
    assert plan.proposal == Proposal(NOW)
    assert len(plan.hand_overs) == 1


def test_a_child_sees_their_lessons() -> None:
    """And nothing of a grown-up's day."""
    plan = plan_of(views.for_person(BOTH, "pell"))
    assert (len(plan.lessons), len(plan.attendance)) == (2, 2)
    assert (plan.loads, plan.worked, plan.sleep, plan.hand_overs) == ((), (), (), ())


def test_an_area_has_what_serves_it() -> None:
    """Clashes, tasks and what comes up; loads and sums have no area."""
    home, stall = (plan_of(views.for_area(BOTH, area)) for area in ("home", "stall"))
    left = {field.name for field in fields(home) if getattr(home, field.name)}
    assert left == {"clashes", "hand_overs", "proposal", "carried", "coming_up"}
    assert home.proposal is not None
    assert home.proposal.late == 2
    assert stall == WeekPlan(proposal=Proposal(NOW))


@pytest.mark.parametrize("person", ["ines", "dov", "pell"])
def test_views_of_views(person: str) -> None:
    """Filtering twice takes out nothing more, and a span that is no week has no plan."""
    once = views.for_person(BOTH, person)
    assert views.for_person(once, person) == once
    assert views.common(views.common(BOTH)) == views.common(BOTH)
    span = planner().span(DAY, DAY)
    assert [views.common(span).plan, views.for_person(span, person).plan] == [None, None]
    assert views.for_area(span, "home").plan is None


def test_every_record_of_a_plan_is_written_with_all_its_fields() -> None:
    """Nothing that is worked out stays out of the record."""

    def check(thing: Any, written: Any) -> None:
        if isinstance(thing, MoneyItem) or not (is_dataclass(thing) or hasattr(thing, "_fields")):
            return
        names = getattr(thing, "_fields", None) or [one.name for one in fields(thing)]
        for name in names:
            assert name in written, f"{type(thing).__name__}.{name}"
            value = getattr(thing, name)
            if isinstance(value, tuple) and value and not hasattr(value, "_fields"):
                check(value[0], written[name][0])
            else:
                check(value, written[name])

    plan = plan_of(BOTH)
    written = plan_record(plan)
    assert written is not None
    check(replace(plan, proposal=None), written)
    check(plan.proposal, written["proposal"])
    assert written["loads"][0]["over"] == 40
    assert written["lighter"][1]["lessons"] == [{"lesson": "art", "day": "2027-03-24"}]
    assert written["lighter"][1]["reserved"] == [{"id": SECRET, "only_for": ["ines"]}]
