"""The shared week, put together from what the rules let through."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from weeksync.lazy import dataclass
from weeksync.model.household import HouseholdFiles
from weeksync.model.occurrence import Occurrence
from weeksync.model.shared import (
    BusyPeriod,
    Redacted,
    SharedArea,
    SharedDay,
    SharedHabit,
    SharedWeek,
)
from weeksync.model.spread import Day, Spread
from weeksync.redact import events, habits, tasks
from weeksync.redact.busy import busy_times
from weeksync.redact.events import Seen
from weeksync.redact.never import never_shared
from weeksync.redact.rules import Rules
from weeksync.redact.times import events as as_shown
from weeksync.redact.vetoes import AWAY, Copies
from weeksync.zones import first_instant

_SCRIPT = 4
"""Letters of a script in the name of a locale, as Hant."""


@dataclass(frozen=True, slots=True)
class Sources:
    """What a shared week is made from.

    `spread` is the week with everything on it: as it was closed, or as it is read today. `around`
    are other readings of those days and their neighbours: what is private or away in one of them
    is so everywhere. `files` is the household's word of today, which is the one that counts: what
    was released once and is not now is not shared.
    """

    spread: Spread
    files: HouseholdFiles
    tz: ZoneInfo
    around: tuple[Spread, ...] = ()


def redact(sources: Sources) -> Redacted:
    """The week as strangers may see it, and what was decided about each thing of it.

    Ask `refusals` first: whether it may be shared yet is not looked at here.
    """
    config, spread = sources.files.config, sources.spread
    rules, times = Rules(config), config.sharing.times
    copies = Copies((spread, *sources.around))
    seen = _judge(sources, rules, copies).seen(spread.days)
    by_occurrence = {one.occurrence: one for one in seen}
    entries = {one.id: one for one in sources.files.tasks}
    seen_tasks = tasks.Tasks(rules, copies, entries).seen(spread.days)
    judged = list(habits.judged(sources.files.habits, spread.habits, rules))
    rows = habits.shown(row for _, row in judged)
    days = tuple(
        SharedDay(
            day.date.weekday(),
            as_shown(events.of_day(day, by_occurrence, rules), times),
            tasks.of_day(day, seen_tasks, rules, times),
        )
        for day in sorted(spread.days, key=lambda one: one.date.weekday())
    )
    shared = SharedWeek(
        language=without_region(config.household.locale),
        days=days,
        habits=rows,
        week=str(spread.week) if config.sharing.dates == "week" else "",
        areas=_areas(days, rows),
        busy=_busy(sources, seen) if config.sharing.busy_times else None,
    )
    decisions = (
        *(one.decision for one in seen),
        *(one.decision for one in seen_tasks),
        *(decision for decision, _ in judged),
        *never_shared(spread),
    )
    return Redacted(shared, decisions, let_through(shared))


def without_region(locale: str) -> str:
    """Language and script of a locale: `en_GB` is `en`, `zh_Hant_TW` is `zh_Hant`."""
    language, *rest = locale.replace("-", "_").split("_")
    script = [part for part in rest[:1] if len(part) == _SCRIPT]
    return "_".join([language, *script])


def let_through(shared: SharedWeek) -> frozenset[str]:
    """Every text of the household on the page: titles, words, roles, areas."""
    found = {area.name for area in shared.areas}
    for day in shared.days:
        for event in day.events:
            found |= {event.label, *event.roles}
        for task in day.tasks:
            found |= {task.label, *task.roles}
    for row in shared.habits:
        found |= {row.label, row.role}
    return frozenset(found - {""})


def _areas(days: Iterable[SharedDay], rows: Iterable[SharedHabit]) -> tuple[SharedArea, ...]:
    found = {event.area for day in days for event in day.events}
    found |= {task.area for day in days for task in day.tasks} | {row.area for row in rows}
    return tuple(sorted(area for area in found if area is not None))


def absences(sources: Sources) -> list[Occurrence]:
    """What is an absence by rule or by the person's word, on the days of the week and around."""
    spreads = (sources.spread, *sources.around)
    judge = _judge(sources, Rules(sources.files.config), Copies(spreads))
    seen = (one for spread in spreads for one in judge.seen(spread.days))
    return [one.occurrence for one in seen if one.look.why is AWAY and not one.occurrence.cancelled]


def _judge(sources: Sources, rules: Rules, copies: Copies) -> events.Events:
    appointments = {one.id: one for one in sources.files.appointments}
    return events.Events(rules, copies, appointments)


def _busy(sources: Sources, seen: Sequence[Seen]) -> tuple[BusyPeriod, ...]:
    days, tz = sources.spread.days, sources.tz
    week = first_instant(days[0].date, tz), first_instant(_after(days), tz)
    shown = [one.occurrence for one in seen if not one.look.hidden]
    rounded = sources.files.config.sharing.times == "rounded"
    return busy_times(shown, absences(sources), week, tz, rounded=rounded)


def _after(days: Sequence[Day]) -> date:
    return days[-1].date + timedelta(days=1)
