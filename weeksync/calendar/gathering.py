"""Components one after another → the groups of an index, each with its digest and its days."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import field
from datetime import date
from hashlib import sha256
from typing import TYPE_CHECKING

from weeksync.calendar.outline import Outline, earliest, latest, outline
from weeksync.calendar.text import CalendarText, ComponentText
from weeksync.lazy import dataclass
from weeksync.model.pulled import PlacedGroup, UidGroup

if TYPE_CHECKING:
    from hashlib import _Hash


class Gathering:
    """Takes in components in the order of their text; of the UIDs in `only` where that is given."""

    def __init__(self, only: Container[str] | None = None) -> None:
        self._only = only
        self._groups: dict[str, _Gathered] = {}
        self._zones = _ZoneDigests()

    def __len__(self) -> int:
        return len(self._groups)

    def add(self, component: ComponentText, position: int, piece: int = 0) -> None:
        """Take in one more, which has that position and lies in that piece of the text."""
        found = outline(component)
        if self._only is not None and found.uid not in self._only:
            return
        group = self._groups.get(found.uid)
        if group is None:
            first = _Gathered(position, [piece], found.first, found.last)
            group = self._groups[found.uid] = first
        group.add(found, component, piece, self._zones)

    def placed(self) -> tuple[PlacedGroup, ...]:
        """The groups, in the order in which each first appeared."""
        return tuple(
            PlacedGroup(
                UidGroup(uid, one.digest.hexdigest(), one.first, one.last, one.count),
                one.position,
                tuple(one.pieces[1:]),
            )
            for uid, one in self._groups.items()
        )


@dataclass(slots=True)
class _Gathered:
    """A group while the text is gone through."""

    position: int
    pieces: list[int]
    first: date | None
    last: date | None
    count: int = 0
    digest: _Hash = field(default_factory=sha256)

    def add(
        self, found: Outline, component: ComponentText, piece: int, zones: _ZoneDigests
    ) -> None:
        """Take in one more component of that UID."""
        self.count += 1
        self.first = earliest(self.first, found.first)
        self.last = latest(self.last, found.last)
        if piece not in self.pieces:
            self.pieces.append(piece)
        raw = component.raw
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
