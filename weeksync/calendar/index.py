"""Raw object → its UID groups with digests and the days they can touch."""

from __future__ import annotations

from dataclasses import field
from datetime import date
from hashlib import sha256
from typing import TYPE_CHECKING

from weeksync.calendar import report, report_bounds
from weeksync.calendar.kept_text import blocks_of
from weeksync.calendar.outline import Outline, earliest, latest, outline
from weeksync.calendar.text import CalendarText, ComponentText, FileText, read, unfolded
from weeksync.calendar.where import last_line, physical
from weeksync.lazy import dataclass
from weeksync.model.limits import ReadLimits
from weeksync.model.problem import Problem
from weeksync.model.pulled import IndexedObject, RawObject, UidGroup

if TYPE_CHECKING:
    from hashlib import _Hash


def index_object(
    source: str,
    raw: RawObject,
    limits: ReadLimits = ReadLimits(),  # noqa: B008 - frozen
) -> tuple[IndexedObject, tuple[Problem, ...]]:
    """The object with its digest and groups; the problems are those of its structure.

    Never raises. A group's digest covers the components of its UID in this object and, where
    they name a zone, the zone rules of their calendar, so that nothing it depends on can change
    unnoticed. What is wrong inside a component is found by `expand`; what is wrong with the text
    as a whole (cut off, BEGIN without END, no calendar at all) is found here and only here.
    What lies behind `limits` is in no group.
    """
    file = read(raw.content, limits)
    zones = _ZoneDigests()
    groups: dict[str, _Gathered] = {}
    for component in file.components:
        found = outline(component)
        group = groups.get(found.uid)
        if group is None:
            group = groups[found.uid] = _Gathered(found.first, found.last)
        group.add(found, component, zones)
    indexed = IndexedObject(
        raw,
        sha256(raw.content).hexdigest(),
        tuple(
            UidGroup(uid, one.digest.hexdigest(), one.first, one.last, len(one.components))
            for uid, one in groups.items()
        ),
        blocks_of(file, [one.components for one in groups.values()]),
    )
    problems = (*_structure(source, raw, file), *too_large(source, raw.name, file, limits))
    return indexed, problems


def _structure(source: str, raw: RawObject, file: FileText) -> tuple[Problem, ...]:
    if not file.calendars:
        return (report.no_calendar(source, raw.name, unfolded(raw.content[:_SHOWN])),)
    if file.cut:
        return (report.cut(source, raw.name, last_line(raw.content)),)
    if file.stray:
        line = physical(raw.content, file.stray_at)
        return (report.unbalanced(source, raw.name, line),)
    return ()


_SHOWN = 200
"""Bytes of something that is no calendar, from which what is shown of it is taken."""


def too_large(source: str, name: str, file: FileText, limits: ReadLimits) -> tuple[Problem, ...]:
    """What of the text was not read, because it holds more than the limits let through."""
    found = []
    if file.full:
        entries = len(file.components)
        found.append(report_bounds.object_full(source, name, entries, limits))
    if file.heavy:
        found.append(report_bounds.heavy_zones(source, name, file.heavy[0], len(file.heavy)))
    return tuple(found)


@dataclass(slots=True)
class _Gathered:
    """A group while the text is gone through."""

    first: date | None
    last: date | None
    components: list[tuple[ComponentText, bytes]] = field(default_factory=list)
    digest: _Hash = field(default_factory=sha256)

    def add(self, found: Outline, component: ComponentText, zones: _ZoneDigests) -> None:
        """Take in one more component of that UID."""
        self.first = earliest(self.first, found.first)
        self.last = latest(self.last, found.last)
        raw = component.raw
        self.components.append((component, raw))
        # Its length goes before it: where one component ends and the next begins counts, too.
        self.digest.update(f"{component.kind} {component.whole} {len(raw)}\n".encode() + raw)
        self.digest.update(zones.of(component.calendar, raw))


class _ZoneDigests:
    """What an entry depends on besides its own lines, worked out once a calendar."""

    def __init__(self) -> None:
        self._calendar: CalendarText | None = None
        self._zones = b""

    def of(self, calendar: CalendarText, raw: bytes) -> bytes:
        """Bytes that change when what these lines mean may change."""
        cancels = b"CANCEL" if calendar.cancels else b""
        return cancels + self._zones_of(calendar, raw)

    def _zones_of(self, calendar: CalendarText, raw: bytes) -> bytes:
        if not calendar.default_zone and b"TZID" not in raw and b"tzid" not in raw.lower():
            return b""
        if calendar is not self._calendar:
            whole = sha256()
            for tzid, text in calendar.zones.items():
                whole.update(f"{tzid}{text}\n".encode("utf-8", "replace"))
            self._calendar, self._zones = calendar, whole.digest()
        return calendar.default_zone.encode() + self._zones
