"""Content lines: name, parameters and value, and text values (RFC 5545 sections 3.1, 3.3.11).

A line that is no property is the rest of the one before it, from an exporter that breaks lines
without the space that section 3.1 asks for. After a text it is kept as a line of that text, since
such exporters write the text's own line ends raw; after a list that ends in the middle it goes
on without a break; anywhere else it is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import islice

from weeksync.lazy import dataclass

LONGEST = 20_000
"""Characters of a text that are kept; a description of megabytes helps nobody on a page."""

MOST_NAMES = 1_000
"""Attendees, and categories, that are kept of one entry."""

_MOST = {"SUMMARY": 300, "LOCATION": 300, "URL": 2_000}
"""Characters that are kept of what stands on one line of a page."""
_WORD = 80
_QUOTED_HEAD = re.compile(r'((?:[^":]|"[^"]*")*):(.*)', re.DOTALL)
_TIMES = frozenset({"DTSTART", "DTEND", "DUE", "RDATE", "EXDATE", "RECURRENCE-ID"})
_DAY = re.compile(r"\s*\d{4}-?\d\d-?\d\d", re.ASCII)
_PARAMETER = re.compile(r';[ \t]*([A-Za-z0-9-]+)[ \t]*=[ \t]*((?:"[^"]*"|[^";])*)')
_TEXTS = frozenset({"SUMMARY", "DESCRIPTION", "LOCATION"})
_UNFINISHED = (",", ";", "=")
_NAMES = frozenset({
    "BEGIN", "END", "VERSION", "PRODID", "CALSCALE", "METHOD", "NAME", "REFRESH-INTERVAL",
    "SOURCE", "COLOR", "IMAGE", "CONFERENCE", "ATTACH", "CATEGORIES", "CLASS", "COMMENT",
    "DESCRIPTION", "GEO", "LOCATION", "PERCENT-COMPLETE", "PRIORITY", "RESOURCES", "STATUS",
    "SUMMARY", "COMPLETED", "DTEND", "DUE", "DTSTART", "DURATION", "FREEBUSY", "TRANSP", "TZID",
    "TZNAME", "TZOFFSETFROM", "TZOFFSETTO", "TZURL", "ATTENDEE", "CONTACT", "ORGANIZER",
    "RECURRENCE-ID", "RELATED-TO", "URL", "UID", "EXDATE", "RDATE", "RRULE", "EXRULE", "ACTION",
    "REPEAT", "TRIGGER", "CREATED", "DTSTAMP", "LAST-MODIFIED", "SEQUENCE", "REQUEST-STATUS",
    "BUSYTYPE", "TZID-ALIAS-OF", "TZUNTIL", "ACKNOWLEDGED", "PROXIMITY", "CALENDAR-ADDRESS",
    "LOCATION-TYPE", "PARTICIPANT-TYPE", "RESOURCE-TYPE", "STRUCTURED-DATA",
    "STYLED-DESCRIPTION", "CONCEPT", "LINK", "REFID", "ESTIMATED-DURATION", "REASON", "SUBSTATE",
})  # fmt: skip
"""Properties of RFC 5545, 7808, 7953, 7986, 9073, 9074, 9253 and the drafts on tasks."""
_NAME = re.compile(r"[A-Z][A-Z0-9-]+(?:;[^:]*)?:\S")
"""What a property of a name we do not know looks like, and a sentence with a colon does not."""
_CARET = re.compile(r"\^([n'^])")
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_COMMA = re.compile(r"((?:[^\\,]|\\.)*)(?:,|$)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Line:
    """One property: `head` is its name with parameters as written, `value` as written."""

    head: str
    value: str

    def parameter(self, name: str) -> str:
        """The value of that parameter without quotes and carets, "" where it is absent."""
        if ";" not in self.head or name not in self.head.upper():
            return ""
        for key, value in _PARAMETER.findall(self.head):
            if key.upper() == name:
                return _without_carets(str(value).strip().strip('"').strip())
        return ""

    @property
    def text(self) -> str:
        """The line as it stands in the text."""
        return f"{self.head}:{self.value}"


Lines = Mapping[str, list[Line]]
"""The lines of a component by upper-case name, in the order of the text."""


def read_lines(body: str, names: frozenset[str]) -> dict[str, list[Line]]:
    """The properties of these names."""
    found: dict[str, list[Line]] = {}
    last = ""  # the name among `names` that the line before had
    for raw in body.split("\n"):
        head, colon, value = raw.partition(":")
        name = _HEADS.get(head)
        if name is None:
            name = _name_of(head)
        if name not in names or not colon:
            if not last or (colon and (name in _NAMES or name[:2] == "X-" or _NAME.match(raw))):
                last = ""
            elif raw.strip():
                found[last][-1] = _continued(last, found[last][-1], raw)
            continue
        last = name
        if head.count('"') % 2:
            split = _QUOTED_HEAD.fullmatch(raw)
            # Without one, a quote was never closed.
            head, value = split.groups() if split else (head.replace('"', ""), value)
        elif ":" in value and name in _TIMES and not _DAY.match(value):
            head, _, value = raw.rpartition(":")  # a TZID with a bare colon: GMT+01:00
        found.setdefault(name, []).append(Line(head, value))
    return found


_HEADS: dict[str, str] = {}
"""Names of properties by how they were written: a few dozen make up all lines of a calendar."""
_MOST_HEADS = 1_000


def _name_of(head: str) -> str:
    name = head.partition(";")[0].strip(" \t").upper()  # as `outline` finds it
    if len(head) <= _WORD:
        if len(_HEADS) >= _MOST_HEADS:
            _HEADS.clear()
        _HEADS[head] = name
    return name


def _continued(name: str, line: Line, rest: str) -> Line:
    """The property with a line that belongs to it, or as it was."""
    if name in _TEXTS:
        # What is over the limit would be cut off anyway.
        return line if len(line.value) > LONGEST else Line(line.head, f"{line.value}\n{rest}")
    if line.value.endswith(_UNFINISHED) and len(line.value) < LONGEST:
        return Line(line.head, line.value + rest.strip())
    return line


def _without_carets(value: str) -> str:
    """RFC 6868: `^n` is a line end, `^'` a double quote, `^^` a caret."""
    if "^" not in value:
        return value
    return _CARET.sub(lambda found: {"n": "\n", "'": '"', "^": "^"}[found[1]], value)


def first(lines: Lines, name: str) -> Line | None:
    """The first property of that name: where one is doubled, the first counts."""
    return lines[name][0] if name in lines else None


def text_of(lines: Lines, name: str) -> str:
    """The text of the first property of that name, unescaped, "" where it is absent."""
    line = first(lines, name)
    most = _MOST.get(name, LONGEST)
    return unescaped(line.value, most).strip() if line is not None else ""


def word_of(lines: Lines, name: str) -> str:
    """The first property of that name as one upper-case word, as STATUS has it."""
    line = first(lines, name)
    return line.value.strip()[:_WORD].upper() if line is not None else ""


def class_of(lines: Lines, of_series: str = "") -> str:
    """CLASS as one upper-case word, "" where nothing is said of it (RFC 5545 section 3.8.1.3).

    Of several, which the section does not allow, one that holds something back counts, and one
    without a value is no value that is known, so PRIVATE. `of_series` is what the series says: an
    exception that says nothing is as private as its series, of which the RFC is silent.
    """
    found = [line.value.strip()[:_WORD].upper() or "PRIVATE" for line in lines.get("CLASS", ())]
    held_back = (one for one in found if one != "PUBLIC")
    return next(held_back, found[0] if found else of_series)


def number_of(lines: Lines, name: str) -> int:
    """The first property of that name as a whole number, 0 where it is none."""
    line = first(lines, name)
    digits = line.value.strip()[:9] if line is not None else ""
    return int(digits) if digits.isascii() and digits.isdigit() else 0


def unescaped(value: str, most: int = LONGEST) -> str:
    r"""A text value for people: `\n` is a new line, `\,` a comma; at most `most` characters.

    A backslash before another letter or a digit is one that should have been doubled, as in the
    path of a file, and stays.
    """
    if len(value) > most:
        value = value[:most] + "…"
    if "\\" not in value:
        return value
    return _ESCAPED.sub(_meant, value)


def _meant(escape: re.Match[str]) -> str:
    if escape[1] in "nN":
        return "\n"
    return escape[0] if escape[1].isalnum() else escape[1]


def listed(lines: Lines, name: str) -> tuple[str, ...]:
    """All texts of a property that is a list, as CATEGORIES, each once."""
    found = (text for line in lines.get(name, ()) for text in _split(line.value[:LONGEST]))
    return tuple(dict.fromkeys(text for text in islice(found, MOST_NAMES) if text))


def _split(value: str) -> Iterator[str]:
    for piece in _COMMA.finditer(value):
        yield unescaped(piece[1]).strip()


def addresses(lines: Lines) -> tuple[str, ...]:
    """The addresses of attendees and organizer, lower case, without `mailto:`, each once."""
    values = [
        line.value.strip().lower().removeprefix("mailto:")
        for name in ("ATTENDEE", "ORGANIZER")
        for line in lines.get(name, ())[:MOST_NAMES]
    ]
    return tuple(dict.fromkeys(value for value in values if value))
