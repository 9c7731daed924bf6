"""`snapshots/2027-W12.json`: what the pages of a week showed when it was printed or confirmed."""

from __future__ import annotations

from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Annotated

from weeksync.lazy import dataclass
from weeksync.model.fields import DayPart, FileRecord
from weeksync.model.record import Checked, Length, Record
from weeksync.model.week import IsoWeek

MOST_LINES = 5_000
"""Lines of a week that are kept; no week that can be read has more."""


def _is_week(text: str) -> str:
    IsoWeek.parse(text)
    return text


def _in_utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError("it has no offset")
    return moment.astimezone(UTC)


class LineKind(StrEnum):
    """What a line of a page is about."""

    HOLIDAY = "holiday"
    EVENT = "event"
    PRIORITY = "priority"
    TASK = "task"
    PROPOSED = "proposed"
    """A piece of a task where it was proposed: a proposal moves none that was confirmed."""
    PAY = "pay"
    STEP = "step"
    BILL = "bill"
    LESSON = "lesson"
    HABIT = "habit"
    BREAK = "break"
    ROW = "row"
    NOTES = "notes"


@dataclass(frozen=True, slots=True)
class SnapshotLine:
    """One line of a week as its pages show it; never an amount, a mark or a check-in."""

    kind: LineKind
    """What it is about."""
    key: str
    """What stays the same when the line changes: of an event its UID and RECURRENCE-ID."""
    day: date
    """The first day of the week on which it stands."""
    title: str
    """Its title."""
    series: str = ""
    """What the lines of one recurring event share, "" where nothing else can be the same."""
    until: date | None = None
    """The last one, where it stands on several."""
    start: str = ""
    """Local time as 14:30; "" for none, and where it began on an earlier page."""
    end: str = ""
    """Local time as 15:30 on the day `until`; "" for none, and where it ends on a later page."""
    part: DayPart | None = None
    """The day part of a task or habit."""
    due: date | None = None
    """When a task is due, where that is another day."""
    tentative: bool = False
    """An event that is not sure yet."""
    text: str = ""
    """What else is shown: the place of an event, the words of a row or of the notes."""
    persons: tuple[str, ...] = ()
    """Whose it is."""
    only_for: tuple[str, ...] = ()
    """The persons who may see it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot(FileRecord):
    """What a week showed when it was last printed or confirmed (`snapshots/2027-W12.json`)."""

    # weeksync writes the file itself: what a later one adds is passed over, titles are kept as is.
    __pydantic_config__ = {  # noqa: RUF012 - pydantic asks the class
        **Record.__pydantic_config__,
        "extra": "ignore",
        "str_strip_whitespace": False,
    }

    week: Annotated[str, Checked(_is_week)]
    """The ISO week, as 2027-W12."""
    taken_at: Annotated[datetime, Checked(_in_utc)]
    """When it was printed or confirmed."""
    lines: Annotated[tuple[SnapshotLine, ...], Length(most=MOST_LINES)] = ()
    """The lines of its pages, by day."""

    @property
    def iso_week(self) -> IsoWeek:
        """The week it is of."""
        return IsoWeek.parse(self.week)
