"""Busy times of a shared week as a calendar file: one VFREEBUSY (RFC 5545, section 3.6.4).

UTC periods without a word beside them. All the same it shows when a home may be empty, and so is
switched on by hand and said with a warning.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta

from weeksync.message import message
from weeksync.model.shared import BusyPeriod

WARNING = message(
    "{file} says when somebody of the household was engaged, and so when the home may be empty in "
    "weeks to come; take busy_times out of [sharing] if that should not be told",
    file="busy.ics",
)

_MOST_OCTETS = 75
"""A content line is folded after so many octets (RFC 5545, section 3.1)."""

_DAY = timedelta(days=1)


def busy_file(periods: Sequence[BusyPeriod]) -> bytes:
    """The calendar file of the periods, of which there is at least one.

    Without ORGANIZER, ATTENDEE, URL, COMMENT and CONTACT, which tell whose it is; METHOD is left
    out because RFC 5546 wants an ORGANIZER with it. The window is the days of UTC that hold the
    periods, since midnights of the household would tell its zone. UID and DTSTAMP must be there:
    the one is made of what stands in the file anyway, the other is the end of the window, so that
    neither says who made the file, nor when.
    """
    spans = [(one.start.astimezone(UTC), one.end.astimezone(UTC)) for one in sorted(periods)]
    first, last = _midnight(spans[0][0]), max(end for _, end in spans)
    end = _midnight(last) if _midnight(last) == last else _midnight(last) + _DAY
    written = [f"{_utc(start)}/{_utc(stop)}" for start, stop in spans]
    digest = hashlib.sha256("\n".join(written).encode("ascii")).digest()
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//busy times//EN",
        "BEGIN:VFREEBUSY",
        f"UID:{int.from_bytes(digest[:16])}",
        f"DTSTAMP:{_utc(end)}",
        f"DTSTART:{_utc(first)}",
        f"DTEND:{_utc(end)}",
        *(f"FREEBUSY;FBTYPE=BUSY:{span}" for span in written),
        "END:VFREEBUSY",
        "END:VCALENDAR",
    ]
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line)).encode("ascii")


def _midnight(moment: datetime) -> datetime:
    return moment.replace(hour=0, minute=0, second=0, microsecond=0)


def _utc(moment: datetime) -> str:
    return moment.strftime("%Y%m%dT%H%M%SZ")


def _folded(line: str) -> Iterator[str]:
    """The line as it is, or in pieces of at most 75 octets; all of it is ASCII."""
    yield line[:_MOST_OCTETS]
    for start in range(_MOST_OCTETS, len(line), _MOST_OCTETS - 1):
        yield " " + line[start : start + _MOST_OCTETS - 1]
