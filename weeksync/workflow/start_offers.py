"""What is offered to be taken over: routines, habits and bills that many households have.

Common practice, no source: hours and figures are a beginning that everybody changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Person
from weeksync.model.fields import DayPart, MarkKind, Weekday

WORKDAYS = tuple(Weekday)[:5]
WEEKEND = tuple(Weekday)[5:]

DAYS: tuple[tuple[str, Message, tuple[Weekday, ...]], ...] = (
    ("every", message("every day"), tuple(Weekday)),
    ("workdays", message("Monday to Friday"), WORKDAYS),
    ("weekend", message("Saturday and Sunday"), WEEKEND),
)
"""(what is sent, what is read, the days); single weekdays come after these."""


@dataclass(frozen=True, slots=True)
class RoutineOffer:
    """A standing routine; `who` says whose time it takes: everybody's, or the adults'."""

    id: str
    title: Message
    start: str
    end: str
    days: str = "every"
    adults: bool = False


ROUTINES = (
    RoutineOffer("breakfast", message("Getting up and breakfast"), "07:00", "08:00"),
    RoutineOffer("school", message("School run"), "08:15", "08:45", "workdays", adults=True),
    RoutineOffer("midday", message("Midday meal"), "12:30", "13:15"),
    RoutineOffer("evening-meal", message("Evening meal"), "18:00", "19:00"),
    RoutineOffer("bedtime", message("Children's bedtime"), "19:30", "20:15", adults=True),
)


@dataclass(frozen=True, slots=True)
class HabitOffer:
    """A habit or a daily figure; `target` is in its unit, None where everybody has their own."""

    id: str
    title: Message
    kind: MarkKind = MarkKind.YES_NO
    part: DayPart | None = None
    unit: Message | None = None
    target: float | None = None
    health: bool = False


HABITS = (
    HabitOffer("walk", message("A walk"), part=DayPart.MORNING),
    HabitOffer("tidy", message("Tidy up for ten minutes"), part=DayPart.EVENING),
    HabitOffer("read", message("Read"), part=DayPart.EVENING),
    HabitOffer("sleep", message("Sleep"), MarkKind.HOURS, target=7.5, health=True),
    HabitOffer("water", message("Water"), MarkKind.COUNT, unit=message("glasses"), target=6),
    HabitOffer("steps", message("Steps"), MarkKind.COUNT),
)

BILLS: tuple[tuple[str, Message], ...] = (
    ("rent", message("Rent")),
    ("electricity", message("Electricity")),
    ("water", message("Water")),
    ("telephone", message("Telephone and internet")),
    ("insurance", message("Insurance")),
)
"""(id, what it is called)"""

EVERY: tuple[tuple[str, Message], ...] = (
    ("month", message("every month")),
    ("quarter", message("every three months")),
    ("year", message("every year")),
    ("four-weeks", message("every four weeks")),
    ("once", message("once")),
)
"""How often a bill comes: (what is sent, what is read)."""


def days_of(choice: str) -> tuple[Weekday, ...]:
    """The weekdays that a choice stands for: one of DAYS, or a weekday as the files write it.

    Of anything else it is every day, which is what the choice begins with.
    """
    single = tuple(one for one in Weekday if one == choice)
    return next((days for name, _, days in DAYS if name == choice), single) or tuple(Weekday)


def adults(people: Sequence[Person]) -> tuple[Person, ...]:
    """Those who look after the children, else all who are none, else everybody."""
    looking_after = tuple(one for one in people if one.looks_after_children)
    return looking_after or tuple(one for one in people if not one.child) or tuple(people)


def rule_of(every: str, first: date) -> str:
    """The RRULE (RFC 5545) of a bill that first falls on a day.

    A day of the month that some months lack is the last one there (BYSETPOS, section 3.3.10).
    """
    day = f"BYMONTHDAY={first.day}"
    if first.day > 28:
        candidates = ",".join(str(one) for one in range(28, first.day + 1))
        day = f"BYMONTHDAY={candidates};BYSETPOS=-1"
    return {
        "month": f"FREQ=MONTHLY;{day}",
        "quarter": f"FREQ=MONTHLY;INTERVAL=3;{day}",
        "year": f"FREQ=YEARLY;BYMONTH={first.month};{day}",
        "four-weeks": "FREQ=WEEKLY;INTERVAL=4",
        "once": "",
    }[every]
