"""VTODO → to-dos (RFC 5545 section 3.6.2).

An open to-do that does not recur is given whatever its dates, since it may be overdue or have
none; a done or cancelled one only where its dates touch the window. Of a recurring one those
times are given that touch the window, and the latest before it while it is open, since it may
be overdue. DUE is the moment (or the day) it is due, not a half-open end. DURATION without
DTSTART, which the RFC forbids, is read as an estimate, as ESTIMATED-DURATION is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from weeksync.calendar.entries import Entry, Key, end_of
from weeksync.calendar.lines import Lines, class_of, first, listed, number_of, text_of, word_of
from weeksync.calendar.occurrences import local
from weeksync.calendar.series import Instance, instances_of
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.values import duration, later, written
from weeksync.calendar.window import Window
from weeksync.model.occurrence import TodoItem
from weeksync.zones import instant

_LOOK_BACK = timedelta(days=400)
_STEPS = 20
"""What making a to-do costs, in steps: those of a whole year are made to find the latest."""


def todos_of(
    master: Entry | None,
    overrides: tuple[Entry, ...],
    window: Window,
    make: TodoMaker,
    steps: Steps,
) -> tuple[list[TodoItem], bool]:
    """The to-dos of one UID, and whether they are all of them: `steps` may not reach."""
    if master is not None and not master.repeats and not overrides:
        item = make.single(master)
        return [item] if item.open or _touches(item, window) else [], True
    earlier = later(datetime.combine(window.start, time()), -_LOOK_BACK).date()
    wide = replace(window, start=earlier, low=later(window.low, -_LOOK_BACK))
    found, whole = _made(instances_of(master, overrides, wide, steps), make, steps)
    found.sort(key=lambda item: (_day(item), item.identity))
    inside = [item for item in found if _touches(item, window)]
    before = [item for item in found if _day(item) < window.start and not _touches(item, window)]
    return [item for item in before[-1:] if item.open] + inside, whole


def _made(
    instances: Iterator[Instance], make: TodoMaker, steps: Steps
) -> tuple[list[TodoItem], bool]:
    found: list[TodoItem] = []
    try:
        for one in instances:
            steps.spend(_STEPS)
            found.append(make.of(one))
    except StepsSpent:
        return found, False
    return found, True


def _touches(item: TodoItem, window: Window) -> bool:
    moments = [item.start, item.due, item.completed]
    days = [_date(moment) for moment in moments if moment is not None]
    return bool(days) and min(days) < window.end and max(days) >= window.start


def _day(item: TodoItem) -> date:
    moment = item.due or item.start
    return _date(moment) if moment is not None else date.min


def _date(moment: Key) -> date:
    return moment.date() if isinstance(moment, datetime) else moment


class TodoMaker:
    """Makes the to-dos of one collection; exceptions are as private as their `master`."""

    def __init__(
        self, source: str, collection: str, tz: ZoneInfo, master: Entry | None = None
    ) -> None:
        self._source, self._collection, self._tz = source, collection, tz
        self._class = class_of(master.lines) if master is not None else ""

    def single(self, entry: Entry) -> TodoItem:
        """A to-do that does not recur, its dates as written."""
        item = self._template(entry)
        start, due = entry.own_start, entry.due
        ending = due.key if due is not None else None
        if due is None and start is not None and entry.length is not None:
            ending = end_of(start.key, start.clock, entry.length)
        return replace(
            item,
            start=local(start.key, self._tz) if start is not None else None,
            due=local(ending, self._tz) if ending is not None else None,
        )

    def of(self, instance: Instance) -> TodoItem:
        """One time of a recurring to-do."""
        entry = instance.entry
        item = self._template(entry)
        if instance.cancelled:
            item = replace(item, status="CANCELLED")
        due: Key | None = None
        if entry.due is not None or entry.length is not None:
            due = due_of(instance)
        start: Key | None = local(instance.start, self._tz)
        if entry.own_start is None:
            start = None
        elif entry.own_start.clock is None and isinstance(start, datetime):
            start = start.date()
        return replace(
            item,
            identity=instance.identity,
            start=start,
            due=local(due, self._tz) if due is not None else None,
        )

    def _template(self, entry: Entry) -> TodoItem:
        lines = entry.lines
        return TodoItem(
            source=self._source,
            collection=self._collection,
            uid=entry.uid,
            identity="",
            title=entry.title,
            priority=min(number_of(lines, "PRIORITY"), 9),
            status="CANCELLED" if entry.cancelled else word_of(lines, "STATUS"),
            completed=self._completed(lines),
            percent=min(number_of(lines, "PERCENT-COMPLETE"), 100),
            estimate_minutes=_estimate(lines),
            classification=class_of(lines, self._class),
            notes=text_of(lines, "DESCRIPTION"),
            categories=listed(lines, "CATEGORIES"),
            sequence=number_of(lines, "SEQUENCE"),
            stamp=word_of(lines, "DTSTAMP") or word_of(lines, "LAST-MODIFIED"),
        )

    def _completed(self, lines: Lines) -> date | None:
        """The day it was done, of COMPLETED or else of the change that set the status."""
        line = first(lines, "COMPLETED")
        if line is None and word_of(lines, "STATUS") == "COMPLETED":
            line = first(lines, "LAST-MODIFIED")
        if line is None:
            return None
        try:
            moment = written(line.value)
        except ValueError:
            return None
        if not moment.utc:
            return moment.local.date()
        return instant(moment.local, ZoneInfo("UTC")).astimezone(self._tz).date()


def due_of(instance: Instance) -> Key:
    """When a time of a recurring to-do is due: a whole-day one on the day itself, not after."""
    entry, start = instance.entry, instance.start
    if isinstance(start, datetime) or entry.due is None:
        return instance.end
    days = entry.length.whole_days if entry.length is not None else 0
    return later(datetime.combine(start, time()), timedelta(days=days)).date()


def _estimate(lines: Lines) -> int | None:
    line = first(lines, "ESTIMATED-DURATION")
    if line is None and "DTSTART" not in lines:
        line = first(lines, "DURATION")
    if line is None:
        return None
    try:
        length = duration(line.value)
    except ValueError:
        return None
    return max(length.days * 1440 + length.seconds // 60, 0)
