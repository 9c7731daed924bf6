"""A large text in pieces, so that a change costs what has changed and not what has not.

The first piece is what stands above the entries of a calendar, the last one its end; those between
hold whole entries, some sixteen kilobytes each. Put together they are the text. First, last and any
of the others are a text in their turn, in which the entries are what they are in the whole; and
when the text comes again, only pieces that differ are read. That holds for one calendar in which
nothing is out of place: any other text is read whole, and nothing here is needed to have it right.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Protocol

from weeksync.calendar import lately
from weeksync.calendar.gathering import Gathering
from weeksync.calendar.text import ENTRIES, CalendarText, FileText, read
from weeksync.model.limits import ReadLimits
from weeksync.model.pulled import ROOM, IndexedObject, Piece, PlacedGroup, RawObject

SIZE = 16_384
"""Bytes from which on a piece ends with the entry it is in."""
LARGE = 2 * SIZE
"""Bytes of a text that is worth it."""
_GAP = 1 << 20
"""How far apart numbers are at first: between two of them others find room."""
_MOST_AGAIN = 40
"""Pieces that are read again for what they share with those that changed; with more of them
reading everything is no worse."""

_BEGIN = re.compile(rb"(?<=\n)BEGIN:V(?:EVENT|TODO|JOURNAL)\r?\n")
_LAST = b"\nEND:VCALENDAR"
_ANY_ENTRY = b"BEGIN:VEVENT\nEND:VEVENT\n"


class Before(Protocol):
    """A text in pieces as it was when it was indexed last."""

    @property
    def pieces(self) -> Sequence[Piece]:
        """All of them in order, without their content."""

    def groups_in(self, numbers: Collection[int]) -> list[PlacedGroup]:
        """The groups that have anything in these pieces."""

    def groups_of(self, uids: Collection[str]) -> list[PlacedGroup]:
        """The groups of these UIDs."""

    def contents(self, numbers: Collection[int]) -> dict[int, bytes]:
        """The bytes of these pieces."""


def in_pieces(raw: RawObject, limits: ReadLimits) -> IndexedObject | None:
    """The index of a text that had none; None where it has to be read whole."""
    content = raw.content
    first = _BEGIN.search(content)
    end = content.rfind(_LAST) + 1
    if first is None or end <= first.start() or _more_than_is_read(content, limits):
        return None
    frame = _frame(content[: first.start()], content[end:], limits)
    parts = _cut(content, first.start(), end)
    if frame is None or parts is None:
        return None
    texts = [content[: first.start()], *parts, content[end:]]
    pieces = [_piece(number * _GAP, text) for number, text in enumerate(texts)]
    pieces[0] = replace(pieces[0], marks=frame.marks)
    gathering, whole = Gathering(), FileText(frame.calendars)
    for at, piece in enumerate(pieces[1:-1], 1):
        file = _entries(texts[at], frame.calendars[0], limits)
        if file is None:
            return None
        pieces[at] = replace(piece, marks=file.marks, entries=len(file.components))
        _gather(gathering, piece.number, file)
        if len(content) <= lately.ROOM:
            whole.components += file.components
    if not _all_read(pieces, limits):
        return None
    if whole.components:
        lately.keep(content, limits, whole)
    digest = sha256(content).hexdigest()
    placed = gathering.placed()
    return IndexedObject(raw, digest, tuple(one.group for one in placed), placed, tuple(pieces))


def again(raw: RawObject, limits: ReadLimits, before: Before) -> IndexedObject | None:
    """The index of a text of which an earlier state is known; None where that does not help.

    Its groups are only those that may have changed, in the place of those in `replaced`.
    """
    content, kept = raw.content, before.pieces
    count, start = _same(kept[:-1], content)
    more, end = _same_from_the_end(reversed(kept[count:]), content, start)
    if not count or not more:
        return None
    stay = [*kept[:count], *kept[len(kept) - more :]]
    gone = [one.number for one in kept[count : len(kept) - more]]
    frame = _frame(content[: stay[0].size], content[len(content) - stay[-1].size :], limits)
    parts = _cut(content, start, end)
    if frame is None or parts is None:
        return None
    calendar = frame.calendars[0]
    numbers = _numbers(kept[count - 1].number, gone, stay[count].number, len(parts))
    if numbers is None:
        return None
    files: dict[int, FileText] = {}
    pieces = []
    for number, part in zip(numbers, parts, strict=True):
        file = _entries(part, calendar, limits)
        if file is None:
            return None
        files[number] = file
        new = _piece(number, part)
        pieces.append(replace(new, marks=file.marks, entries=len(file.components)))
    pieces = [*stay[:count], *pieces, *stay[count:]]
    changed = _changed(before, gone, files, calendar, limits)
    if changed is None or not _all_read(pieces, limits):
        return None
    placed, replaced = changed
    digest = sha256(content).hexdigest()
    groups = tuple(one.group for one in placed)
    return IndexedObject(raw, digest, groups, placed, tuple(pieces), replaced)


def _changed(
    before: Before,
    gone: Collection[int],
    files: dict[int, FileText],
    calendar: CalendarText,
    limits: ReadLimits,
) -> tuple[tuple[PlacedGroup, ...], tuple[PlacedGroup, ...]] | None:
    """(the groups that have anything in what is new or gone, those of them that there were)."""
    replaced = before.groups_in(gone)
    new = Gathering()
    for number in sorted(files):
        _gather(new, number, files[number])
    were = {one.group.uid for one in replaced}
    replaced += before.groups_of({one.group.uid for one in new.placed()} - were)
    elsewhere = {number for one in replaced for number in (one.position // ROOM, *one.others)}
    elsewhere -= {*gone}
    if not elsewhere:
        return new.placed(), tuple(replaced)
    if len(elsewhere) > _MOST_AGAIN:
        return None
    for number, content in before.contents(elsewhere).items():
        file = _entries(content, calendar, limits)
        if file is None:
            return None
        files[number] = file
    wanted = {one.group.uid for one in (*replaced, *new.placed())}
    gathering = Gathering(wanted)
    for number in sorted(files):
        _gather(gathering, number, files[number])
    return gathering.placed(), tuple(replaced)


def _gather(gathering: Gathering, number: int, file: FileText) -> None:
    for at, component in enumerate(file.components):
        gathering.add(component, number * ROOM + at, number)


def _frame(head: bytes, tail: bytes, limits: ReadLimits) -> FileText | None:
    """The calendar whose entries stand between these; None where more than one or none is there."""
    file = read(head + _ANY_ENTRY + tail, limits)
    odd = file.cut or file.stray or file.full or file.heavy
    return None if odd or len(file.calendars) != 1 or len(file.components) != 1 else file


def _entries(part: bytes, calendar: CalendarText, limits: ReadLimits) -> FileText | None:
    """What a part of the calendar's text holds; None where that is more or less than entries."""
    file = read(part, limits, calendar)
    odd = file.cut or file.stray or file.full or file.heavy or file.zones
    return None if odd or len(file.calendars) > 1 or len(file.components) > ROOM else file


