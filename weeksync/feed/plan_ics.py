"""The feed as bytes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import weeksync
from weeksync.feed.entries import Entry

if TYPE_CHECKING:
    from icalendar import Alarm, Event


def plan_ics(
    found: Iterable[Entry],
    *,
    name: str,
    tentative: str,
    written: datetime,
    alarm_minutes: int = 0,
) -> bytes:
    """A VCALENDAR of the entries (RFC 5545 section 3.6); the same entries give the same bytes.

    `name` is what the phone calls it (RFC 7986 section 5.1); `tentative` stands before what is
    only proposed, as "Proposed: ", since most programs do not show STATUS. `written` (UTC) is
    DTSTAMP, which phones compare by: the same for as long as nothing need be fetched anew.
    Nothing in it keeps a time busy (TRANSP, 3.8.2.7): it is a plan and no engagement.
    """
    from icalendar import Calendar  # 0.1 seconds

    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", f"-//weeksync//weeksync {weeksync.__version__}//EN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)  # what programs before RFC 7986 read
    calendar.add("refresh-interval", timedelta(hours=1), parameters={"VALUE": "DURATION"})
    for entry in found:
        calendar.add_component(_event(entry, tentative, written, alarm_minutes))
    return bytes(calendar.to_ical())


def _event(entry: Entry, tentative: str, written: datetime, alarm_minutes: int) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", written)
    event.add("summary", f"{tentative}{entry.title}" if entry.proposed else entry.title)
    event.add("dtstart", entry.start)
    if entry.end is not None:
        event.add("dtend", entry.end)
    event.add("status", "TENTATIVE" if entry.proposed else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    if entry.timed and alarm_minutes:
        event.add_component(_alarm(entry.title, alarm_minutes))
    return event


def _alarm(title: str, minutes: int) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", title)
    alarm.add("trigger", timedelta(minutes=-minutes))
    return alarm
