"""What every kind of source is to the rest of weeksync."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Protocol

from weeksync.model.config import CalendarSource
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import KnownCollection, Pulled


class Source(Protocol):
    """One calendar of `config.toml`, or all the calendars of one account."""

    id: str
    """The id of the calendar in `config.toml`."""

    def pull(self, known: Mapping[str, KnownCollection], limits: PullLimits) -> Pulled:
        """What changed since `known`: collection name → its token and its objects' tags.

        Nothing is kept between two pulls but what is in `known`. Raises a subclass of
        SourceError where the pull as a whole failed, and no other error; then what is known
        stays good.
        """
        ...


def source_for(
    calendar: CalendarSource, folder: Path, password: Callable[[], str | None]
) -> Source:
    """The source behind one `[[calendars]]` entry; paths are seen from `folder`.

    `password` is called when a server asks for one, at most once a pull; it may raise a
    WeeksyncError. Only what the kind needs is imported: CalDAV brings a large library along.
    """
    match calendar.kind:
        case "path":
            from weeksync.fetch.files import FileSource

            return FileSource(calendar.id, folder / Path(calendar.path).expanduser())
        case "url":
            from weeksync.fetch.feed import FeedSource

            return FeedSource(calendar.id, calendar.url, calendar.user, password)
        case "caldav":
            from weeksync.fetch.caldav_source import CalDavSource

            return CalDavSource(
                calendar.id, calendar.caldav, calendar.choose, calendar.user, password
            )
