"""What the pages of a week show, as lines that a later week can be held against."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from weeksync.model.occurrence import Occurrence
from weeksync.model.snapshot import MOST_LINES, LineKind, Snapshot, SnapshotLine
from weeksync.model.spread import (
    BreakItem,
    Day,
    DayOccurrence,
    HabitRow,
    PlanTask,
    Spread,
)
from weeksync.model.week_plan import Standing

_CLOCK = "%H:%M"
_KINDS = {kind: place for place, kind in enumerate(LineKind)}


def take(spread: Spread, at: datetime) -> Snapshot:
    """The snapshot of a week as it is printed or confirmed at the aware moment `at`.

    ValueError where the spread is no week.
    """
    if spread.week is None:
        raise ValueError("only a week has a snapshot")
    return Snapshot(format=1, week=str(spread.week), taken_at=at, lines=lines(spread))


def lines(spread: Spread) -> tuple[SnapshotLine, ...]:
    """The lines of a week, by day, at most MOST_LINES.

    What is on no page of the plan is in none: amounts, marks, check-ins, journals, tasks done or
    dropped; nor what is only shown struck through because it is cancelled.
    """
    first = spread.days[0].date
    found = [line for day in spread.days for line in _of_day(day)]
    found += _events(spread)
    found += _proposed(spread)
    found += (_habit(row, first) for row in spread.habits)
    if spread.notes.strip():
        found.append(
            SnapshotLine(
                kind=LineKind.NOTES, key="notes", day=first, title="", text=spread.notes.strip()
            )
        )
    found.sort(key=order)
    return tuple(found[:MOST_LINES])


def order(line: SnapshotLine) -> tuple[object, ...]:
    """By day, then as a page has it: by kind, time and title; then by whatever tells them apart."""
    kind = _KINDS[line.kind]
    page = (line.day, kind, line.start, line.title.casefold())
    rest = (line.key, line.series, line.only_for, line.end, line.until or line.day, line.title)
    return (*page, *rest, line.text, line.persons)


def event_key(one: Occurrence) -> str:
    """What names an occurrence whichever calendar it is read from, and wherever it is moved."""
    return f"{series_key(one)}|{one.identity}"


def series_key(one: Occurrence) -> str:
    """What the occurrences of one event share; an appointment is never a calendar's event."""
    kind = LineKind.EVENT.value if one.source else "appointment"
    return f"{kind}|{one.uid or one.title}"


def task_key(task_id: str) -> str:
    """What names a task."""
    return f"task|{task_id}"


def _proposed(spread: Spread) -> Iterator[SnapshotLine]:
    proposal = spread.plan.proposal if spread.plan is not None else None
    for task in proposal.tasks if proposal is not None else ():
        for piece in task.pieces if task.standing is not Standing.CHOSEN else ():
            last = piece.end.date()
            yield SnapshotLine(
                kind=LineKind.PROPOSED,
                key=f"proposed|{task.task}",
                day=piece.start.date(),
                until=last if last > piece.start.date() else None,
                title=task.title,
                start=_clock(piece.start),
                end=_clock(piece.end),
                part=piece.part,
                persons=(task.person,) if task.person else (),
                only_for=task.only_for,
            )


def _of_day(day: Day) -> Iterator[SnapshotLine]:
    on = day.date
    for name in day.holidays:
        key = f"holiday|{on.isoformat()}|{name}"
        yield SnapshotLine(kind=LineKind.HOLIDAY, key=key, day=on, title=name)
    for one in day.priorities:
        yield SnapshotLine(
            kind=LineKind.PRIORITY,
            key=f"priority|{one.task or one.title}",
            day=on,
            title=one.title,
            persons=one.persons,
            only_for=one.only_for,
        )
    for task in day.tasks:
        if task.done is None and task.dropped is None:
            yield _task(task, on)
    for item in day.money:
        yield SnapshotLine(
            kind=LineKind(item.kind.value),
            key=f"{item.kind.value}|{item.id}|{item.due.isoformat()}",
            day=on,
            title=item.title,
            persons=(item.person,) if item.person else (),
            only_for=item.only_for,
        )
    for lesson in day.lessons:
        yield SnapshotLine(
            kind=LineKind.LESSON,
            key=f"lesson|{lesson.id}",
            day=on,
            title=lesson.subject,
            persons=(lesson.child,),
        )
    for pause in day.breaks:
        yield _break(pause, on)
    for title, text in day.own:
        if text.strip():
            key = f"row|{title}|{on.isoformat()}"
            yield SnapshotLine(kind=LineKind.ROW, key=key, day=on, title=title, text=text.strip())


def _task(task: PlanTask, on: date) -> SnapshotLine:
    return SnapshotLine(
        kind=LineKind.TASK,
        key=task_key(task.id),
        day=on,
        title=task.title,
        start=task.start.strftime(_CLOCK) if task.start is not None else "",
        part=task.part,
        due=task.due if task.due != on else None,
        persons=task.persons,
        only_for=task.only_for,
    )


def _break(pause: BreakItem, on: date) -> SnapshotLine:
    begins = datetime.combine(on, datetime.strptime(pause.start, _CLOCK).time())  # noqa: DTZ007
    ends = begins + timedelta(minutes=pause.minutes)
    return SnapshotLine(
        kind=LineKind.BREAK,
        key=f"break|{pause.person or ''}|{pause.what}",
        day=on,
        title=pause.what,
        start=pause.start,
        end=ends.strftime(_CLOCK),
        persons=(pause.person,) if pause.person else (),
    )


def _habit(row: HabitRow, first: date) -> SnapshotLine:
    return SnapshotLine(
        kind=LineKind.HABIT,
        key=f"habit|{row.id}",
        day=first,
        title=row.title,
        part=row.part,
        persons=(row.person,),
        only_for=row.only_for,
    )


def _events(spread: Spread) -> Iterator[SnapshotLine]:
    """Each occurrence once, with the days of the week over which it lies."""
    held: dict[Occurrence, list[tuple[date, DayOccurrence]]] = {}
    for day in spread.days:
        for one in day.occurrences:
            if not (one.occurrence.journal or one.occurrence.cancelled):
                held.setdefault(one.occurrence, []).append((day.date, one))
    for occurrence, shown in held.items():
        yield _event(occurrence, shown)


def _event(one: Occurrence, shown: list[tuple[date, DayOccurrence]]) -> SnapshotLine:
    (first, begins), (last, ends) = shown[0], shown[-1]
    return SnapshotLine(
        kind=LineKind.EVENT,
        key=event_key(one),
        series=series_key(one),
        day=first,
        until=last if last > first else None,
        title=one.title,
        start="" if begins.from_before else _clock(one.start),
        end="" if ends.goes_on or one.end == one.start else _clock(one.end),
        text=one.place.strip(),
        tentative=one.tentative,
        persons=one.persons,
        only_for=one.only_for,
    )


def _clock(moment: datetime | date) -> str:
    return f"{moment.hour:02}:{moment.minute:02}" if isinstance(moment, datetime) else ""
