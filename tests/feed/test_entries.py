"""What stands in the feed of a plan, and as what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest

from weeksync.feed import Entry, entries, plan_ics
from weeksync.message import message
from weeksync.model.fields import DayPart, MarkKind
from weeksync.model.spread import (
    BreakItem,
    CellState,
    Day,
    HabitCell,
    HabitRow,
    PlanTask,
    Spread,
)
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import (
    Piece,
    Proposal,
    ProposedBreak,
    ProposedTask,
    Standing,
    WeekPlan,
)

LISBON = ZoneInfo("Europe/Lisbon")
MONDAY = date(2027, 3, 22)
WEEK = IsoWeek(2027, 12)
WHY = message("as it stood when the week was confirmed")


def day(number: int, tasks: Sequence[PlanTask] = (), breaks: Sequence[BreakItem] = ()) -> Day:
    """Day `number` of the week, from 0."""
    there = MONDAY + timedelta(days=number)
    return Day(there, WEEK, 1440, tasks=tuple(tasks), breaks=tuple(breaks))


def placed(name: str, *hours: int, standing: Standing = Standing.PLACED) -> ProposedTask:
    """A task proposed for these hours of Tuesday, UTC."""
    pieces = tuple(
        Piece(at, at + timedelta(minutes=30), DayPart.MORNING)
        for at in (datetime(2027, 3, 23, hour, tzinfo=UTC) for hour in hours)
    )
    return ProposedTask(name, name.title(), "ana", standing, WHY, 30, pieces=pieces)


def spread(*days: Day, proposal: Proposal | None = None, habits: Sequence[HabitRow] = ()) -> Spread:
    """A week with these days."""
    return Spread(WEEK, days, habits=tuple(habits), plan=WeekPlan(proposal=proposal))


def told(*spreads: Spread, today: date = MONDAY) -> tuple[Entry, ...]:
    """The entries without habits."""
    return entries(spreads, "ana", LISBON, today)


def test_a_task_with_a_time_has_its_minutes() -> None:
    """Those of its piece, else its estimate, else half an hour; in the zone of the household."""
    task = PlanTask("gate", "Mend the gate", shown_on=MONDAY, chosen=True, start=time(9, 30))
    (entry,) = told(spread(day(0, [replace(task, minutes=45, estimate=90)])))
    assert (entry.start, entry.end) == (
        datetime(2027, 3, 22, 9, 30, tzinfo=UTC),
        datetime(2027, 3, 22, 10, 15, tzinfo=UTC),
    )
    (other,) = told(spread(day(0, [replace(task, estimate=90)])))
    assert other.end == datetime(2027, 3, 22, 11, tzinfo=UTC)
    (usual,) = told(spread(day(0, [task])))
    assert usual.end == datetime(2027, 3, 22, 10, tzinfo=UTC)


def test_a_time_that_the_clocks_leave_out_is_read_with_the_offset_before() -> None:
    """RFC 5545 section 3.3.5; on 28 March 2027 01:30 does not exist in Lisbon (tzdata)."""
    task = PlanTask("gate", "Mend the gate", chosen=True, start=time(1, 30))
    (entry,) = told(spread(day(6, [task])))
    assert entry.start == datetime(2027, 3, 28, 1, 30, tzinfo=UTC)


def test_what_is_only_due_on_a_day_is_no_plan_and_what_is_done_is_gone() -> None:
    """Only what somebody put there, and is still to do."""
    due = PlanTask("tax", "Tax", shown_on=MONDAY)
    done = PlanTask("gate", "Gate", chosen=True, done=MONDAY)
    dropped = PlanTask("fence", "Fence", chosen=True, dropped=MONDAY)
    chosen = PlanTask("seeds", "Seeds", chosen=True)
    assert [one.title for one in told(spread(day(0, [due, done, dropped, chosen])))] == ["Seeds"]


def test_proposals_are_marked_as_such_and_chosen_tasks_come_once() -> None:
    """A proposal lists the chosen ones, too: they stand in the days already."""
    proposal = Proposal(
        datetime(2027, 3, 22, tzinfo=UTC),
        tasks=(placed("wash", 9, 14), placed("gate", 11, standing=Standing.CHOSEN)),
    )
    task = PlanTask("gate", "Gate", chosen=True, start=time(11))
    found = told(spread(day(1, [task]), proposal=proposal))
    assert [(one.title, one.proposed) for one in found] == [
        ("Wash", True),
        ("Gate", False),
        ("Wash", True),
    ]
    assert len({one.uid for one in found}) == 3


def test_a_uid_stays_when_the_thing_moves() -> None:
    """RFC 5545 section 3.8.4.7: so that the phone moves it and shows no second one."""
    first = told(spread(proposal=Proposal(datetime.now(UTC), tasks=(placed("wash", 9),))))
    moved = told(spread(proposal=Proposal(datetime.now(UTC), tasks=(placed("wash", 16),))))
    taken = told(spread(day(3, [PlanTask("wash", "Wash", chosen=True, start=time(8))])))
    assert {one.uid for one in first} == {one.uid for one in moved} == {one.uid for one in taken}


def test_breaks_of_the_person_and_of_nobody_in_particular_are_in_it() -> None:
    """Chosen ones by their id, proposed ones marked; another person's are not."""
    breaks = [
        BreakItem("10:15", 10, "Tea", id="tea"),
        BreakItem("11:15", 10, "Stretch", person="ana", id="stretch"),
        BreakItem("12:15", 10, "Pipe", person="rui", id="pipe"),
    ]
    at = datetime(2027, 3, 22, 15, tzinfo=UTC)
    proposal = Proposal(
        at,
        breaks=(ProposedBreak("ana", at, 5, "Air", WHY), ProposedBreak("rui", at, 5, "Nap", WHY)),
    )
    found = told(spread(day(0, breaks=breaks), proposal=proposal))
    assert [(one.title, one.proposed) for one in found] == [
        ("Tea", False),
        ("Stretch", False),
        ("Air", True),
    ]


