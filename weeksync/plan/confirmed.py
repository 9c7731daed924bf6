"""What the snapshots of a household say for the plan: what was shown, and what was proposed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, time
from zoneinfo import ZoneInfo

from weeksync.model.occurrence import Occurrence
from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.model.spread import LeftOut, LeftOutReason
from weeksync.model.week import IsoWeek
from weeksync.model.week_plan import Piece
from weeksync.plan.snapshot import event_key


class Confirmed:
    """The weeks as they were last printed or confirmed."""

    def __init__(self, snapshots: Mapping[IsoWeek, Snapshot]) -> None:
        self._snapshots = snapshots
        self._events: dict[IsoWeek, set[str]] = {
            week: {line.key for line in one.lines if line.kind is LineKind.EVENT}
            for week, one in snapshots.items()
        }

    def of(self, week: IsoWeek) -> Snapshot | None:
        """The snapshot of a week."""
        return self._snapshots.get(week)

    def has(self, one: Occurrence, week: IsoWeek) -> bool:
        """Whether the snapshot of that week has the occurrence, on whatever day of it."""
        return event_key(one) in self._events.get(week, ())

    def shows(self, one: Occurrence, first: IsoWeek, last: IsoWeek) -> bool:
        """Whether a snapshot of the weeks from `first` to `last` has the occurrence."""
        return any(self.has(one, week) for week in self._events if first <= week <= last)

    def struck(self, left_out: Iterable[LeftOut]) -> tuple[Occurrence, ...]:
        """The cancelled occurrences that some snapshot has: there they are shown struck through."""
        known = set().union(*self._events.values())
        return tuple(
            one.occurrence
            for one in left_out
            if one.reason is LeftOutReason.CANCELLED and event_key(one.occurrence) in known
        )

    def pieces(self, tz: ZoneInfo) -> dict[str, tuple[Piece, ...]]:
        """Id of a task → where it was proposed, in the zone of the household."""
        found: dict[str, list[Piece]] = {}
        for week in sorted(self._snapshots):
            for line in self._snapshots[week].lines:
                piece = _piece(line, tz) if line.kind is LineKind.PROPOSED else None
                if piece is not None:
                    found.setdefault(line.key.partition("|")[2], []).append(piece)
        return {task: tuple(pieces) for task, pieces in found.items()}


def _piece(line: SnapshotLine, tz: ZoneInfo) -> Piece | None:
    """The piece of a line; None where somebody wrote other than times into the file."""
    try:
        start, end = (time.fromisoformat(clock) for clock in (line.start, line.end))
    except ValueError:
        return None
    if line.part is None:
        return None
    begins = datetime.combine(line.day, start.replace(tzinfo=None), tz)
    ends = datetime.combine(line.until or line.day, end.replace(tzinfo=None), tz)
    return Piece(begins, ends, line.part)
