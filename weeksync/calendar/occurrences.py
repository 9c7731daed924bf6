"""Instances of events and journal entries → occurrences in the household's zone.

CANCELLED ones are there, marked and never busy: who shows them decides. TRANSPARENT is never
busy (RFC 5545 section 3.8.2.7; without TRANSP an event is busy, a whole-day one too). A journal
entry is never busy (section 3.6.3); one without DTSTART belongs to no day and gives nothing.
"""

from __future__ import annotations

from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

from weeksync.calendar.entries import Entry, Key
from weeksync.calendar.lines import addresses, class_of, listed, number_of, text_of, word_of
from weeksync.calendar.series import Instance
from weeksync.model.occurrence import Occurrence


class Occurrences:
    """Makes the occurrences of one UID; what its instances share is worked out once an entry.

    Exceptions are as private as their `master`.
    """

    def __init__(
        self, source: str, collection: str, tz: ZoneInfo, master: Entry | None = None
    ) -> None:
        self._source, self._collection, self._tz = source, collection, tz
        self._class = class_of(master.lines) if master is not None else ""
        self._shared: dict[int, partial[Occurrence]] = {}

    def of(self, instance: Instance) -> Occurrence:
        """The occurrence of an instance."""
        entry = instance.entry
        make = self._shared.get(id(entry))
        if make is None:
            make = self._shared[id(entry)] = self._of_entry(entry)
        return make(
            identity=instance.identity,
            start=local(instance.start, self._tz),
            end=local(instance.end, self._tz),
            busy=not instance.cancelled and takes_time(entry),
            cancelled=instance.cancelled,
        )

    def _of_entry(self, entry: Entry) -> partial[Occurrence]:
        lines = entry.lines
        return partial(
            Occurrence,
            source=self._source,
            collection=self._collection,
            uid=entry.uid,
            title=entry.title,
            zone=entry.start.clock.name if entry.start and entry.start.clock else "",
            tentative=word_of(lines, "STATUS") == "TENTATIVE",
            journal=entry.kind == "VJOURNAL",
            classification=class_of(lines, self._class),
            place=text_of(lines, "LOCATION"),
            notes=text_of(lines, "DESCRIPTION"),
            link=text_of(lines, "URL"),
            categories=listed(lines, "CATEGORIES"),
            attendees=addresses(lines),
            sequence=number_of(lines, "SEQUENCE"),
            stamp=word_of(lines, "DTSTAMP") or word_of(lines, "LAST-MODIFIED"),
        )


def takes_time(entry: Entry) -> bool:
    """Whether it is busy, unless cancelled."""
    return entry.kind != "VJOURNAL" and word_of(entry.lines, "TRANSP") != "TRANSPARENT"


def local(moment: Key, tz: ZoneInfo) -> datetime | Key:
    """An instant in the household's zone; a date stays."""
    return moment.astimezone(tz) if isinstance(moment, datetime) else moment
