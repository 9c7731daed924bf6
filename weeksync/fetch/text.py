"""Whether bytes are one whole iCalendar text; nothing is decoded or changed."""

from __future__ import annotations

import re
from enum import Enum, auto

from weeksync.message import Message, message

# The line's beginning is looked for behind the word: so one search, which only stops at that word,
# goes through the text as it is. A calendar may have millions of lines.
_MARK = re.compile(
    rb":vcalendar(?:(?<=^begin:vcalendar)|(?<=^end:vcalendar))[ \t]*\r?$",
    re.MULTILINE | re.IGNORECASE,
)
_BOM = b"\xef\xbb\xbf"


class Flaw(Enum):
    """Why bytes are no whole iCalendar text."""

    EMPTY = auto()
    PACKED = auto()
    MARKUP = auto()
    OTHER = auto()
    CUT = auto()


def flaw(content: bytes) -> Flaw | None:
    """What is wrong with an `.ics` text, None where it is whole (RFC 5545, section 3.4).

    A byte order mark before it is fine, and so are several calendars one after the other. Each
    that begins must end: a text that was cut off arrives without any other sign of it.
    """
    text = content.removeprefix(_BOM)
    if b"\n" not in text:  # lines that end with CR alone are read as lines all the same
        text = text.replace(b"\r", b"\n")
    start = text[:512].lstrip()
    if not start:
        return Flaw.EMPTY
    if start.startswith(b"\x1f\x8b"):
        return Flaw.PACKED
    begun, ended = _marks(text)
    if not begun:
        return Flaw.MARKUP if start.startswith(b"<") else Flaw.OTHER
    return Flaw.CUT if ended < begun else None


def _marks(text: bytes) -> tuple[int, int]:
    """How often a calendar begins and ends, without a list of them: there may be millions."""
    begun = ended = 0
    for mark in _MARK.finditer(text):
        if text[mark.start() - 1] in b"nN":  # begin
            begun += 1
        else:
            ended += 1
    return begun, ended


def sentence(found: Flaw, place: str) -> Message:
    """The sentence for people about a text at `place`, a file name or the host of a feed."""
    match found:
        case Flaw.EMPTY:
            return message(
                "{place} is empty; an empty answer is not taken for a calendar without events",
                place=place,
            )
        case Flaw.PACKED:
            return message("{place} is packed with gzip; unpack it first", place=place)
        case Flaw.MARKUP:
            return message(
                "{place} is a web page and no calendar; look for the address that ends in .ics",
                place=place,
            )
        case Flaw.OTHER:
            return message(
                "{place} is no calendar: it has no line BEGIN:VCALENDAR; look at the address",
                place=place,
            )
        case Flaw.CUT:
            return message(
                "{place} is cut off: a line END:VCALENDAR is missing; it is taken when it is whole",
                place=place,
            )
