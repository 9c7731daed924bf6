"""Free minutes, loads, gaps and what to move: by cases, and against counting."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.plans import CONFIG, all_day, at, config, files, planner, timed, todo
from weeksync.model.chosen import PlacedTask, WeekFile
from weeksync.model.fields import Weekday
from weeksync.model.files import Routine, Task, Term
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import PlanTask
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import DayLoad, WeekPlan
from weeksync.plan.to_move import fewest_from_front, to_move
from weeksync.zones import zone

W12 = IsoWeek(2027, 12)
MONDAY = date(2027, 3, 22)


def week(occurrences: list[Occurrence], *, of: IsoWeek = W12, **parts: Any) -> WeekPlan:
    """The plan of a week; `parts` are those of the household's files."""
    plan = planner(files(parts.pop("settings", None), **parts), occurrences).week(of).plan
    assert plan is not None
    return plan


def load(plan: WeekPlan, day: date = MONDAY, person: str = "ines") -> DayLoad:
    """One day of one person."""
    return next(one for one in plan.loads if (one.person, one.day) == (person, day))


def event(title: str, clock: str, minutes: int = 60, **keys: Any) -> Occurrence:
    """An event of Ines on Monday."""
    return timed(title, at(f"2027-03-22 {clock}"), minutes, **({"persons": ("ines",)} | keys))


def spans(found: DayLoad) -> list[str]:
    """The gaps as `08:00-09:50`."""
    return [f"{gap.start:%H:%M}-{gap.end:%H:%M}" for gap in found.gaps]


