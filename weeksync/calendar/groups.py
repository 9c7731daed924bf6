"""The components of one UID of a collection → its master and its overrides.

They may lie in several objects. Of several versions of the same thing the one with the higher
SEQUENCE counts, between equals the later DTSTAMP (RFC 5546 section 2.1.5), then the later in
the text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace
from datetime import date

from weeksync.calendar import report
from weeksync.calendar.entries import Entry, Stamp
from weeksync.calendar.lines import read_lines, text_of
from weeksync.calendar.outline import Outline, earliest, latest
from weeksync.calendar.text import ComponentText
from weeksync.calendar.where import Remark
from weeksync.calendar.window import Window
from weeksync.lazy import dataclass
from weeksync.model.pulled import StoredObject


@dataclass(slots=True)
class Group:
    """All components of one kind and UID in one collection, in the order they came.

    `first` and `last` are the days it can touch, as outlines have them; `fine` where a rule of
    it may give several times a day; `place` its place among the groups of the source.
    """

    kind: str
    uid: str
    collection: str
    place: int
    first: date | None
    last: date | None
    fine: bool = False
    components: list[ComponentText] = field(default_factory=list)
    objects: list[StoredObject] = field(default_factory=list)
    """The object each of the components lies in."""

    def add(self, found: Outline, component: ComponentText, one: StoredObject) -> None:
        """Take in one more component, which lies in that object."""
        self.first = earliest(self.first, found.first)
        self.last = latest(self.last, found.last)
        self.fine = self.fine or found.fine
        self.components.append(component)
        self.objects.append(one)

    @property
    def title(self) -> str:
        """The SUMMARY of its first component."""
        return text_of(read_lines(self.components[0].body, frozenset({"SUMMARY"})), "SUMMARY")

    @property
    def weight(self) -> int:
        """How much it is to read, in entries of a usual size."""
        return sum(_weight(one) for one in self.components)

    def located(self, remarks: Iterable[Remark]) -> list[tuple[Remark, StoredObject]]:
        """Remarks about its components, each with the object that component lies in."""
        pairs = zip(self.components, self.objects, strict=True)
        by_body = {id(component.body): one for component, one in pairs}
        return [(remark, by_body[id(remark.body)]) for remark in remarks]

    def misses(self, window: Window) -> bool:
        """Whether none of it can touch the window."""
        return Outline(self.uid, self.first, self.last).misses(window.start, window.end)

    def cut(self, most: int) -> int:
        """Keep the first, which is mostly the series, and the latest; how many are left out."""
        more = len(self.components) - most
        if more > 0:
            del self.components[1 : 1 + more], self.objects[1 : 1 + more]
        return max(more, 0)

    def nearness(self, near: date) -> tuple[bool, int, int, int]:
        """What is sorted by where not all can be read: near before far, short before long.

        What may come several times a day comes after all that cannot: it takes most and says
        least.
        """
        first, last = self.first or date.min, self.last or date.max
        away = max((first - near).days, (near - last).days, 0)
        return self.fine, away // _WEEK, (last - first).days, self.place


def _weight(component: ComponentText) -> int:
    """One for an entry that is nothing special; lists and lines by the thousand count for more."""
    if component.size <= _USUAL:
        return 1
    raw = component.raw
    return 1 + raw.count(b",") // 5 + raw.count(b"\n") // 16 + len(raw) // 16_384


_USUAL = 4_000
"""Bytes of an entry that is nothing special: most have a quarter of that."""
_WEEK = 7


@dataclass(frozen=True, slots=True)
class Versions:
    """What counts of a group, and what there is to say about it."""

    master: Entry | None
    overrides: tuple[Entry, ...]
    remarks: tuple[Remark, ...] = ()


def choose(source: str, entries: Iterable[Entry]) -> Versions:
    """The versions that count; entries that name no time at all are reported and left out.

    But for one that cancels its series: that needs no time (RFC 5546 section 3.2.5).
    """
    remarks: list[Remark] = []
    masters: list[Entry] = []
    changed: list[Entry] = []
    ends: list[Entry] = []
    for entry in entries:
        remarks += entry.remarks
        if entry.start is not None or entry.kind != "VEVENT":
            (masters if entry.recurrence_id is None else changed).append(entry)
        elif entry.cancelled:
            ends.append(entry)
        else:
            problem = report.no_start(source, report.short(entry.title), entry.uid)
            remarks.append(entry.remark(problem))
    master = _highest(masters)
    overrides = _overrides(changed, master)
    end = _highest(ends)
    if end is not None:
        if master is not None and end.rank >= master.rank:
            master = replace(master, withdrawn=True)
        overrides = {
            key: replace(one, withdrawn=True) if end.rank >= one.rank else one
            for key, one in overrides.items()
        }
    if master is not None and any(_another(one, master) for one in masters):
        problem = report.one_uid_twice(source, report.short(master.title), master.uid)
        remarks.append(master.remark(problem))
    return Versions(master, tuple(overrides.values()), tuple(remarks))


def _overrides(changed: list[Entry], master: Entry | None) -> dict[object, Entry]:
    """The version that counts of each changed instance, by what names it."""
    found: dict[object, Entry] = {}
    start = master.start if master is not None and master.whole else None
    clock = start.clock if start is not None else None
    for entry in changed:
        stamp = entry.recurrence_id
        if stamp is None:
            continue
        if clock is not None and entry.floating_id:
            stamp = Stamp(stamp.local, clock)
            entry = replace(entry, recurrence_id=stamp)
        if stamp.key not in found or entry.rank >= found[stamp.key].rank:
            found[stamp.key] = entry
    return found


def _highest(masters: list[Entry]) -> Entry | None:
    best: Entry | None = None
    for one in masters:
        if best is None or one.rank >= best.rank:
            best = one
    return best


def _another(one: Entry, master: Entry) -> bool:
    """Whether `one` is no earlier version of `master`: same rank, and another time."""
    if (
        one.body is master.body
        or one.rank != master.rank
        or one.start is None
        or master.start is None
    ):
        return False
    return one.start.key != master.start.key
