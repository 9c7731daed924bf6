"""Bytes of an `.ics` text → the texts of its components, whatever state they are in.

Reading is done before any library sees the bytes, because one bad line there makes a whole
calendar unreadable or, worse, silently empty. Line ends (CRLF, LF, CR), folding, a byte order
mark, Latin-1 bytes, NULs, missing or stray BEGIN and END are put right here; several calendars
in one text are kept apart. Nothing in this module raises on bad input.

The text stays bytes, and a component only says where in them it lies: characters are made of
what is looked at, since one emoji makes four bytes of every character of a string.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import TYPE_CHECKING

from weeksync.calendar.encoding import as_utf8, decoded
from weeksync.calendar.lines import unescaped
from weeksync.lazy import dataclass
from weeksync.model.limits import ReadLimits

if TYPE_CHECKING:
    from weeksync.calendar.outline import Outline

ENTRIES = frozenset({"VEVENT", "VTODO", "VJOURNAL"})
"""The components that become occurrences and to-dos."""

DEEPEST = 50
"""Components nested deeper than this are not kept apart any more; the standard needs three."""

LONGEST_LINE = 262_144
"""Bytes of one line that are read: ten thousand dates need 170,000."""
LONGEST_ENTRY = 1_048_576
"""Bytes of one component that are read, once its lines are no longer than that."""

_WANTED = ENTRIES | {"VTIMEZONE"}
_MARK = re.compile(rb"\n([BbEe][A-Za-z]{2,4}):[ \t]*([A-Za-z0-9-]+)[ \t]*(?=\n|\Z)")
_BEGIN = re.compile(rb"\nBEGIN:", re.IGNORECASE)
_TZID = re.compile(rb"\nTZID(?:;[^:\n]*)?:([^\n]*)", re.IGNORECASE)
_DEFAULT_ZONE = re.compile(rb"\nX-WR-TIMEZONE(?:;[^:\n]*)?:([^\n]*)", re.IGNORECASE)
_METHOD = re.compile(rb"\nMETHOD(?:;[^:\n]*)?:[ \t]*([A-Za-z]{1,20})", re.IGNORECASE)
_TOO_LONG = re.compile(rb"(\n[^\n]{%d})[^\n]+" % LONGEST_LINE)

Span = tuple[int, int]


@dataclass(slots=True)
class CalendarText:
    """One VCALENDAR: its VTIMEZONE texts by TZID, its X-WR-TIMEZONE, whether METHOD is CANCEL."""

    default_zone: str = ""
    cancels: bool = False
    zones: dict[str, str] = field(default_factory=dict)
    _folded: dict[str, str] | None = None

    def rules_of(self, tzid: str) -> str:
        """The text of that VTIMEZONE, "" where there is none.

        There TZID is a text with escapes, here a parameter in quotes.
        """
        if (text := self.zones.get(tzid)) is not None:
            return text
        if self._folded is None:
            self._folded = {}
            for name, text in self.zones.items():
                self._folded.setdefault(unescaped(name).strip().casefold(), text)
        return self._folded.get(tzid.casefold(), "")


@dataclass(slots=True)
class ComponentText:
    """One VEVENT, VTODO or VJOURNAL: `spans` of `text`, the unfolded bytes it lies in.

    Its lines are each led by a newline; those of components nested in it (alarms) lie between
    the spans. `whole` is false where the text ends within it.
    """

    kind: str
    calendar: CalendarText
    text: bytes
    spans: tuple[Span, ...]
    whole: bool = True
    outline: Outline | None = None
    """What `weeksync.calendar.outline` has found, once it was asked."""
    _body: str | None = None

    @property
    def size(self) -> int:
        """How many bytes it has, whether or not they are read."""
        if len(self.spans) == 1:
            start, end = self.spans[0]
            return end - start
        return sum(end - start for start, end in self.spans)

    @property
    def shortened(self) -> bool:
        """Whether some of it is too long to be read."""
        return self.size > LONGEST_LINE and len(self.raw) < self.size

    @property
    def raw(self) -> bytes:
        """Its own lines as bytes, at most LONGEST_ENTRY."""
        if len(self.spans) == 1:
            start, end = self.spans[0]
            raw = self.text[start:end]
        else:
            raw = b"".join([self.text[start:end] for start, end in self.spans])
        if len(raw) > LONGEST_LINE:
            raw = _TOO_LONG.sub(rb"\1", raw)
        return raw if len(raw) <= LONGEST_ENTRY else raw[: raw.rfind(b"\n", 0, LONGEST_ENTRY)]

    @property
    def body(self) -> str:
        """Its own lines; the same string each time."""
        if self._body is None:
            self._body = decoded(self.raw)
        return self._body


@dataclass(slots=True)
class FileText:
    """What one text holds; `cut` where it ends before its last END, `stray` counts lost marks.

    `stray_at` is the first line where one was missed, from 1, as lines are after unfolding.
    `full` where it holds more than is read; `heavy` names the zones whose rules were too long
    to be kept. `marks` and `zones` count its BEGIN and END lines and its kept VTIMEZONEs.
    """

    calendars: list[CalendarText] = field(default_factory=list)
    components: list[ComponentText] = field(default_factory=list)
    cut: bool = False
    stray: int = 0
    stray_at: int = 0
    full: bool = False
    heavy: list[str] = field(default_factory=list)
    marks: int = 0
    zones: int = 0


def unfolded(content: bytes) -> str:
    """The content lines of the text, unfolded, each led by a newline, the last one closed."""
    return decoded(unfolded_bytes(content))


def unfolded_bytes(content: bytes) -> bytes:
    """The content lines in bytes of which ASCII is a part, each led by a newline.

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
    if content[:1] in (b" ", b"\t"):  # a fold of nothing
        content = content.lstrip(b" \t\n")
    return content if content.startswith(b"\n") else b"\n" + content


