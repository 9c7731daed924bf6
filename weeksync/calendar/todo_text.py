"""The raw text of an object with to-dos, edited in place: what is not edited keeps its bytes.

Lines, their folds and their ends are found in the bytes as they are (RFC 5545 section 3.1), and
an edit replaces whole properties. Unlike reading, which makes sense of nearly anything, this
refuses a text that is damaged: nobody is helped by a damaged text that was written once more.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import field

from weeksync.lazy import dataclass

_LINE = re.compile(rb"[^\r\n]*(?:\r\n|\n|\r)?(?:[ \t][^\r\n]*(?:\r\n|\n|\r)?)*")
_FOLD = re.compile(rb"(?:\r\n|\n|\r)[ \t]")
_NAME = re.compile(rb"[A-Za-z0-9-]+")
_BOM = b"\xef\xbb\xbf"
_WIDTH = 75
"""Octets of a line, its end not counted (section 3.1)."""


class Damaged(ValueError):
    """The text is not what RFC 5545 calls an iCalendar object."""


@dataclass(frozen=True, slots=True)
class RawLine:
    """One content line with its folds: bytes [start, end) of the text, its end included."""

    start: int
    end: int
    name: str
    text: str
    """The line unfolded, without its end."""

    @property
    def head(self) -> str:
        """Name and parameters as written."""
        return self.text[: len(self.text) - len(self.value) - 1]

    @property
    def value(self) -> str:
        """What stands behind the first colon outside of quotes."""
        quoted = False
        for at, sign in enumerate(self.text):
            if sign == '"':
                quoted = not quoted
            elif sign == ":" and not quoted:
                return self.text[at + 1 :]
        return ""


@dataclass(frozen=True, slots=True)
class RawTodo:
    """One VTODO: its first and last line, and its own properties without those of its alarms."""

    begin: RawLine
    end: RawLine
    own: tuple[RawLine, ...]

    def first(self, name: str) -> RawLine | None:
        """The first property of that name."""
        return next((line for line in self.own if line.name == name), None)


@dataclass(slots=True)
class TodoText:
    """A text with its VTODOs in order, and the edits that are to be made in it."""

    content: bytes
    todos: tuple[RawTodo, ...]
    end: bytes
    """How its lines end."""
    _edits: list[tuple[int, int, bytes]] = field(default_factory=list)

    @classmethod
    def of(cls, content: bytes) -> TodoText:
        """The text in its parts; Damaged where BEGIN and END do not match or bytes are no UTF-8."""
        todos: list[RawTodo] = []
        open_: list[str] = []
        begin: RawLine | None = None
        own: list[RawLine] = []
        line: RawLine | None = None
        for line in _lines(content):
            inside = open_[1:2] == ["VTODO"]
            if line.name == "BEGIN":
                open_.append(line.value.strip().upper())
                if open_ == ["VCALENDAR", "VTODO"]:
                    begin, own = line, []
            elif line.name == "END":
                if not open_ or open_.pop() != line.value.strip().upper():
                    raise Damaged
                if begin is not None and len(open_) == 1 and inside:
                    todos.append(RawTodo(begin, line, tuple(own)))
            elif inside and len(open_) == 2:
                own.append(line)
            elif not open_:
                raise Damaged
        if open_ or line is None:
            raise Damaged
        first = content.find(b"\n")
        ends_lf = first > 0 and content[first - 1 : first] != b"\r"
        return cls(content, tuple(todos), b"\n" if ends_lf else b"\r\n")

    def put(self, todo: RawTodo, values: Mapping[str, str], *, gone: Collection[str] = ()) -> None:
        """Give the to-do these properties, each once, and none of the names in `gone`.

        One that is there is replaced where it stands, a new one comes behind the others.
        """
        left = dict(values)
        for line in todo.own:
            if line.name in left:
                self._edits.append((line.start, line.end, self._line(left.pop(line.name))))
            elif line.name in gone or line.name in values:
                self._edits.append((line.start, line.end, b""))
        behind = todo.own[-1].end if todo.own else todo.begin.end
        self._edits.append((behind, behind, b"".join(map(self._line, left.values()))))

    def add(self, behind: RawTodo, copy: RawTodo, values: Mapping[str, str],
            *, gone: Collection[str]) -> None:  # fmt: skip
        """Put a copy of a to-do behind another, its properties changed as by `put`."""
        twin = TodoText(self.content, (), self.end)
        twin.put(copy, values, gone=gone)
        whole = twin._between(copy.begin.start, copy.end.end)
        self._edits.append((behind.end.end, behind.end.end, whole))

    def edited(self) -> bytes:
        """The text with all edits made."""
        return self._between(0, len(self.content))

    def _between(self, start: int, end: int) -> bytes:
        parts: list[bytes] = []
        at = start
        for low, high, new in sorted(self._edits, key=lambda edit: edit[:2]):
            parts += [self.content[at:low], new]
            at = high
        return b"".join([*parts, self.content[at:end]])

    def _line(self, text: str) -> bytes:
        return folded(text).replace(b"\r\n", self.end) + self.end


def folded(text: str) -> bytes:
    """A content line in lines of at most 75 octets, no character torn apart (section 3.1)."""
    parts: list[bytes] = []
    part = b""
    for sign in text:
        octets = sign.encode()
        if len(part) + len(octets) > _WIDTH - bool(parts):
            parts.append(part)
            part = b""
        part += octets
    return b"\r\n ".join([*parts, part])


def _lines(content: bytes) -> Iterator[RawLine]:
    at = len(_BOM) if content.startswith(_BOM) else 0
    while at < len(content):
        found = _LINE.match(content, at)
        if found is None or found.end() == at:
            raise Damaged
        try:
            text = _FOLD.sub(b"", found[0]).rstrip(b"\r\n").decode()
        except UnicodeDecodeError:
            raise Damaged from None
        name = _NAME.match(text.encode())
        if name is not None:
            yield RawLine(at, found.end(), name[0].decode().upper(), text)
        elif text.strip():
            raise Damaged
        at = found.end()
