"""Texts as they were read a moment ago: what is new is read to be indexed, and then to be expanded.

What was read hangs on the bytes and the limits alone, so it can be handed out again: once, and
the last few texts, since they take more than twice the room of their bytes.
"""

from __future__ import annotations

from weeksync.calendar.text import FileText
from weeksync.model.limits import ReadLimits

ROOM = 4_000_000
"""Bytes of all texts together: a small household's calendars."""

_read: dict[bytes, tuple[ReadLimits, FileText]] = {}


def keep(content: bytes, limits: ReadLimits, file: FileText) -> None:
    """Remember what was read of a text, all of it, within these limits."""
    _read[content] = limits, file
    while sum(map(len, _read)) > ROOM:
        _read.pop(next(iter(_read)), None)


def take(content: bytes, limits: ReadLimits) -> FileText | None:
    """What was read of that text within these limits, where that is known; not a second time."""
    found = _read.get(content)
    if found is None or found[0] != limits:
        return None
    _read.pop(content, None)
    return found[1]