def read(
    content: bytes,
    limits: ReadLimits = ReadLimits(),  # noqa: B008 - frozen
    within: CalendarText | None = None,
) -> FileText:
    """The components of the text, in its order, as far as `limits` reach.

    `within` is the calendar in whose text it stands, where it is only a part of it; then it is
    `cut` where that calendar is not what is open at its end, too.
    """
    text = unfolded_bytes(content)
    scan = _Scan(text, limits, within)
    left = limits.marks
    for mark in _MARK.finditer(text):
        word, name = mark.groups()
        start, after = mark.span()
        left -= 1
        if word == b"BEGIN" or word.upper() == b"BEGIN":
            scan.begin(_KINDS.get(name) or _kind(name), start, after)
        elif word == b"END" or word.upper() == b"END":
            scan.end(_KINDS.get(name) or _kind(name), start, after)
        if (scan.room <= 0 and _BEGIN.search(text, after)) or left <= 0:
            scan.file.full = _MARK.search(text, after) is not None
            break
    scan.file.marks = limits.marks - left
    scan.finish()
    return scan.file


_KINDS: dict[bytes, str] = {one.encode(): one for one in (*_WANTED, "VCALENDAR", "VALARM")}


def _kind(name: bytes) -> str:
    return name[:80].upper().decode()


