"""Raw object → its UID groups with digests and the days they can touch."""

from __future__ import annotations

from hashlib import sha256

from weeksync.calendar import pieces, report, report_bounds
from weeksync.calendar.gathering import Gathering
from weeksync.calendar.text import FileText, read, unfolded
from weeksync.calendar.where import last_line, physical
from weeksync.model.limits import ReadLimits
from weeksync.model.problem import Problem
from weeksync.model.pulled import IndexedObject, RawObject


def index_object(
    source: str,
    raw: RawObject,
    limits: ReadLimits = ReadLimits(),  # noqa: B008 - frozen
    before: pieces.Before | None = None,
) -> tuple[IndexedObject, tuple[Problem, ...]]:
    """The object with its digest and groups; the problems are those of its structure.

    Never raises. A group's digest covers the components of its UID in this object and, where
    they name a zone, the zone rules of their calendar, so that nothing it depends on can change
    unnoticed. What is wrong inside a component is found by `expand`; what is wrong with the text
    as a whole (cut off, BEGIN without END, no calendar at all) is found here and only here.
    What lies behind `limits` is in no group. With `before`, what is known of an earlier state of
    the text within the same limits, the groups can be those alone that may have changed; then
    `replaced` has those of before.
    """
    if len(raw.content) >= pieces.LARGE:
        in_pieces = before and pieces.again(raw, limits, before)
        in_pieces = in_pieces or pieces.in_pieces(raw, limits)
        if in_pieces is not None:
            return in_pieces, ()
    file = read(raw.content, limits)
    gathering = Gathering()
    for component in file.components:
        gathering.add(component, len(gathering))
    groups = tuple(one.group for one in gathering.placed())
    indexed = IndexedObject(raw, sha256(raw.content).hexdigest(), groups)
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
