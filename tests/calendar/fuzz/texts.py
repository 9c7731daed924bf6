"""Calendar texts written otherwise: what must not change what they say (RFC 5545 section 3.1).

Everything here works on the unfolded text (each line led by a newline, as
`weeksync.calendar.text.unfolded` gives it) and knows nothing else of the reader.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

TIMES = frozenset({"DTSTART", "DTEND", "DUE", "RDATE", "EXDATE", "RECURRENCE-ID"})
_WORDS = TIMES | {"RRULE", "EXRULE", "DURATION", "STATUS", "TRANSP"}
KNOWN = _WORDS | {
    "UID", "SUMMARY", "DESCRIPTION", "LOCATION", "URL", "CATEGORIES", "ATTENDEE", "ORGANIZER",
    "CLASS", "SEQUENCE", "DTSTAMP", "LAST-MODIFIED", "PRIORITY", "COMPLETED", "PERCENT-COMPLETE",
    "ESTIMATED-DURATION", "TZID", "TZOFFSETFROM", "TZOFFSETTO", "VERSION", "PRODID",
}  # fmt: skip
"""The properties that are read, and two more: a line of none may be the rest of a text before."""
_ENTRIES = frozenset({"VEVENT", "VTODO", "VJOURNAL"})
_MARK = re.compile(r"(BEGIN|END):[ \t]*([A-Z0-9-]+)[ \t]*", re.IGNORECASE | re.ASCII)
_PROPERTY = re.compile(
    r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:]*))*):(.*)', re.ASCII | re.DOTALL
)
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=("[^"]*"|[^";:]*)', re.ASCII)
_DATE = re.compile(r"(?<!\d)(\d{4})(\d{4})(?!\d)", re.ASCII)
_LOWER = {code: code + 32 for code in range(ord("A"), ord("Z") + 1)}
_SWAP = _LOWER | {code + 32: code for code in _LOWER}


@dataclass(slots=True)
class CalendarLines:
    """A well-formed VCALENDAR: its own lines, its zones and its entries, each with its marks."""

    header: list[str] = field(default_factory=list)
    zones: list[list[str]] = field(default_factory=list)
    entries: list[list[str]] = field(default_factory=list)

    def around(self, entries: list[list[str]], *, zones_last: bool = False) -> str:
        """A calendar text of its own lines and zones with other entries in it."""
        parts = [*entries, *self.zones] if zones_last else [*self.zones, *entries]
        inner = [line for part in parts for line in part]
        return "\n".join(["", "BEGIN:VCALENDAR", *self.header, *inner, "END:VCALENDAR", ""])


def mark(line: str) -> tuple[str, str] | None:
    """("BEGIN" or "END", the component) where the line is such a mark."""
    found = _MARK.fullmatch(line)
    return (found[1].upper(), found[2].upper()) if found else None


def name_of(line: str) -> str:
    """The upper-case name of a property."""
    return line.partition(":")[0].partition(";")[0].strip(" \t").upper()


def rendered(text: str, eol: bytes, width: int = 0, fold: bytes = b" ") -> bytes:
    """The text with other line ends, folded after `width` bytes (0: not at all)."""
    lines = text.encode().split(b"\n")
    return eol.join((eol + fold).join(_chunks(line, width)) for line in lines)


def _chunks(line: bytes, width: int) -> list[bytes]:
    if not width:
        return [line]
    return [line[at : at + width] for at in range(0, len(line), width)] or [b""]


def well_formed(text: str) -> list[CalendarLines] | None:
    """The calendars of a text in which every BEGIN has its END and nothing is out of place."""
    found: list[CalendarLines] = []
    stack: list[str] = []
    part: list[str] = []
    for line in text.removeprefix("\n").removesuffix("\n").split("\n"):
        word, kind = mark(line) or ("", "")
        if word == "END" and (not stack or stack.pop() != kind):
            return None
        if word == "BEGIN":
            if (kind == "VCALENDAR") != (not stack) or _nested(kind, stack) or len(stack) > 9:
                return None
            stack.append(kind)
            if kind == "VCALENDAR":
                found.append(CalendarLines())
        _take(found, part, line, word, len(stack))
    return found if text.endswith("\n") and not stack else None


def _nested(kind: str, stack: list[str]) -> bool:
    return kind in _ENTRIES | {"VTIMEZONE"} and len(stack) != 1


def _take(found: list[CalendarLines], part: list[str], line: str, word: str, depth: int) -> None:
    """One line in its place; what stands behind the first component is no header."""
    if not found or (word and depth == 0) or (word == "BEGIN" and depth == 1):
        return
    calendar = found[-1]
    if depth == 1 and not word:
        if not (calendar.zones or calendar.entries or part):
            calendar.header.append(line)
        return
    part.append(line)
    if depth == 1:
        kind = (mark(part[0]) or ("", ""))[1]
        if kind == "VTIMEZONE":
            calendar.zones.append([*part])
        elif kind in _ENTRIES:
            calendar.entries.append([*part])
        part.clear()


def each_line(text: str, change: Callable[[str], str]) -> str:
    """The text with every line changed."""
    return "\n".join(change(line) for line in text.split("\n"))


def other_case(line: str) -> str:
    """Names of properties, parameters and components in the other case (section 2)."""
    if mark(line):
        return line.translate(_SWAP)
    found = _PROPERTY.fullmatch(line)
    if found is None or not is_property(line):
        return line
    head = _PARAMETER.sub(lambda one: f";{one[1].translate(_SWAP)}={one[2]}", found[2])
    return f"{found[1].translate(_SWAP)}{head}:{found[3]}"


def lower_words(line: str) -> str:
    """Rules, durations, times and other fixed words in lower case."""
    found = _PROPERTY.fullmatch(line)
    if found is None or found[1].upper() not in _WORDS or ":" in found[3]:
        return line
    head = _PARAMETER.sub(_lower_parameter, found[2])
    return f"{found[1]}{head}:{found[3].translate(_LOWER)}"


def _lower_parameter(found: re.Match[str]) -> str:
    fixed = found[1].upper() in {"VALUE", "RANGE"}
    return f";{found[1]}={found[2].translate(_LOWER) if fixed else found[2]}"


def is_property(line: str) -> bool:
    """Whether the line is surely a property, and no rest of a text that lost its fold."""
    name = name_of(line)
    return ":" in line and (name in KNOWN or name.startswith("X-"))


def by_name(text: str) -> str | None:
    """The properties of each component by name, backwards; those of one name keep their order.

    What is no property stays with the line before it, and the last line where it is, since it
    is cut where no line end follows it. None where a component begins with no property, or
    where something looks like a mark and is none.
    """
    first, *lines, last = ["", *text.split("\n")]
    found, run = [first], list[str]()
    for line in lines[1:]:
        if mark(line):
            found += [*sorted(run, key=name_of, reverse=True), line]
            run = []
        elif is_property(line):
            run.append(line)
        elif not run or name_of(line) in {"BEGIN", "END"}:
            return None
        else:
            run[-1] += f"\n{line}"
    return "\n".join([*found, *run, last])


def with_strangers(text: str) -> str:
    """The text with properties and components in it that must be passed over (section 3.1)."""
    lines = []
    for line in text.split("\n"):
        lines.append(line)
        if mark(line) in {("BEGIN", kind) for kind in _ENTRIES}:
            lines += ['X-STRANGE;X-A="b:c":DTSTART:19970101T000000Z', "BEGIN:VALARM"]
            lines += ["TRIGGER:-PT5M", "DURATION:PT1M", "END:VALARM", "IANA-TOKEN;A=b:c"]
    return "\n".join(lines)


def is_floating(line: str) -> bool:
    """Whether the line names a time that is read in the household's zone."""
    if name_of(line) not in TIMES | {"RRULE", "EXRULE"}:
        return False
    head, _, value = line.partition(":")
    return "TZID" not in head.upper() and bool(re.search(r"\dT[\d:]+(?![\dZz:])", value, re.I))


def years_later(text: str, years: int) -> str | None:
    """All dates of rules and times so many years later; None where one cannot be."""
    lines = []
    for line in text.split("\n"):
        if name_of(line) in TIMES | {"RRULE", "EXRULE"}:
            if any(not 1 <= int(one[0]) <= 9_500 for one in _DATE.findall(line)):
                return None
            line = _DATE.sub(lambda one: f"{int(one[1]) + years:04}{one[2]}", line)
        elif _DATE.search(line) and not is_property(line):
            return None  # it may be the rest of a rule or a list
        lines.append(line)
    return "\n".join(lines)