def habit(
    name: str, part: DayPart | None, *states: CellState, times_a_week: int | None = None
) -> HabitRow:
    """A yes/no habit from Monday on."""
    cells = tuple(
        HabitCell(MONDAY + timedelta(days=number), state) for number, state in enumerate(states)
    )
    return HabitRow(name, name, None, "ana", part, MarkKind.YES_NO, "", None, cells, times_a_week)


def test_habits_stand_together_by_day_part_where_they_are_due_and_open() -> None:
    """Marked, missed, paused and free days are not; of n a week none is due by itself."""
    rows = [
        habit("walk", DayPart.MORNING, CellState.OPEN, CellState.OPEN, CellState.PAUSED),
        habit("read", DayPart.MORNING, CellState.MARKED, CellState.OPEN, CellState.NOT_DUE),
        habit("water", None, CellState.MISSED, CellState.NOT_RECORDED, CellState.OPEN),
        habit("swim", None, *[CellState.OPEN] * 3, times_a_week=1),
    ]
    found = entries(
        [spread(habits=rows)],
        "ana",
        LISBON,
        MONDAY,
        lambda part, titles: f"{part or 'day'}: {'+'.join(titles)}",
    )
    assert [(one.start, one.title, one.end) for one in found] == [
        (MONDAY, "morning: walk", None),
        (MONDAY + timedelta(days=1), "morning: walk+read", None),
        (MONDAY + timedelta(days=2), "day: water", None),
    ]
    assert told(spread(habits=rows)) == ()


def test_what_is_over_is_not_in_it() -> None:
    """A day that is under way is, in the household's zone."""
    days = [day(number, [PlanTask(f"t{number}", f"{number}", chosen=True)]) for number in range(7)]
    found = told(spread(*days), today=MONDAY + timedelta(days=2))
    assert [one.title for one in found] == ["2", "3", "4", "5", "6"]


@pytest.mark.parametrize("alarm", [0, 10])
def test_the_feed_reads_back_with_another_library(alarm: int) -> None:
    """By icalendar: times in UTC, whole days as DATE, nothing busy, an alarm where there is a time.

    RFC 5545 sections 3.6.1, 3.6.6 and 3.8.2.7.
    """
    at = datetime(2027, 3, 22, 9, tzinfo=UTC)
    made = plan_ics(
        [
            Entry("u1", "Wash; dry, fold", at, at + timedelta(minutes=30), proposed=True),
            Entry("u2", "بذور", MONDAY),
        ],
        name="Plan of Ana",
        tentative="Proposed: ",
        written=datetime(2027, 3, 22, tzinfo=UTC),
        alarm_minutes=alarm,
    )
    read = icalendar.Calendar.from_ical(made)
    first, second = read.walk("VEVENT")
    assert first.decoded("dtstart") == at
    assert str(first["summary"]) == "Proposed: Wash; dry, fold"
    assert (first["status"], second["status"]) == ("TENTATIVE", "CONFIRMED")
    assert {one["transp"] for one in (first, second)} == {"TRANSPARENT"}
    assert (second.decoded("dtstart"), str(second["summary"])) == (MONDAY, "بذور")
    alarms = [len(one.walk("VALARM")) for one in (first, second)]
    assert alarms == ([1, 0] if alarm else [0, 0])
    assert all(len(line) <= 75 for line in made.split(b"\r\n"))


def test_the_same_entries_give_the_same_bytes() -> None:
    """A phone that asks again has nothing to do."""
    found = told(spread(day(0, [PlanTask("gate", "Gate", chosen=True)])))
    how = {"name": "Plan", "tentative": "", "written": datetime(2027, 3, 22, tzinfo=UTC)}
    assert plan_ics(found, **how) == plan_ics(list(found), **how)  # type: ignore[arg-type]
