"""Raw object → its UID groups with digests and the days they can touch."""

from __future__ import annotations

from hashlib import sha256

from weeksync.calendar import report
from weeksync.calendar.outline import Outline, joined, outline
from weeksync.calendar.text import CalendarText, ComponentText, FileText, read
from weeksync.model.problem import Problem
from weeksync.model.pulled import IndexedObject, RawObject, UidGroup


def index_object(source: str, raw: RawObject) -> tuple[IndexedObject, tuple[Problem, ...]]:
    """The object with its digest and groups; the problems are those of its structure.

    Never raises. A group's digest covers the components of its UID in this object and the zone
    rules of their calendar, so that nothing it depends on can change unnoticed. What is wrong
    inside a component is found by `expand`; what is wrong with the text as a whole (cut off,
    BEGIN without END, no calendar at all) is found here and only here.
    """
    file = read(raw.content)
    groups: dict[str, list[tuple[Outline, ComponentText]]] = {}
    for component in file.components:
        found = outline(component)
        groups.setdefault(found.uid, []).append((found, component))
    indexed = IndexedObject(
        raw,
        sha256(raw.content).hexdigest(),
        tuple(_group(uid, members) for uid, members in groups.items()),
    )
    return indexed, _structure(source, raw.name, file)


def _structure(source: str, name: str, file: FileText) -> tuple[Problem, ...]:
    if not file.calendars:
        return (report.no_calendar(source, name),)
    if file.cut:
        return (report.cut(source, name),)
    if file.stray:
        return (report.unbalanced(source, name),)
    return ()


def _group(uid: str, members: list[tuple[Outline, ComponentText]]) -> UidGroup:
    first, last = joined([found for found, _ in members])
    digest = sha256()
    for _, component in members:
        digest.update(f"{component.kind}{component.body}\n".encode())
        digest.update(_zones(component.calendar, component.body).encode())
    return UidGroup(uid, digest.hexdigest(), first, last, len(members))


def _zones(calendar: CalendarText, body: str) -> str:
    used = (text for tzid, text in calendar.zones.items() if tzid in body)
    return calendar.default_zone + "".join(used)
