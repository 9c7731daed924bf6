"""What stands in the feed of a person's plan: tasks with their times, breaks, habits that are due.

Appointments are not in it: the phone has them from the calendars they stand in. Nor are amounts,
notes, or what is only for others; the spreads that come in are that person's views.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from weeksync import zones
from weeksync.lazy import dataclass
from weeksync.model.fields import DayPart
from weeksync.model.spread import BreakItem, CellState, Day, PlanTask, Spread
from weeksync.model.week_plan import ProposedTask, Standing

SPACE = uuid.UUID("6f0a3c1e-5d5c-5b0e-9a52-0d0f6e1c7a44")
"""The name space of our UIDs: any fixed UUID will do (RFC 9562 section 5.5)."""

USUAL_MINUTES = 30
"""How long a task with a time and without any estimate is shown; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of the feed: all day on `start` where `end` is None, else [start, end) in UTC.

    `uid` stays the same when the thing moves, so that a phone moves it, too (RFC 5545 section
    3.8.4.7). `proposed`: nobody has decided it yet.
    """

    uid: str
    title: str
    start: date | datetime
    end: datetime | None = None
    proposed: bool = False

    @property
    def timed(self) -> bool:
        """Whether it has a time."""
        return self.end is not None


HabitLines = Callable[[DayPart | None, Sequence[str]], str]
"""(part of the day, titles) → how the habits that are due in it are named in one line."""


def entries(
    spreads: Iterable[Spread],
    person: str,
    tz: ZoneInfo,
    today: date,
    habit_lines: HabitLines | None = None,
) -> tuple[Entry, ...]:
    """What one person's spreads say from `today` on, in order of time; no UID comes twice.

    Without `habit_lines` habits are left out.
    A task that is proposed for several times has an entry each. What is done or dropped is gone.
    """
    found: dict[str, Entry] = {}
    for spread in spreads:
        for entry in _of(spread, person, tz, habit_lines):
            if _day(entry, tz) >= today:
                found.setdefault(entry.uid, entry)
    return tuple(sorted(found.values(), key=lambda one: (_when(one, tz), one.uid)))


def _of(
    spread: Spread, person: str, tz: ZoneInfo, habit_lines: HabitLines | None
) -> Iterator[Entry]:
    for day in spread.days:
        yield from _chosen(day, tz)
        yield from _breaks(day, person, tz)
    proposal = spread.plan.proposal if spread.plan is not None else None
    if proposal is not None:
        for task in proposal.tasks:
            yield from _proposed(task)
        for number, pause in enumerate(proposal.breaks):
            if pause.person == person:
                name = f"break/{pause.person}/{pause.start.date()}/{number}"
                end = pause.start + timedelta(minutes=pause.minutes)
                yield Entry(_uid(name), pause.what, _utc(pause.start), _utc(end), proposed=True)
    if habit_lines is not None:
        yield from _habits(spread, person, habit_lines)


def _chosen(day: Day, tz: ZoneInfo) -> Iterator[Entry]:
    """Tasks that somebody put on the day; one that is only due then is no plan."""
    counts: dict[str, int] = {}
    for task in day.tasks:
        if not (task.chosen and task.open):
            continue
        number = counts[task.id] = counts.get(task.id, -1) + 1
        yield _task(task, day.date, number, tz)


def _task(task: PlanTask, day: date, number: int, tz: ZoneInfo) -> Entry:
    uid = _uid(f"task/{task.id}/{number}")
    if task.start is None:
        return Entry(uid, task.title, day)
    start = zones.instant(datetime.combine(day, task.start), tz)
    minutes = task.minutes or task.estimate or USUAL_MINUTES
    return Entry(uid, task.title, start, start + timedelta(minutes=minutes))


def _proposed(task: ProposedTask) -> Iterator[Entry]:
    if task.standing is not Standing.PLACED:
        return
    for number, piece in enumerate(task.pieces):
        uid = _uid(f"task/{task.task}/{number}")
        yield Entry(uid, task.title, _utc(piece.start), _utc(piece.end), proposed=True)


def _breaks(day: Day, person: str, tz: ZoneInfo) -> Iterator[Entry]:
    for number, pause in enumerate(day.breaks):
        if pause.person in (None, person):
            yield _break(pause, day.date, number, tz)


def _break(pause: BreakItem, day: date, number: int, tz: ZoneInfo) -> Entry:
    start = zones.instant(datetime.combine(day, time.fromisoformat(pause.start)), tz)
    name = f"break/{pause.id}" if pause.id else f"break/{day}/{pause.start}/{number}"
    return Entry(_uid(name), pause.what, start, start + timedelta(minutes=pause.minutes))


def _habits(spread: Spread, person: str, lines: HabitLines) -> Iterator[Entry]:
    """An entry for each day part of a day with all that is due in it and still to be marked.

    One for each habit would fill a phone's day. Of n a week none is due by itself.
    """
    due: dict[tuple[date, DayPart | None], list[str]] = {}
    for row in spread.habits:
        if row.times_a_week is None:
            for cell in row.cells:
                if cell.state is CellState.OPEN:
                    due.setdefault((cell.day, row.part), []).append(row.title)
    for (day, part), titles in due.items():
        uid = _uid(f"habits/{person}/{day}/{part or 'day'}")
        yield Entry(uid, lines(part, titles), day)


def _uid(name: str) -> str:
    """Globally unique, and telling nothing (RFC 7986 section 5.3)."""
    return str(uuid.uuid5(SPACE, name))


def _utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC)


def _day(entry: Entry, tz: ZoneInfo) -> date:
    start = entry.start
    return start.astimezone(tz).date() if isinstance(start, datetime) else start


def _when(entry: Entry, tz: ZoneInfo) -> tuple[date, bool, str]:
    """By day; what has no time first."""
    return _day(entry, tz), entry.timed, entry.start.isoformat()