def _cut(content: bytes, start: int, end: int) -> list[bytes] | None:
    """What lies between, each part from the beginning of an entry on; None where none begins."""
    parts: list[bytes] = []
    if content[end - 1 : end] != b"\n":  # what follows begins no line
        return None
    while start < end:
        if _BEGIN.match(content, start, end) is None:
            return None
        found = _BEGIN.search(content, min(start + SIZE, end), end)
        stop = end if found is None else found.start()
        parts.append(content[start:stop])
        start = stop
    return parts


def _same(kept: Sequence[Piece], content: bytes) -> tuple[int, int]:
    """(how many of these the content begins with, where they end)."""
    at = 0
    for count, one in enumerate(kept):
        if _digest(content[at : at + one.size]) != one.digest:
            return count, at
        at += one.size
    return len(kept), at


def _same_from_the_end(kept: Iterable[Piece], content: bytes, least: int) -> tuple[int, int]:
    """(how many of these it ends with, where they begin), seen from its end as far as `least`."""
    count, end = 0, len(content)
    for one in kept:
        start = end - one.size
        if start < least or _digest(content[start:end]) != one.digest:
            break
        count, end = count + 1, start
    return count, end


def _numbers(low: int, gone: Sequence[int], high: int, count: int) -> Sequence[int] | None:
    """Numbers for so many pieces between two that stay; None where there is no room."""
    if count <= len(gone):
        return gone[:count]
    step = (high - low) // (count + 1)
    return [low + step * at for at in range(1, count + 1)] if step else None


def _piece(number: int, content: bytes) -> Piece:
    return Piece(number, len(content), _digest(content), 0, 0, content)


def _more_than_is_read(content: bytes, limits: ReadLimits) -> bool:
    """Whether that shows without reading, so that what is far too much is not read twice."""
    return sum(content.count(b"\nBEGIN:%b" % kind.encode()) for kind in ENTRIES) >= limits.entries


def _all_read(pieces: Sequence[Piece], limits: ReadLimits) -> bool:
    """Whether reading the whole would come to its end."""
    entries = sum(one.entries for one in pieces)
    return entries < limits.entries and sum(one.marks for one in pieces) < limits.marks


def _digest(content: bytes) -> bytes:
    return sha256(content).digest()[:16]
