"""Shared weeks for tests, as redaction would give them."""

from __future__ import annotations

from datetime import UTC, datetime

from weeksync.model.fields import DayPart
from weeksync.model.shared import (
    BusyPeriod,
    SharedArea,
    SharedDay,
    SharedEvent,
    SharedHabit,
    SharedTask,
    SharedWeek,
    ShownAs,
)

LEARNING = SharedArea("Learning", "L", "harbour")
STALL = SharedArea("Trade", "T", "straw")
HOUSE = SharedArea("House and garden", "H", "moss")
FAMILY = SharedArea("Family", "F", "brick")
QUIET = SharedArea("Quiet hours", "Q", "heather")


def event(
    label: str,
    area: SharedArea | None = None,
    part: DayPart | None = None,
    times: tuple[str, str] = ("", ""),
    *roles: str,
) -> SharedEvent:
    """An event as it stands on the page; the area's own word shows it as its area."""
    if not label:
        shown = ShownAs.BUSY
    elif area is not None and label == area.name:
        shown = ShownAs.AREA
    else:
        shown = ShownAs.TITLE if area is not None else ShownAs.WORD
    whole = part is None and not times[0]
    return SharedEvent(shown, label, area, roles, part, *times, all_day=whole)


def task(
    label: str, area: SharedArea, part: DayPart | None = None, *, done: bool = False
) -> SharedTask:
    """A released task."""
    return SharedTask(ShownAs.TITLE, label, area, (), part, done)


M, A, E = DayPart.MORNING, DayPart.AFTERNOON, DayPart.EVENING

FULL = SharedWeek(
    language="en",
    week="2027-W12",
    days=(
        SharedDay(
            0,
            (
                event("Allotment", HOUSE, M, ("09:00", "12:00"), "child", "parent"),
                event("", None, A, ("14:00", "15:00")),
                event("Learning", LEARNING, E, ("18:00", "19:00"), "parent"),
            ),
            (task("Count the stock", STALL, A, done=True),),
        ),
        SharedDay(
            1,
            (
                event("Learning", LEARNING, M, ("09:00", "12:00"), "child", "parent"),
                event("Learning", LEARNING, A, ("13:00", "14:00"), "child"),
            ),
            (task("Order jars and labels", STALL, M),),
        ),
        SharedDay(
            2,
            (
                event("Learning", LEARNING, M, ("09:00", "12:00"), "child", "parent"),
                event("Choir", LEARNING, E, ("17:00", "19:00"), "child"),
            ),
        ),
        SharedDay(
            3,
            (
                event("Learning", LEARNING, M, ("09:00", "12:00"), "child", "parent"),
                event("Baking for the table", STALL, E, ("19:00", "21:00"), "parent"),
            ),
            (task("Mend the gate latch", HOUSE, A, done=True),),
        ),
        SharedDay(4, (event("Family", FAMILY),), (task("A slow day", QUIET, A),)),
        SharedDay(
            5,
            (
                event("Market stall", STALL, M, ("07:00", "13:00"), "parent"),
                event("", None, E, ("19:00", "24:00")),
            ),
        ),
        SharedDay(6, (event("Egg hunt", FAMILY, M, ("11:00", "12:00"), "child"),)),
    ),
    habits=(
        SharedHabit(
            ShownAs.TITLE,
            "Read aloud",
            (True, True, False, True, False, True, True),
            LEARNING,
            "child",
        ),
        SharedHabit(
            ShownAs.WORD, "A page of one's own", (True, False, True, False, True, False, False)
        ),
    ),
    areas=(FAMILY, HOUSE, LEARNING, QUIET, STALL),
    busy=(
        BusyPeriod(datetime(2027, 3, 22, 9, tzinfo=UTC), datetime(2027, 3, 22, 12, tzinfo=UTC)),
        BusyPeriod(datetime(2027, 3, 23, 9, tzinfo=UTC), datetime(2027, 3, 23, 12, tzinfo=UTC)),
    ),
)
"""A week with something of everything."""

EMPTY = SharedWeek(language="en", days=tuple(SharedDay(day) for day in range(7)))
"""A week of which nothing was let through."""
