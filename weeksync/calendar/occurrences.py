"""Instances of events and journal entries → occurrences in the household's zone.

CANCELLED ones are there, marked and never busy: who shows them decides. TRANSPARENT is never
busy (RFC 5545 section 3.8.2.7; without TRANSP an event is busy, a whole-day one too). A journal
entry is never busy (section 3.6.3); one without DTSTART belongs to no day and gives nothing.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from weeksync.calendar.entries import Entry, Key
from weeksync.calendar.lines import addresses, listed, number_of, text_of, word_of
from weeksync.calendar.series import Instance
from weeksync.calendar.values import EARLIEST
from weeksync.model.occurrence import Occurrence


class Occurrences:
    """Makes the occurrences of one UID; what its instances share is worked out once an entry."""

    def __init__(self, source: str, collection: str, tz: ZoneInfo) -> None:
        self._source, self._collection, self._tz = source, collection, tz
        self._shared: dict[int, Occurrence] = {}

    def of(self, instance: Instance) -> Occurrence:
        """The occurrence of an instance."""
        entry = instance.entry
        shared = self._shared.get(id(entry))
        if shared is None:
            shared = self._shared[id(entry)] = self._template(entry)
        return replace(
            shared,
            identity=instance.identity,
            start=local(instance.start, self._tz),
            end=local(instance.end, self._tz),
            busy=shared.busy and not instance.cancelled,
            cancelled=instance.cancelled,
        )

    def _template(self, entry: Entry) -> Occurrence:
        lines = entry.lines
        journal = entry.kind == "VJOURNAL"
        start = entry.start.key if entry.start is not None else EARLIEST.date()
        return Occurrence(
            source=self._source,
            collection=self._collection,
            uid=entry.uid,
            identity="",
            title=entry.title,
            start=start,
            end=start,
            zone=entry.start.clock.name if entry.start and entry.start.clock else "",
            busy=not journal and word_of(lines, "TRANSP") != "TRANSPARENT",
            tentative=word_of(lines, "STATUS") == "TENTATIVE",
            journal=journal,
            classification=word_of(lines, "CLASS"),
            place=text_of(lines, "LOCATION"),
            notes=text_of(lines, "DESCRIPTION"),
            link=text_of(lines, "URL"),
            categories=listed(lines, "CATEGORIES"),
            attendees=addresses(lines),
            sequence=number_of(lines, "SEQUENCE"),
            stamp=word_of(lines, "DTSTAMP") or word_of(lines, "LAST-MODIFIED"),
        )


def local(moment: Key, tz: ZoneInfo) -> datetime | Key:
    """An instant in the household's zone; a date stays."""
    return moment.astimezone(tz) if isinstance(moment, datetime) else moment
