"""What the tests of this part share: objects from text, and answers written short."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from weeksync.calendar import Expansion
from weeksync.calendar.expand import expand
from weeksync.model.limits import ExpandLimits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.pulled import StoredObject
from weeksync.zones import zone

LONDON = zone("Europe/London")


def stored(content: bytes | str, name: str = "a.ics", collection: str = "home") -> StoredObject:
    """An object of the source `test`."""
    data = content if isinstance(content, bytes) else content.encode()
    return StoredObject("test", collection, name, "", "", data)


def calendar(*components: str) -> str:
    """A calendar text with these components."""
    return "\n".join(("BEGIN:VCALENDAR", "VERSION:2.0", *components, "END:VCALENDAR", ""))


def event(*lines: str, uid: str = "a") -> str:
    """A VEVENT of these lines."""
    return "\n".join(("BEGIN:VEVENT", f"UID:{uid}", *lines, "END:VEVENT"))


def expanded(
    content: bytes | str,
    start: date,
    end: date,
    tz: ZoneInfo = LONDON,
    limits: ExpandLimits = ExpandLimits(),  # noqa: B008 - frozen
) -> Expansion:
    """What one text says about these days."""
    return expand([stored(content)], start, end, tz, limits)


def starts(expansion: Expansion) -> list[str]:
    """The starts, short."""
    return [short(one.start) for one in expansion.occurrences]


def short(moment: datetime | date | None) -> str:
    """A time as `2027-03-28T01:30Z`, a day as `2027-03-28`, nothing as `-`."""
    if moment is None:
        return "-"
    if not isinstance(moment, datetime):
        return moment.isoformat()
    utc = moment.astimezone(UTC)
    return utc.strftime("%Y-%m-%dT%H:%M:%SZ" if utc.second else "%Y-%m-%dT%H:%MZ")


def line(one: Occurrence, *, zone_too: bool = False, local_too: bool = False) -> str:
    """An occurrence as the case files have it: start/end, its marks, its title."""
    marks = [
        word
        for word, holds in (
            (f"local:{_local(one.start)}/{_local(one.end)}", local_too),
            ("cancelled", one.cancelled),
            ("free", not one.busy),
            ("tentative", one.tentative),
            ("journal", one.journal),
            (f"also:{','.join(one.also_in)}", bool(one.also_in)),
            (f"@{one.zone}", zone_too),
        )
        if holds
    ]
    return " ".join((f"{short(one.start)}/{short(one.end)}", *marks, one.title))


def _local(moment: datetime | date) -> str:
    """What the household's clock shows: `2027-03-28T02:30+01:00`, a day as it is."""
    if not isinstance(moment, datetime):
        return moment.isoformat()
    return moment.isoformat(timespec="seconds" if moment.second else "minutes")


def todo_line(one: TodoItem) -> str:
    """A to-do as the case files have it: start/due, whether it is done, its title."""
    done = () if one.open else ("done",)
    return " ".join((f"{short(one.start)}/{short(one.due)}", *done, one.title))
