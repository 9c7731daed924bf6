"""The household's own appointments → occurrences, by the same rules as events of a calendar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from weeksync.calendar import report
from weeksync.calendar.clocks import IanaClock
from weeksync.calendar.entries import Entry, Stamp
from weeksync.calendar.expand import order
from weeksync.calendar.occurrences import Occurrences
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.series import instances_of
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.values import Length
from weeksync.calendar.window import Expansion, Window
from weeksync.model.config import ids
from weeksync.model.files import Appointment
from weeksync.model.limits import ExpandLimits
from weeksync.model.occurrence import Occurrence
from weeksync.model.problem import Problem


def from_appointments(
    appointments: Sequence[Appointment],
    start: date,
    end: date,
    tz: ZoneInfo,
    limits: ExpandLimits = ExpandLimits(),  # noqa: B008 - frozen
) -> Expansion:
    """The occurrences of the appointments on the days [start, end); their `source` is "".

    Times are wall-clock times of the household's zone `tz`; `uid` is the appointment's id. From
    `start` to `end` is an exact time, as with DTEND: each repetition lasts as long. Never
    raises; a rule that runs away is a problem.
    """
    window = Window.of(start, end, tz)
    clock = IanaClock("", tz)
    found: list[Occurrence] = []
    problems: list[Problem] = []
    for one in appointments:
        steps = Steps(limits.steps_per_uid)
        make = Occurrences("", "", tz)
        try:
            instances = instances_of(_entry(one, clock), (), window, steps)
            found += [_with_household(make.of(instance), one) for instance in instances]
        except (StepsSpent, ValueError):
            problems.append(report.appointment(one.title, one.repeats))
    return Expansion(tuple(sorted(found, key=order)), (), tuple(problems))


def _entry(one: Appointment, clock: IanaClock) -> Entry:
    return Entry(
        uid=one.id,
        kind="VEVENT",
        lines={},
        start=_stamp(one.start, clock),
        length=_length(one, clock),
        rules=(parse_rule(one.repeats),) if one.repeats else (),
        exceptions=tuple(Stamp(datetime.combine(day, time()), None) for day in one.not_on),
    )


def _stamp(moment: datetime | date, clock: IanaClock) -> Stamp:
    if isinstance(moment, datetime):
        return Stamp(moment, clock)
    return Stamp(datetime.combine(moment, time()), None)


def _length(one: Appointment, clock: IanaClock) -> Length | None:
    if one.minutes is not None:
        return Length(0, one.minutes * 60)
    if isinstance(one.start, datetime) and isinstance(one.end, datetime):
        exact: timedelta = clock.instant(one.end) - clock.instant(one.start)
        return Length(0, int(exact.total_seconds()))
    return Length((one.end - one.start).days) if one.end is not None else None


def _with_household(occurrence: Occurrence, one: Appointment) -> Occurrence:
    """What only a household file says."""
    return replace(
        occurrence,
        title=one.title,
        busy=one.busy,
        place=one.place,
        notes=one.notes,
        persons=ids(one.person),
        area=one.area,
        away=bool(one.away),
        travel_minutes=one.travel_minutes,
        only_for=one.only_for,
    )
