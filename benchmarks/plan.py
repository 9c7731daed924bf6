"""Measure how long planning a crowded week takes, and how that grows.

    python -m benchmarks.run plan

A week of 400 occurrences, 300 tasks and 40 habits, made in memory from a seed, for three grown-ups
and two children. Of the occurrences 15 in 100 take whole days, 12 take no time, and the others are
lessons and appointments of one person or two, which fill more than half of all waking hours. The
figure is `Planner.week`: the whole spread with its plan, loads, clashes, proposal and
all, asked for the first time of a planner that has been made. Making the planner (indexing
everything, once per run for all weeks) is shown beside it. CPU time of this process, in
milliseconds: of several rounds the least, which other work on the machine disturbs least (as the
documentation of Python's `timeit` advises), with the median beside it. Then twice, four and eight
times as much of everything: work that grows as n log n takes about 2.2 times as long for twice as
much, a hidden square four times.
"""

from __future__ import annotations

import gc
import math
import platform
import random
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from weeksync.model.chosen import ChosenDay, PlacedTask, WeekFile
from weeksync.model.config import Config
from weeksync.model.fields import DayPart, MarkKind, Weekday
from weeksync.model.files import Habit, Routine, Task
from weeksync.model.household import HouseholdFiles, Mark
from weeksync.model.occurrence import Occurrence
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.plan import Planner
from weeksync.read.checked import checked
from weeksync.zones import zone

WEEK = IsoWeek(2027, 12)
LIMIT_MS = 20.0
"""What planning the week may take."""
OCCURRENCES, TASKS, HABITS = 400, 300, 40
SCALES = (1, 2, 4, 8)

_LONDON = zone("Europe/London")
_NOW = datetime(2027, 3, 22, 6, 30, tzinfo=UTC)
_GROWN_UPS = ("ada", "bo", "cleo")
_CHILDREN = ("dara", "eli")
_PEOPLE = (*_GROWN_UPS, *_CHILDREN)
_AREAS = (("house", "moss", "H"), ("work", "slate", "W"), ("rest", "plum", "R"))


@dataclass(frozen=True, slots=True)
class Crowded:
    """Everything a planner is made from."""

    files: HouseholdFiles
    occurrences: tuple[Occurrence, ...]

    def planner(self) -> Planner:
        """A planner that has been asked nothing yet."""
        return Planner(
            self.files,
            self.occurrences,
            (),
            now=_NOW,
            tz=_LONDON,
            rule=WeekRule(),
            language="en_GB",
        )


