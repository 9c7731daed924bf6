"""The components of one UID of a collection → its master and its overrides.

They may lie in several objects. Of several versions of the same thing the one with the higher
SEQUENCE counts, between equals the later DTSTAMP (RFC 5546 section 2.1.5), then the later in
the text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from weeksync.calendar import report
from weeksync.calendar.entries import Entry
from weeksync.calendar.lines import read_lines, text_of
from weeksync.calendar.outline import Outline, joined
from weeksync.calendar.text import ComponentText
from weeksync.calendar.window import Window
from weeksync.model.problem import Problem


@dataclass(slots=True)
class Group:
    """All components of one kind and UID in one collection, in the order they came."""

    kind: str
    uid: str
    outlines: list[Outline] = field(default_factory=list)
    components: list[ComponentText] = field(default_factory=list)

    @property
    def title(self) -> str:
        """The SUMMARY of its first component."""
        return text_of(read_lines(self.components[0].body, frozenset({"SUMMARY"})), "SUMMARY")

    def misses(self, window: Window) -> bool:
        """Whether none of it can touch the window."""
        return Outline(self.uid, *joined(self.outlines)).misses(window.start, window.end)


@dataclass(frozen=True, slots=True)
class Versions:
    """What counts of a group."""

    master: Entry | None
    overrides: tuple[Entry, ...]
    problems: tuple[Problem, ...] = ()


def choose(source: str, entries: Iterable[Entry]) -> Versions:
    """The versions that count; entries that name no time at all are reported and left out."""
    problems: list[Problem] = []
    masters: list[Entry] = []
    overrides: dict[object, Entry] = {}
    for entry in entries:
        problems += entry.problems
        if entry.start is None and entry.kind == "VEVENT":
            problems.append(report.no_start(source, report.short(entry.title), entry.uid))
        elif entry.recurrence_id is None:
            masters.append(entry)
        elif (key := entry.recurrence_id.key) not in overrides or (
            entry.rank >= overrides[key].rank
        ):
            overrides[key] = entry
    master = _highest(masters)
    if master is not None and any(_another(one, master) for one in masters):
        problems.append(report.one_uid_twice(source, report.short(master.title), master.uid))
    return Versions(master, tuple(overrides.values()), tuple(problems))


def _highest(masters: list[Entry]) -> Entry | None:
    best: Entry | None = None
    for one in masters:
        if best is None or one.rank >= best.rank:
            best = one
    return best


def _another(one: Entry, master: Entry) -> bool:
    """Whether `one` is no earlier version of `master`: same rank, and another time."""
    if one is master or one.rank != master.rank or one.start is None or master.start is None:
        return False
    return one.start.key != master.start.key