@pytest.mark.parametrize(
    ("other", "free"),
    [
        (event("meeting", "10:00"), 660),
        (event("early", "07:30"), 690),
        (event("night", "00:00", 300), 720),
        (event("library", "10:00", busy=False), 720),
        (event("off", "10:00", cancelled=True), 720),
        (event("diary", "10:00", journal=True), 720),
        (event("nobody's", "10:00", persons=()), 720),
        (event("Dov's", "10:00", persons=("dov",)), 720),
        (event("far", "10:00", travel_minutes=20), 620),
        (all_day("fair", MONDAY, persons=("ines",)), 720),
        (all_day("trip", MONDAY, persons=("ines",), away=True), 0),
        (all_day("trip", MONDAY, persons=("ines",), away=True, busy=False), 720),
        (all_day("trip", MONDAY - timedelta(days=9), 12, persons=("ines",), away=True), 0),
    ],
    ids=lambda one: one.title if isinstance(one, Occurrence) else str(one),
)
def test_what_takes_free_minutes(other: Occurrence, free: int) -> None:
    """Of twelve hours from 8 to 20; the share that may be planned is 60 percent of them."""
    found = load(week([other]))
    assert (found.free, found.plannable) == (free, free * 60 // 100)


def test_what_overlaps_takes_its_minutes_once() -> None:
    """The union counts, with routines in it; clashes are told apart."""
    routine = Routine(id="meal", title="Meal", person="ines", hours="10:30-11:30")
    found = load(week([event("one", "10:00"), event("two", "10:15")], routines=(routine,)))
    assert (found.free, found.overlap) == (720 - 90, 2)


def test_parts_and_gaps_of_a_day() -> None:
    """Free minutes by part; gaps keep the buffer to engagements, not to routines or the edges."""
    routine = Routine(id="meal", title="Meal", person="ines", hours="12:30-13:00")
    found = load(week([event("one", "10:00")], routines=(routine,)))
    assert [(one.part.value, one.free) for one in found.parts] == [
        ("morning", 180), ("afternoon", 330), ("evening", 120),
    ]  # fmt: skip
    assert sum(one.free for one in found.parts) == found.free
    assert spans(found) == [
        "08:00-09:50", "11:10-12:00", "12:00-12:30", "13:00-18:00", "18:00-20:00",
    ]  # fmt: skip
    assert [gap.part.value for gap in found.gaps][:2] == ["morning", "morning"]
    assert found.gaps[0].minutes == 110


def test_a_buffer_reaches_over_the_edge_of_the_hours() -> None:
    """What ended at 7:55 keeps the first minutes of the day, and takes none of them."""
    found = load(week([event("early", "07:00", 55)]))
    assert (found.free, spans(found)[0]) == (720, "08:05-12:00")


def test_an_overnight_engagement_belongs_to_both_days() -> None:
    """From Monday 18:00 to Tuesday 9:00, cut at the edges of both."""
    plan = week([event("night", "18:00", 15 * 60)])
    assert (load(plan).free, load(plan, date(2027, 3, 23)).free) == (600, 660)
    assert [load(plan, date(2027, 3, day)).overlap for day in (22, 23, 24)] == [1, 1, 0]


def test_one_from_the_week_before_and_into_the_week_after() -> None:
    """Sunday night to Monday morning takes time of either week, and only its part."""
    early = timed("early", at("2027-03-21 20:00"), 14 * 60, persons=("ines",))
    late = timed("late", at("2027-03-28 19:00"), 14 * 60, persons=("ines",))
    plan = week([early, late])
    assert (load(plan).free, load(plan, date(2027, 3, 28)).free) == (600, 660)
    after = week([early, late], of=IsoWeek(2027, 13))
    assert load(after, date(2027, 3, 29)).free == 660


def test_a_way_from_the_day_before_reaches_into_the_week() -> None:
    """An event of Sunday whose way back ends on Monday at 9."""
    far = timed("far", at("2027-03-21 15:00"), 60, persons=("ines",), travel_minutes=17 * 60)
    assert load(week([far])).free == 660


@pytest.mark.parametrize(
    ("hours", "day", "free"),
    [
        ("00:00-24:00", date(2027, 3, 28), 23 * 60),
        ("00:00-24:00", date(2027, 10, 31), 25 * 60),
        ("00:00-06:00", date(2027, 3, 28), 5 * 60),
        ("08:00-20:00", date(2027, 3, 28), 12 * 60),
        ("22:00-24:00", date(2027, 3, 22), 2 * 60),
    ],
)
def test_planning_hours_have_their_exact_length(hours: str, day: date, free: int) -> None:
    """Days of 23 and 25 hours, and hours up to the end of the day."""
    plan = week([], of=IsoWeek.of(day), settings=config(planning={"hours": hours}))
    assert load(plan, day).free == free
    assert sum(one.free for one in load(plan, day).parts) == free
    assert sum(gap.minutes for gap in load(plan, day).gaps) == free


def test_a_day_that_does_not_exist_has_no_minutes() -> None:
    """Friday 30 December 2011 in Apia; a task that stands on it is too much."""
    task = Task(id="a-task", title="Task", person="ines", due=date(2011, 12, 30), estimate=20)
    made = planner(files(tasks=(task,)), tz=zone("Pacific/Apia")).week(IsoWeek(2011, 52)).plan
    assert made is not None
    found = load(made, date(2011, 12, 30))
    assert (found.free, found.gaps, found.over) == (0, (), 20)
    assert load(made, date(2011, 12, 29)).free == load(made, date(2011, 12, 31)).free == 720


def test_whose_days_are_planned() -> None:
    """Who lives here and is no child; a zone written out that is the household's is no other."""
    people = [
        *CONFIG["people"],
        {"id": "nana", "name": "Nana Brice", "time_zone": "America/St_Johns"},
        {"id": "lodger", "name": "Lodger", "time_zone": "Europe/London"},
    ]
    plan = week([], settings=config(people=people))
    assert list(dict.fromkeys(one.person for one in plan.loads)) == ["ines", "dov", "lodger"]
    assert len(plan.loads) == 3 * 7


def test_routines_of_weekdays_and_terms() -> None:
    """On their weekdays, on days of a term where they are of terms only, over midnight in both."""
    term = Term(id="spring", name="Spring", start=date(2027, 1, 4), end=date(2027, 3, 23))
    plan = week(
        [],
        terms=(term,),
        routines=(
            Routine(id="a", title="A", person="ines", hours="08:00-09:00", days=(Weekday.MONDAY,)),
            Routine(id="b", title="B", person=("ines", "dov"), hours="10:00-10:30",
                    terms_only=True),
            Routine(id="c", title="C", person="dov", hours="19:00-09:00", days=(Weekday.SUNDAY,)),
        ),
    )  # fmt: skip
    free = [load(plan, MONDAY + timedelta(days=number)).free for number in range(3)]
    assert free == [630, 690, 720]
    assert load(plan, MONDAY, "dov").free == 720 - 60 - 30
    assert load(plan, date(2027, 3, 28), "dov").free == 660


def task(name: str, **keys: Any) -> Task:
    """A task of Ines, due on Monday."""
    return Task(**{"id": f"t-{name}", "title": name, "person": "ines", "due": MONDAY, **keys})


def test_what_stands_on_a_day_is_its_load() -> None:
    """Estimates, the usual one where there is none; done ones too, dropped ones not."""
    plan = week(
        [],
        tasks=(
            task("a", estimate=50, part="morning", day=MONDAY),
            task("b"),
            task("c", estimate=40, done=MONDAY),
            task("d", estimate=90, dropped=MONDAY),
            task("e", estimate=25, person="dov"),
            task("f", estimate=35, person="pell"),
        ),
    )
    found = load(plan)
    assert (found.planned, found.over, found.to_move) == (120, 0, ())
    assert [one.planned for one in found.parts] == [50, 0, 0]
    assert load(plan, person="dov").planned == 25


def test_a_task_of_nobody() -> None:
    """In nobody's load where two could do it, and named apart; the only grown-up's otherwise."""
    tasks = (task("a", person=None, estimate=45), task("b", person=None, only_for=("ines",)))
    plan = week([], tasks=tasks)
    assert [(one.task, one.day, one.minutes) for one in plan.unassigned] == [("t-a", MONDAY, 45)]
    assert (load(plan).planned, load(plan, person="dov").planned) == (30, 0)
    alone = week([], tasks=tasks, settings=config(people=CONFIG["people"][:1]))
    assert (load(alone).planned, alone.unassigned) == (75, ())


def test_a_day_too_full_says_what_to_move() -> None:
    """432 minutes can be planned; the fewest tasks, those that can wait longest, no priority."""
    tasks = (
        task("due", estimate=200),
        task("later", estimate=150, day=MONDAY, due=date(2027, 4, 2)),
        task("never", estimate=120, day=MONDAY, due=None),
    )
    plan = week([], tasks=tasks)
    found = load(plan)
    assert (found.plannable, found.planned, found.over) == (432, 470, 38)
    assert found.to_move == ("t-never",)


def standing(*minutes: int, **keys: Any) -> list[tuple[PlanTask, int]]:
    """Tasks without a date, by title the earlier the more pressing."""
    return [(PlanTask(id=f"t-{n}", title=f"{n:03}", **keys), one) for n, one in enumerate(minutes)]


@pytest.mark.parametrize(
    ("minutes", "over", "priorities", "wanted"),
    [
        ((60, 60, 60), 0, (), ()),
        ((60, 60, 60), 30, (), ("t-2",)),
        ((60, 60, 60), 61, (), ("t-2", "t-1")),
        ((90, 60, 30), 80, (), ("t-0",)),
        ((90, 60, 30), 80, ("t-0",), ("t-2", "t-1")),
        ((90, 10, 10), 80, ("t-0",), ("t-0",)),
        ((20, 20), 80, (), ("t-1", "t-0")),
    ],
)
def test_which_tasks_to_move(
    minutes: tuple[int, ...], over: int, priorities: tuple[str, ...], wanted: tuple[str, ...]
) -> None:
    """As few as can be, the last ones first; priorities only where the others are too little."""
    assert to_move(standing(*minutes), over, MONDAY, priorities) == wanted


def test_what_is_done_cannot_be_moved() -> None:
    """Its minutes are gone."""
    assert to_move(standing(60, done=MONDAY) + standing(20, 30)[1:], 10, MONDAY) == ("t-1",)


@given(st.lists(st.integers(0, 40), max_size=7), st.integers(0, 120))
def test_the_fewest_from_the_front(minutes: list[int], wanted: int) -> None:
    """Of all sets that reach it the smallest, and of those the one nearest the front."""
    places = range(len(minutes))
    every = [
        list(chosen)
        for size in range(len(minutes) + 1)
        for chosen in combinations(places, size)
        if sum(minutes[place] for place in chosen) >= wanted
    ]
    assert fewest_from_front(minutes, wanted) == (every[0] if every else list(places))


EVENTS = st.lists(st.tuples(st.integers(0, 1439), st.integers(0, 300)), max_size=6)


@settings(deadline=None)
@given(EVENTS, st.integers(0, 20), st.sampled_from([22, 27]))
def test_free_minutes_and_gaps_are_what_counting_gives(
    events: list[tuple[int, int]], buffer: int, day: int
) -> None:
    """Minute by minute: free is what no event takes, a gap what none is near to."""
    midnight = at(f"2027-03-{day} 00:00")
    busy = [
        timed(f"event {number}", midnight + timedelta(minutes=start), long, persons=("ines",))
        for number, (start, long) in enumerate(events)
    ]
    plan = week(busy, settings=config(planning={"buffer_minutes": buffer}))
    found = load(plan, date(2027, 3, day))
    ends = [(start, start + long) for start, long in events if long]
    hours = range(8 * 60, 20 * 60)
    taken = [minute for minute in hours if any(low <= minute < high for low, high in ends)]
    near = [m for m in hours if any(low - buffer <= m < high + buffer for low, high in ends)]
    assert found.free == 720 - len(taken)
    assert sum(gap.minutes for gap in found.gaps) == 720 - len(near)
    most = max(sum(low <= m < high for low, high in ends) for m in range(1440))
    assert found.overlap == most


def test_what_a_place_gives_to_one_is_theirs() -> None:
    """Of both, of nobody, of the other: it counts for who does it that day, and nobody else."""
    names = {"both": ("ines", "dov"), "nobody": (), "hers": ("ines",)}
    todos = [todo(name, persons=persons) for name, persons in names.items()]
    known = planner(files(), (), todos).open_tasks()
    places = tuple(
        PlacedTask(task=one.id, date=date(2027, 3, 26), minutes=20, person="dov") for one in known
    )
    plan = planner(files(weeks={W12: WeekFile(format=1, placed=places)}), (), todos).week(W12).plan
    assert plan is not None
    planned = {one.person: one.planned for one in plan.loads if one.day == date(2027, 3, 26)}
    assert planned == {"ines": 0, "dov": 60}
    assert plan.unassigned == ()
