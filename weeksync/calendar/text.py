"""Bytes of an `.ics` text → the texts of its components, whatever state they are in.

Reading is done before any library sees the bytes, because one bad line there makes a whole
calendar unreadable or, worse, silently empty. Line ends (CRLF, LF, CR), folding, a byte order
mark, Latin-1 bytes, NULs, missing or stray BEGIN and END are put right here; several calendars
in one text are kept apart. Nothing in this module raises on bad input.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from weeksync.calendar.encoding import as_utf8, decoded

ENTRIES = frozenset({"VEVENT", "VTODO", "VJOURNAL"})
"""The components that become occurrences and to-dos."""

DEEPEST = 50
"""Components nested deeper than this are not kept apart any more; the standard needs three."""

_WANTED = ENTRIES | {"VTIMEZONE"}
_MARK = re.compile(r"\n([BbEe][A-Za-z]{2,4}):[ \t]*([A-Za-z0-9-]+)[ \t]*(?=\n|\Z)")
_TZID = re.compile(r"\nTZID(?:;[^:\n]*)?:([^\n]*)", re.IGNORECASE)
_DEFAULT_ZONE = re.compile(r"\nX-WR-TIMEZONE(?:;[^:\n]*)?:([^\n]*)", re.IGNORECASE)


@dataclass(slots=True)
class CalendarText:
    """One VCALENDAR: its VTIMEZONE texts by TZID, its X-WR-TIMEZONE ("" where absent)."""

    default_zone: str = ""
    zones: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ComponentText:
    """One VEVENT, VTODO or VJOURNAL.

    `body` holds its unfolded lines, each led by a newline, without those of components nested
    in it (alarms). `whole` is false where its END is missing.
    """

    kind: str
    body: str
    calendar: CalendarText
    whole: bool = True


@dataclass(slots=True)
class FileText:
    """What one text holds; `cut` where it ends before its last END, `stray` counts lost marks."""

    calendars: list[CalendarText] = field(default_factory=list)
    components: list[ComponentText] = field(default_factory=list)
    cut: bool = False
    stray: int = 0


def unfolded(content: bytes) -> str:
    """The content lines of the text, unfolded, each led by a newline, the last one closed.

    RFC 5545 section 3.1. Folds are taken out of the bytes, since a fold may lie inside a UTF-8
    sequence; which encoding it has is decided in `encoding`.
    """
    content = as_utf8(content)
    if b"\0" in content:
        content = content.replace(b"\0", b"")
    if b"\r" in content:
        content = content.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    while b"\n\n" in content:
        content = content.replace(b"\n\n", b"\n")
    content = content.replace(b"\n ", b"").replace(b"\n\t", b"")
    text = decoded(content)
    return text if text.startswith("\n") else "\n" + text


def read(content: bytes) -> FileText:
    """The components of the text, in its order."""
    text = unfolded(content)
    scan = _Scan(text)
    for mark in _MARK.finditer(text):
        word, kind = mark[1].upper(), mark[2].upper()
        if word == "BEGIN":
            scan.begin(kind, mark.start(), mark.end())
        elif word == "END":
            scan.end(kind, mark.start(), mark.end())
    scan.finish()
    return scan.file


class _Scan:
    """The walk over the BEGIN and END lines of one text."""

    def __init__(self, text: str) -> None:
        self.file = FileText()
        self._text = text
        self._open: list[str] = []
        self._kind = ""  # the wanted component we are in, "" for none
        self._level = 0  # how many components are open outside it
        self._begun = 0  # where its lines begin
        self._from: int | None = 0  # where its own lines go on, None inside a nested component
        self._pieces: list[str] = []
        self._header: int | None = None  # where the calendar's own lines begin, until read

    def begin(self, kind: str, start: int, after: int) -> None:
        """A BEGIN line: it closes what must not hold such a component."""
        self._read_header(start)
        if kind == "VCALENDAR":
            self._lose(start, below=0)
            self.file.calendars.append(CalendarText())
            self._header = after
        elif kind in _WANTED:
            if self._kind:
                self._lose(start, below=self._level)
            self._kind, self._level, self._pieces = kind, len(self._open), []
            self._begun = self._from = after
        elif self._kind and self._from is not None:
            self._pieces.append(self._text[self._from : start])
            self._from = None
        if len(self._open) < DEEPEST:
            self._open.append(kind)

    def end(self, kind: str, start: int, after: int) -> None:
        """An END line: it closes its component and all that is still open inside."""
        self._read_header(start)
        if kind not in self._open:
            self.file.stray += 1
            return
        at = len(self._open) - 1 - self._open[::-1].index(kind)
        self._lose(start, below=at + 1)
        del self._open[at:]
        if self._kind and at == self._level:
            self._keep(start, whole=True)
        elif self._kind and at == self._level + 1:
            self._from = after

    def finish(self) -> None:
        """The text is over: what is still open was cut off."""
        self.file.cut = bool(self._open)
        end = len(self._text)
        if self._kind and not self._text.endswith("\n"):
            # The last line may be cut too, and half a value is worse than none.
            end = max(self._text.rfind("\n"), self._begun)
        if self._kind:
            self._keep(end, whole=False)

    def _lose(self, start: int, below: int) -> None:
        """END lines are missing for all that is open from `below` on."""
        if len(self._open) > below:
            self.file.stray += 1
        if self._kind and self._level >= below:
            self._keep(start, whole=False)
        del self._open[below:]

    def _keep(self, end: int, *, whole: bool) -> None:
        kind, self._kind = self._kind, ""
        if kind == "VTIMEZONE":
            if whole:  # half the rules of a zone are worse than its bare name
                self._keep_zone(self._text[self._begun : end])
            return
        if self._from is not None:
            self._pieces.append(self._text[self._from : end])
        body = "".join(self._pieces)
        self.file.components.append(ComponentText(kind, body, self._calendar(), whole))

    def _keep_zone(self, lines: str) -> None:
        if name := _TZID.search(lines):
            self._calendar().zones.setdefault(name[1].strip().strip('"'), lines)

    def _calendar(self) -> CalendarText:
        if not self.file.calendars:  # a component that stands without its VCALENDAR
            self.file.calendars.append(CalendarText())
        return self.file.calendars[-1]

    def _read_header(self, end: int) -> None:
        if self._header is not None:
            if found := _DEFAULT_ZONE.search(self._text, self._header, end):
                self._calendar().default_zone = found[1].strip()
            self._header = None
