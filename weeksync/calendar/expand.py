"""All objects of one source → what happens in a window of days."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from weeksync.calendar import lately, report, report_bounds
from weeksync.calendar.entries import Entry, read_entry
from weeksync.calendar.groups import Group, Versions, choose
from weeksync.calendar.index import too_large
from weeksync.calendar.occurrences import Occurrences
from weeksync.calendar.outline import outline
from weeksync.calendar.series import instances_of
from weeksync.calendar.steps import TODO_ROOM, Budget, StepsSpent, room_of
from weeksync.calendar.text import ComponentText, read
from weeksync.calendar.tzids import MOST_ZONES, Clocks
from weeksync.calendar.where import Remark, placed
from weeksync.calendar.window import Expansion, Window
from weeksync.lazy import dataclass
from weeksync.model.expanded import Part, PartName, ZoneChoice
from weeksync.model.limits import ExpandLimits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.model.pulled import StoredObject

MOST_PROBLEMS = 200
"""More of one source are counted and not listed: nobody reads them, and pages must load."""


def expand(
    objects: Iterable[StoredObject],
    start: date,
    end: date,
    tz: ZoneInfo,
    limits: ExpandLimits = ExpandLimits(),  # noqa: B008 - frozen
    near: date | None = None,
) -> Expansion:
    """The occurrences and to-dos of all `objects` of one source on the days [start, end).

    `tz` is the household's zone: the days are its days, times come out in it, and floating
    times are read in it. Never raises: what cannot be read is a problem of kind OBJECT, and
    the rest is there. Where that is more than `limits` let through, what lies near the day `near`
    (the first one where none is given) goes before what is far from it, and a problem says that
    something was left out. Occurrences are in order of time; equal inputs give equal outputs.
    """
    return expand_whole(objects, start, end, tz, limits, near).expansion


def expand_whole(
    objects: Iterable[StoredObject],
    start: date,
    end: date,
    tz: ZoneInfo,
    limits: ExpandLimits = ExpandLimits(),  # noqa: B008 - frozen
    near: date | None = None,
    only: Container[PartName] | None = None,
    chosen: Iterable[ZoneChoice] = (),
) -> Expanded:
    """The same, with the parts it is made of; of the parts in `only` alone where that is given.

    `chosen` are the zones of a plain expansion of the same days, where that is known.
    """
    run = Run(Window.of(start, end, tz), tz, limits, only, chosen)
    groups = [group for group in run.groups(objects) if not group.misses(run.window)]
    groups.sort(key=lambda group: group.nearness(near or start), reverse=True)
    while groups:
        run.expand(groups.pop())  # popped: what is done with need not be kept
    return run.result()


@dataclass(frozen=True, slots=True)
class Expanded:
    """An expansion and its parts, in the order in which they were expanded.

    `problems` are those that are of no part. `plain` where no part depends on another: nothing was
    left out, no limit of the source came into play, and nothing is to be said of it as a whole.
    """

    expansion: Expansion
    parts: tuple[Part, ...]
    problems: tuple[Problem, ...]
    zones: tuple[ZoneChoice, ...]
    plain: bool


@dataclass(frozen=True, slots=True)
class _Found:
    """One group, what it took, and where what it gave begins and ends in the lists of its run."""

    group: Group
    room: int
    steps: int
    occurrences: slice
    todos: slice
    remarks: slice


class Run:
    """One expansion: its clocks, its budget and what it has found so far."""

    def __init__(
        self,
        window: Window,
        tz: ZoneInfo,
        limits: ExpandLimits,
        only: Container[PartName] | None = None,
        chosen: Iterable[ZoneChoice] = (),
    ) -> None:
        self.window = window
        self._source, self._tz, self._limits = "", tz, limits
        self._budget = Budget.of(limits)
        self._clocks = Clocks("", tz, window.low, window.high)
        self._chosen = tuple(chosen)
        self._occurrences: list[Occurrence] = []
        self._todos: list[TodoItem] = []
        self._remarks: list[tuple[int, Remark, StoredObject]] = []
        self._more = 0
        self._problems: list[Problem] = []
        self._no_room = self._no_steps = 0
        self._mixed = False  # whether a UID is that of an event and of a to-do
        self._squeezed = False  # whether something was cut by what others had taken
        self._only = only
        self._found: list[_Found] = []

    def groups(self, objects: Iterable[StoredObject]) -> Iterable[Group]:
        """The groups of all objects, as far as the budget reaches."""
        groups: dict[tuple[str, str, str], Group] = {}
        unread = 0
        for one in objects:
            if not self._source:
                self._source = one.source
                days = self.window.low, self.window.high
                self._clocks = Clocks(one.source, self._tz, *days, self._chosen)
            if self._budget.entries <= 0:
                unread += 1
                continue
            for component in self._read(one):
                found = outline(component)
                if self._only is not None and (one.collection, found.uid) not in self._only:
                    continue
                key = one.collection, component.kind, found.uid
                group = groups.get(key)
                if group is None:
                    place = len(groups)
                    group = groups[key] = Group(
                        component.kind, found.uid, one.collection, place, found.first, found.last
                    )
                group.add(found, component, one)
        if unread:
            most = self._limits.entries_per_source
            self._problems.append(report_bounds.source_full(self._source, unread, most))
        self._mixed = len({(collection, uid) for collection, _, uid in groups}) < len(groups)
        return groups.values()

    def _read(self, one: StoredObject) -> list[ComponentText]:
        limits = self._limits.read
        left = self._budget.entries
        file = lately.take(one.content, limits)
        if file is None or left <= len(file.components):
            if left < limits.entries:
                limits = replace(limits, entries=left)
            file = read(one.content, limits)
        self._budget.entries -= max(len(file.components), 1)
        self._problems += too_large(one.source, one.name, file, limits)
        return file.components

    def expand(self, group: Group) -> None:
        """Expand one group, or count it where there is no room for it."""
        left_out = group.cut(self._limits.entries_per_uid)
        weight = min(group.weight, self._limits.per_uid)
        if self._budget.room < weight:
            self._no_room += 1
            return
        before, begun = self._budget.room, self._so_far()
        try:
            self._group(group, left_out)
        except Exception as error:
            # One bad entry must never hide the others, whatever is wrong with it.
            reason, title = type(error).__name__, report.short(group.title)
            problem = report.unreadable(self._source, title, group.uid, reason)
            self._say(group, [Remark(problem, group.components[0].body)])
        self._budget.room = min(self._budget.room, before - weight)
        spans = [slice(*pair) for pair in zip(begun, self._so_far(), strict=True)]
        steps = spans.pop()
        self._found.append(
            _Found(group, before - self._budget.room, steps.start - steps.stop, *spans)
        )

    def _so_far(self) -> tuple[int, int, int, int]:
        steps = self._budget.steps.left
        return len(self._occurrences), len(self._todos), len(self._remarks), steps

    def _group(self, group: Group, left_out: int) -> None:
        if left_out:
            title = report.short(group.title)
            problem = report_bounds.too_many_versions(self._source, title, group.uid, left_out)
            self._say(group, [Remark(problem, group.components[0].body)])
        if any(component.shortened for component in group.components):
            title = report.short(group.title)
            problem = report_bounds.shortened(self._source, title, group.uid)
            self._say(group, [Remark(problem, group.components[0].body)])
        versions = choose(self._source, self._entries(group))
        if versions.remarks:
            self._say(group, versions.remarks)
        had_steps, ample = self._budget.worked, self._budget.ample
        find = self._todos_of if group.kind == "VTODO" else self._events_of
        if find(versions, group.collection):
            return
        self._squeezed = self._squeezed or not ample
        if had_steps:
            self._say(group, [self._too_many(versions)])
        else:
            self._no_steps += 1

    def _entries(self, group: Group) -> list[Entry]:
        return [
            read_entry(component, group.uid, self._clocks, self._source)
            for component in group.components
        ]

    def _events_of(self, versions: Versions, collection: str) -> bool:
        """Find the occurrences; whether all of them could be had."""
        make = Occurrences(self._source, collection, self._tz, versions.master)
        most, steps = self._budget.for_event()
        found = 0  # the first one is shown however long it is
        try:
            for instance in instances_of(versions.master, versions.overrides, self.window, steps):
                room = room_of(instance.start, instance.end, self.window)
                if most <= 0 or (most < room and found):
                    return False
                most -= room
                found += 1
                self._occurrences.append(make.of(instance))
                self._budget.room -= room
        except StepsSpent:
            return False
        return True

    def _todos_of(self, versions: Versions, collection: str) -> bool:
        """Find the to-dos; whether all of them could be had."""
        from weeksync.calendar.todos import TodoMaker, todos_of

        make = TodoMaker(self._source, collection, self._tz, versions.master)
        most, steps = self._budget.for_event()
        found, whole = todos_of(versions.master, versions.overrides, self.window, make, steps)
        most = max(most // TODO_ROOM, 1)
        self._todos += found[:most]
        self._budget.room -= min(len(found), most) * TODO_ROOM
        return whole and len(found) <= most

    def _too_many(self, versions: Versions) -> Remark:
        entry, most = versions.master or versions.overrides[0], self._limits.per_uid
        problem = report_bounds.too_many(self._source, report.short(entry.title), entry.uid, most)
        return entry.remark(problem)

    def _say(self, group: Group, remarks: Sequence[Remark]) -> None:
        room = max(MOST_PROBLEMS - len(self._remarks), 0)
        self._more += len(remarks) - len(remarks[:room])
        self._remarks += [(group.place, *one) for one in group.located(remarks[:room])]

    def result(self) -> Expanded:
        """What was found, in order."""
        problems = placed((remark, one) for _, remark, one in self._remarks)
        parts = tuple(self._part(one, problems) for one in self._found)
        plain = self._is_plain()
        others = self._of_source()
        expansion = Expansion(
            tuple(sorted(self._occurrences, key=order)),
            tuple(self._todos),
            (*self._in_place(problems), *others),
            self._budget.spent(),
        )
        return Expanded(expansion, parts, others, self._clocks.choices(), plain)

    def _in_place(self, problems: list[Problem]) -> Iterator[Problem]:
        order_of = sorted(range(len(problems)), key=lambda at: self._remarks[at][0])
        return (problems[at] for at in order_of)

    def _part(self, one: _Found, problems: list[Problem]) -> Part:
        group = one.group
        return Part(
            group.collection,
            group.uid,
            group.place,
            group.first,
            group.last,
            group.fine,
            one.room,
            one.steps,
            tuple(self._occurrences[one.occurrences]),
            tuple(self._todos[one.todos]),
            tuple(problems[one.remarks]),
        )

    def _is_plain(self) -> bool:
        budget = self._budget
        return (
            self._clocks.plain
            and not (self._problems or self._no_room or self._no_steps or self._more)
            and not (self._squeezed or self._mixed)
            and min(budget.room, budget.steps.left) >= 0
            and budget.entries > 0
        )

    def _of_source(self) -> tuple[Problem, ...]:
        listed = list(self._problems)
        if self._clocks.full:
            listed.append(report_bounds.too_many_zones(self._source, MOST_ZONES))
        if self._no_room:
            most = self._limits.per_source
            listed.append(report_bounds.no_room(self._source, self._no_room, most))
        if self._no_steps:
            listed.append(report_bounds.no_steps(self._source, self._no_steps))
        if self._more:
            listed.append(report_bounds.more(self._source, self._more))
        return tuple(listed)


def order(occurrence: Occurrence) -> tuple[date, bool, timedelta, str, str, str]:
    """By day, whole days first, then by moment; what is left to decide is decided by name."""
    start = occurrence.start
    named = occurrence.uid, occurrence.identity, occurrence.collection
    if not isinstance(start, datetime):
        return start, False, timedelta(0), *named
    # Of one date the instants differ as wall time less offset do.
    wall = timedelta(hours=start.hour, minutes=start.minute, seconds=start.second)
    return start.date(), True, wall - (start.utcoffset() or timedelta(0)), *named