class _Scan:
    """The walk over the BEGIN and END lines of one text."""

    def __init__(self, text: bytes, limits: ReadLimits, within: CalendarText | None) -> None:
        self.file = FileText([] if within is None else [within])
        self.room = limits.entries
        self._limits = limits
        self._zones = limits.zones
        self._text = text
        self._around = [] if within is None else ["VCALENDAR"]
        self._open: list[str] = [*self._around]
        self._kind = ""  # the wanted component we are in, "" for none
        self._level = 0  # how many components are open outside it
        self._begun = 0  # where its lines begin
        self._from: int | None = 0  # where its own lines go on, None inside a nested component
        self._spans: list[Span] = []
        self._header: int | None = None  # where the calendar's own lines begin, until read

    def begin(self, kind: str, start: int, after: int) -> None:
        """A BEGIN line: it closes what must not hold such a component."""
        if self._header is not None:
            self._read_header(self._header, start)
        if kind == "VCALENDAR":
            self._lose(start, below=0)
            self.file.calendars.append(CalendarText())
            self._header = after
        elif kind in _WANTED:
            if self._kind:
                self._lose(start, below=self._level)
            self._kind, self._level, self._spans = kind, len(self._open), []
            self._begun = self._from = after
        elif self._kind and self._from is not None:
            self._spans.append((self._from, start))
            self._from = None
        if len(self._open) < DEEPEST:
            self._open.append(kind)

    def end(self, kind: str, start: int, after: int) -> None:
        """An END line: it closes its component and all that is still open inside."""
        if self._header is not None:
            self._read_header(self._header, start)
        if not self._open or self._open[-1] != kind:
            if kind not in self._open:
                self._stray(start)
                return
            self._lose(start, below=len(self._open) - self._open[::-1].index(kind))
        self._open.pop()
        at = len(self._open)
        if self._kind and at == self._level:
            self._keep(start, whole=True)
        elif self._kind and at == self._level + 1:
            self._from = after

    def finish(self) -> None:
        """The text is over, or as much of it as is read: what is still open was cut off."""
        if self.file.full:
            return
        self.file.cut = self._open != self._around
        end = len(self._text)
        if self._kind and not self._text.endswith(b"\n"):
            # The last line may be cut too, and half a value is worse than none.
            end = max(self._text.rfind(b"\n"), self._begun)
        if self._kind:
            self._keep(end, whole=False)

    def _lose(self, start: int, below: int) -> None:
        """END lines are missing for all that is open from `below` on."""
        if len(self._open) > below:
            self._stray(start)
        if self._kind and self._level >= below:
            # Its lines are all there; those of a zone may be another's.
            self._keep(start, whole=self._kind != "VTIMEZONE")
        del self._open[below:]

    def _stray(self, start: int) -> None:
        self.file.stray += 1
        if self.file.stray == 1:
            self.file.stray_at = self._text.count(b"\n", 0, start + 1)

    def _keep(self, end: int, *, whole: bool) -> None:
        kind, self._kind = self._kind, ""
        if kind == "VTIMEZONE":
            if whole:  # half the rules of a zone are worse than its bare name
                self._keep_zone(end)
            return
        if self._from is not None:
            self._spans.append((self._from, end))
        spans = tuple(self._spans[: self._limits.marks])
        self.file.components.append(ComponentText(kind, self._calendar(), self._text, spans, whole))
        self.room -= 1

    def _keep_zone(self, end: int) -> None:
        found = _TZID.search(self._text, self._begun, end)
        if found is None:
            return
        name = decoded(found[1][:LONGEST_NAME]).strip().strip('"')
        if end - self._begun > self._limits.zone_bytes or self._zones <= 0:
            self.file.heavy.append(name)
            return
        self._zones -= 1
        self.file.zones += 1
        self._calendar().zones.setdefault(name, decoded(self._text[self._begun : end]))

    def _calendar(self) -> CalendarText:
        if not self.file.calendars:  # a component that stands without its VCALENDAR
            self.file.calendars.append(CalendarText())
        return self.file.calendars[-1]

    def _read_header(self, begun: int, end: int) -> None:
        """The calendar's own lines, before its first component."""
        if found := _DEFAULT_ZONE.search(self._text, begun, end):
            self._calendar().default_zone = decoded(found[1][:LONGEST_NAME]).strip()
        if found := _METHOD.search(self._text, begun, end):
            self._calendar().cancels = found[1].upper() == b"CANCEL"
        self._header = None


LONGEST_NAME = 1_000
"""Bytes of a UID or of the name of a zone that are read; RFC 7986 section 5.3 advises 255."""
