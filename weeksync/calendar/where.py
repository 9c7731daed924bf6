"""Where in its object a problem stands: the physical line, counted from 1.

Looked for only when there is a problem to tell, in one walk over the object however many there
are. The lines that a component was read from are found again in the bytes, whatever their line
ends, folds and encoding: nothing has to be kept for it while all is well. A line number is true
as long as the object is what it was; expansions are kept under the digests of whole objects.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import field, replace

from weeksync.calendar.encoding import as_utf8, decoded
from weeksync.lazy import dataclass
from weeksync.model.problem import Problem
from weeksync.model.pulled import StoredObject

_BYTES, _CHARACTERS = 400, 80
"""How much of a line tells it from others; the first holds the second in any encoding."""
_SAMPLE = 30
"""Lines of a component that are looked for: more than most have."""
_PLACES = 200
"""Places of one line that are remembered: in a file of copies the first ones have to do."""
_LINE = re.compile(rb"^.*", re.MULTILINE)
_MOST_LINES = 250_000
"""In an object of more lines none is looked for: that is ten thousand events and takes a second."""
_BEGIN = re.compile(r"BEGIN:\s*V(EVENT|TODO|JOURNAL)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Remark:
    """A problem of a component whose lines are `body`; `line` is the one it is about.

    "" means the component as a whole.
    """

    problem: Problem
    body: str
    line: str = ""


def placed(remarks: Iterable[tuple[Remark, StoredObject]]) -> list[Problem]:
    """The problems with the object they lie in and the line, in the order given."""
    remarks = list(remarks)
    by_object: dict[int, list[int]] = {}
    for at, (_, one) in enumerate(remarks):
        by_object.setdefault(id(one), []).append(at)
    found = [remark.problem for remark, _ in remarks]
    for members in by_object.values():
        stored = remarks[members[0]][1]
        lines: list[int | None] = [None] * len(members)
        if stored.content.count(b"\n") <= _MOST_LINES:
            lines = _Walk([remarks[at][0] for at in members]).lines(stored.content)
        for at, line in zip(members, lines, strict=True):
            where = replace(found[at].place, object=stored.name, line=line)
            found[at] = replace(found[at], place=where)
    return found


def last_line(content: bytes) -> int:
    """The number of the last line that is not empty."""
    ended = as_utf8(content).replace(b"\r\n", b"\n").replace(b"\r", b"\n").rstrip(b"\n\0")
    return ended.count(b"\n") + 1


def physical(content: bytes, logical: int) -> int | None:
    """The number of the physical line at which a line begins that is so many after unfolding."""
    return next(
        (at for count, (at, _) in enumerate(_logical(content), 1) if count == logical), None
    )


@dataclass(slots=True)
class _Walk:
    """One walk over an object for what several remarks look for."""

    remarks: Sequence[Remark]
    _places: dict[str, list[int]] = field(default_factory=dict)
    _begins: list[int] = field(default_factory=list)

    def lines(self, content: bytes) -> list[int | None]:
        """For each remark its line, None where it is not found again."""
        for remark in self.remarks:
            for key in (*_sample(remark.body), _key(remark.line)):
                self._places.setdefault(key, [])
        for number, line in _logical(content):
            if _BEGIN.fullmatch(line):
                self._begins.append(number)
            elif (places := self._places.get(line)) is not None and len(places) < _PLACES:
                places.append(number)
        return [self._line(remark) for remark in self.remarks]

    def _line(self, remark: Remark) -> int | None:
        begin = self._begin(_sample(remark.body))
        if begin is None or not remark.line:
            return begin
        places = self._places[_key(remark.line)]
        at = bisect_left(places, begin)
        return places[at] if at < len(places) else begin

    def _begin(self, lines: list[str]) -> int | None:
        """Where the component of these lines begins."""
        known = [self._places[line] for line in lines if self._places[line]]
        for place in min(known, key=len, default=[]):
            at = bisect_right(self._begins, place)
            begin = self._begins[at - 1] if at else 1
            end = self._begins[at] if at < len(self._begins) else None
            if all(_holds(places, begin, end) for places in known):
                return begin
        return None


def _holds(places: list[int], begin: int, end: int | None) -> bool:
    at = bisect_left(places, begin)
    return at < len(places) and (end is None or places[at] < end)


def _sample(body: str) -> list[str]:
    return [_key(line) for line in body.split("\n", _SAMPLE + 1)[: _SAMPLE + 1] if line.strip()]


def _key(line: str) -> str:
    return line.partition("\n")[0][:_CHARACTERS]


def _logical(content: bytes) -> Iterator[tuple[int, str]]:
    """The beginnings of the unfolded lines, each with the number of its first physical line."""
    content = as_utf8(content).replace(b"\r\n", b"\n").replace(b"\r", b"\n").replace(b"\0", b"")
    begun, line = 0, b""
    for number, physical_line in enumerate(_LINE.finditer(content), 1):
        raw = physical_line[0]
        if not raw:
            continue
        if not begun:
            raw = raw.lstrip(b" \t")  # a fold of nothing
        if raw[:1] in (b" ", b"\t"):
            if len(line) < _BYTES:
                line += raw[1:]
            continue
        if begun:
            yield begun, decoded(line[:_BYTES])[:_CHARACTERS]
        begun, line = number, raw
    if begun:
        yield begun, decoded(line[:_BYTES])[:_CHARACTERS]