def crowded(scale: int = 1, seed: int = 1) -> Crowded:
    """The week with `scale` times as much in it; the same seed gives the same week."""
    chance = random.Random(seed)
    days = WeekRule().days(WEEK)
    tasks = tuple(_task(number, days, chance) for number in range(TASKS * scale))
    habits = tuple(_habit(number, chance) for number in range(HABITS * scale))
    chosen = WeekFile(
        format=1,
        days=tuple(ChosenDay(date=day, priorities=(chance.choice(tasks).id,)) for day in days),
        placed=tuple(
            PlacedTask(task=one.id, date=chance.choice(days), part=chance.choice(list(DayPart)))
            for one in chance.sample(tasks, len(tasks) // 10)
        ),
    )
    files = HouseholdFiles(
        _config(),
        routines=tuple(
            Routine(id=f"routine-{n}", title=f"Routine {n}", person=_PEOPLE[n % 5], hours=hours)
            for n, hours in enumerate(("07:00-07:40", "12:30-13:00", "18:00-18:30", "20:00-20:45"))
        ),
        tasks=tasks,
        habits=habits,
        weeks={WEEK: chosen},
        marks=tuple(_marks(habits, days[0], chance)),
    )
    events = tuple(_event(number, days[0], chance) for number in range(OCCURRENCES * scale))
    return Crowded(files, events)


def _config() -> Config:
    return checked(
        Config,
        {
            "format": 1,
            "household": {"name": "x", "time_zone": "Europe/London", "region": "GB-ENG"},
            "people": [
                {
                    "id": one,
                    "name": one.title(),
                    "child": one in _CHILDREN,
                    "looks_after_children": one in _GROWN_UPS,
                    "sleep_hours": 7.5,
                }
                for one in _PEOPLE
            ],
            "areas": [
                {"id": area, "name": area, "colour": tint, "letter": letter, "work": area == "work"}
                for area, tint, letter in _AREAS
            ],
            "breaks": {"ideas": ["Out to the step", "Once round the lane"]},
        },
    )


def _event(number: int, monday: date, chance: random.Random) -> Occurrence:
    """A whole day or two, or a quarter of an hour to two hours between 7 and 22 o'clock."""
    kind = chance.random()
    day = monday + timedelta(days=chance.randrange(7))
    start: datetime | date = day
    end: datetime | date = day + timedelta(days=chance.choice((1, 1, 2)))
    if kind >= 0.15:
        start = datetime(day.year, day.month, day.day, tzinfo=_LONDON) + timedelta(
            minutes=15 * chance.randrange(28, 88)
        )
        end = start + timedelta(minutes=chance.choice((15, 30, 45, 45, 60, 120)))
    title = f"Event {number}"
    return Occurrence(
        source="home",
        collection="",
        uid=title,
        identity="",
        title=title,
        start=start,
        end=end,
        zone="Europe/London",
        busy=kind >= 0.27,
        persons=tuple(chance.sample(_PEOPLE, chance.choice((1, 1, 1, 2)))),
        area=chance.choice(_AREAS)[0],
        travel_minutes=chance.choice((0, 0, 0, 10)),
    )


def _task(number: int, days: tuple[date, ...], chance: random.Random) -> Task:
    """A task due in the week, after it, or at no time; some without an estimate."""
    due = chance.choice((*days, days[-1] + timedelta(days=chance.randrange(1, 30)), None))
    return Task(
        id=f"task-{number}",
        title=f"Task {number}",
        area=chance.choice(_AREAS)[0],
        person=chance.choice(_GROWN_UPS),
        due=due,
        estimate=chance.choice((None, 15, 30, 60, 120)),
        priority=chance.choice((None, 1, 3, 5)),
    )


def _habit(number: int, chance: random.Random) -> Habit:
    rhythm = chance.randrange(3)
    return Habit(
        id=f"habit-{number}",
        title=f"Habit {number}",
        area=chance.choice(_AREAS)[0],
        person=chance.choice(_PEOPLE),
        part=chance.choice((*DayPart, None)),
        days=tuple(chance.sample(list(Weekday), 3)) if rhythm == 1 else (),
        times_a_week=3 if rhythm == 2 else None,
        kind=MarkKind.YES_NO,
    )


def _marks(habits: tuple[Habit, ...], monday: date, chance: random.Random) -> list[Mark]:
    """Six weeks of marks."""
    found = []
    for habit in habits:
        for back in range(42):
            day = monday - timedelta(days=back)
            moment = datetime(day.year, day.month, day.day, 20, tzinfo=UTC)
            value = "yes" if chance.random() < 0.8 else "no"
            found.append(Mark(habit.id, day, habit.person, value, moment, moment, "tablet"))
    return found


def cpu_ms(work: Callable[[], object]) -> float:
    """Milliseconds of CPU that one call takes, rubbish of earlier ones collected before."""
    gc.collect()
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1000


def measured(week: Crowded, rounds: int) -> tuple[list[float], list[float]]:
    """(making the planner, planning the week) in milliseconds of CPU, a value a round."""
    made, planned = [], []
    for _ in range(rounds):
        made.append(cpu_ms(week.planner))
        planner = week.planner()
        planned.append(cpu_ms(lambda asked=planner: asked.week(WEEK)))  # type: ignore[misc]
    return made, planned


def main(rounds: int = 25, seed: int = 1) -> None:
    """Measure each scale and print the table."""
    crowded(1, seed).planner().week(WEEK)  # what is read and made once per process
    print(
        f"a week of {OCCURRENCES} occurrences, {TASKS} tasks, {HABITS} habits, seed {seed}; "
        f"CPU ms, least (median) of {rounds}; Python {platform.python_version()}"
    )
    print(f"{'times':>5}{'planner made':>20}{'week planned':>20}{'÷ n log n':>11}")
    unit = 0.0
    for scale in SCALES:
        made, planned = measured(crowded(scale, seed), rounds)
        least, n = min(planned), scale * OCCURRENCES
        share = least / (n * math.log2(n))
        unit = unit or share
        print(f"{scale:>5}{_text(made):>20}{_text(planned):>20}{share / unit:>11.2f}")
        if scale == 1:
            word = "under" if least < LIMIT_MS else "OVER"
            first = f"planning the week: {least:.1f} ms, {word} the limit of {LIMIT_MS:.0f} ms"
    print(first)


def _text(values: list[float]) -> str:
    return f"{min(values):.1f} ({statistics.median(values):.1f})"


if __name__ == "__main__":
    main()
