"""Planning takes time in proportion to what there is, not to its square."""

from __future__ import annotations

import random
import time
from datetime import date, datetime, timedelta

from tests.support.plans import LONDON, files, mark, planner, timed
from weeksync.model.files import Habit, Task
from weeksync.model.week import IsoWeek
from weeksync.plan.merge import merge


def seconds(size: int) -> float:
    """CPU seconds to merge, index and plan one crowded week; the best of three."""
    chance = random.Random(size)
    monday = datetime(2027, 3, 22, tzinfo=LONDON)
    occurrences = [
        timed(f"event {number}", monday + timedelta(minutes=chance.randrange(7 * 1440)), 45)
        for number in range(size)
    ]
    days = [date(2027, 3, 22) + timedelta(days=offset) for offset in range(7)]
    household = files(
        tasks=tuple(
            Task(id=f"t{number}", title=f"task {number}", due=chance.choice(days))
            for number in range(size)
        ),
        habits=tuple(
            Habit(id=f"h{number}", title=f"habit {number}", person="ines")
            for number in range(size // 10)
        ),
        marks=tuple(mark(f"h{number}", day, "yes") for number in range(size // 10) for day in days),
    )

    def once() -> float:
        start = time.process_time()
        shown, _ = merge(occurrences, ("home",))
        spread = planner(household, shown).week(IsoWeek(2027, 12))
        assert sum(len(day.tasks) for day in spread.days) == size
        return time.process_time() - start

    return min(once() for _ in range(3))


def test_eight_times_as_much_does_not_take_sixty_four_times_as_long() -> None:
    """Proportional work takes 8 times as long; a hidden square would take 64 times."""
    assert seconds(6_400) < 24 * seconds(800)
