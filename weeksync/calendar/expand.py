"""All objects of one source → what happens in a window of days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.calendar import report
from weeksync.calendar.entries import read_entry
from weeksync.calendar.groups import Group, Versions, choose
from weeksync.calendar.occurrences import Occurrences
from weeksync.calendar.outline import outline
from weeksync.calendar.series import instances_of
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.text import read
from weeksync.calendar.todos import TodoMaker, todos_of
from weeksync.calendar.tzids import Clocks
from weeksync.calendar.where import Remark, placed
from weeksync.calendar.window import Expansion, Window
from weeksync.model.limits import ExpandLimits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.model.pulled import StoredObject

MOST_PROBLEMS = 200
"""More of one source are counted and not listed: nobody reads them, and pages must load."""


def expand(
    objects: Sequence[StoredObject],
    start: date,
    end: date,
    tz: ZoneInfo,
    limits: ExpandLimits = ExpandLimits(),  # noqa: B008 - frozen
) -> Expansion:
    """The occurrences and to-dos of all `objects` of one source on the days [start, end).

    `tz` is the household's zone: the days are its days, times come out in it, and floating
    times are read in it. Never raises: what cannot be read is a problem of kind OBJECT, and
    the rest is there. Occurrences are in order of time; equal inputs give equal outputs.
    """
    source = objects[0].source if objects else ""
    run = _Run(source, Window.of(start, end, tz), tz, limits)
    for collection, members in _by_collection(objects).items():
        run.collection(collection, members)
    return run.result()


def _by_collection(objects: Iterable[StoredObject]) -> dict[str, list[StoredObject]]:
    found: dict[str, list[StoredObject]] = {}
    for one in objects:
        found.setdefault(one.collection, []).append(one)
    return found


def _groups(objects: Iterable[StoredObject]) -> Iterable[Group]:
    groups: dict[tuple[str, str], Group] = {}
    for one in objects:
        for component in read(one.content).components:
            found = outline(component)
            key = component.kind, found.uid
            group = groups.get(key)
            if group is None:
                group = groups[key] = Group(*key)
            group.outlines.append(found)
            group.components.append(component)
            group.objects.append(one)
    return groups.values()


class _Run:
    """One expansion: its clocks, its budget and what it has found so far."""

    def __init__(self, source: str, window: Window, tz: ZoneInfo, limits: ExpandLimits) -> None:
        self._source, self._window, self._tz, self._limits = source, window, tz, limits
        self._clocks = Clocks(source, tz, window.low, window.high)
        self._occurrences: list[Occurrence] = []
        self._todos: list[TodoItem] = []
        self._remarks: list[tuple[Remark, StoredObject]] = []
        self._problems: list[Problem] = []

    def collection(self, name: str, objects: Iterable[StoredObject]) -> None:
        """Expand the objects of one collection."""
        shared = Steps(self._limits.steps_per_collection)
        room = self._limits.per_collection
        for group in _groups(objects):
            if group.misses(self._window):
                continue
            before = len(self._occurrences) + len(self._todos)
            self._group(group, name, shared, room)
            room -= len(self._occurrences) + len(self._todos) - before
            if room <= 0 or shared.left < 0:
                most = self._limits.per_collection
                self._problems.append(report.collection_full(self._source, name, most))
                return

    def _group(self, group: Group, collection: str, shared: Steps, room: int) -> None:
        try:
            entries = [
                read_entry(component, group.uid, self._clocks, self._source)
                for component in group.components
            ]
            versions = choose(self._source, entries)
            if versions.remarks:
                self._remarks += group.located(versions.remarks)
            steps = Steps(self._limits.steps_per_uid, shared)
            if group.kind == "VTODO":
                whole = self._expand_todos(versions, collection, steps, room)
            else:
                whole = self._expand_events(versions, collection, steps, room)
            if not whole:
                self._remarks += group.located([self._too_many(versions)])
        except Exception as error:
            # One bad entry must never hide the others, whatever is wrong with it.
            reason, title = type(error).__name__, report.short(group.title)
            problem = report.unreadable(self._source, title, group.uid, reason)
            self._remarks += group.located([Remark(problem, group.components[0].body)])

    def _expand_events(self, versions: Versions, collection: str, steps: Steps, room: int) -> bool:
        """Whether all of it could be had."""
        make = Occurrences(self._source, collection, self._tz)
        most = min(self._limits.per_uid, room)
        found = instances_of(versions.master, versions.overrides, self._window, steps)
        try:
            for instance in found:
                if most == 0:
                    raise StepsSpent
                most -= 1
                self._occurrences.append(make.of(instance))
        except StepsSpent:
            return False
        return True

    def _expand_todos(self, versions: Versions, collection: str, steps: Steps, room: int) -> bool:
        """Whether all of it could be had."""
        make = TodoMaker(self._source, collection, self._tz)
        most = min(self._limits.per_uid, room)
        try:
            found = todos_of(versions.master, versions.overrides, self._window, make, steps)
            self._todos += found[:most]
            if len(found) > most:
                raise StepsSpent
        except StepsSpent:
            return False
        return True

    def _too_many(self, versions: Versions) -> Remark:
        entry, most = versions.master or versions.overrides[0], self._limits.per_uid
        problem = report.too_many(self._source, report.short(entry.title), entry.uid, most)
        return entry.remark(problem)

    def result(self) -> Expansion:
        """What was found, in order."""
        return Expansion(
            tuple(sorted(self._occurrences, key=order)),
            tuple(self._todos),
            self._listed(),
        )

    def _listed(self) -> tuple[Problem, ...]:
        more = len(self._remarks) - MOST_PROBLEMS
        listed = (*placed(self._remarks[:MOST_PROBLEMS]), *self._problems)
        return (*listed, report.more(self._source, more)) if more > 0 else listed


def order(occurrence: Occurrence) -> tuple[date, bool, timedelta, str, str, str]:
    """By day, whole days first, then by moment; what is left to decide is decided by name."""
    start = occurrence.start
    named = occurrence.uid, occurrence.identity, occurrence.collection
    if not isinstance(start, datetime):
        return start, False, timedelta(0), *named
    # Of one date the instants differ as wall time less offset do.
    wall = timedelta(hours=start.hour, minutes=start.minute, seconds=start.second)
    return start.date(), True, wall - (start.utcoffset() or timedelta(0)), *named
