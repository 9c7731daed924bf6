"""Where in a TOML text each key and value stands, and where it ends.

The standard parser gives no lines, and tomlkit's round trip loses them where arrays of tables
are interleaved (it writes `[[a]] [b] [[a]]` back in another order). So a valid text is walked
once more here, only to find offsets: what a value means stays with `tomllib`. The walk runs only
for a file in which there is something to report or to edit.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator

from weeksync.lazy import dataclass

Path = tuple[str | int, ...]
"""Keys and places in arrays from the top of the file on, as `("tasks", 3, "due")`."""

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_COMMENT = re.compile(r"#[^\r\n]*")
_SPACE = re.compile(r"[ \t]*")
_KEY = re.compile(r"""[A-Za-z0-9_-]+|"[^"\\\n]*(?:\\.[^"\\\n]*)*"|'[^'\n]*'""")
_VALUE = re.compile(
    r'''"""[^"\\]*(?:(?:\\.|"{1,2}(?!"))[^"\\]*)*"{3,5}'''
    r"""|'''[^']*(?:'{1,2}(?!')[^']*)*'{3,5}"""
    r"""|"[^"\\\n]*(?:\\.[^"\\\n]*)*"|'[^'\n]*'"""
    r"""|[^\s,\]}#"'\[{=]+(?: [0-9][^\s,\]}#"'\[{=]*)?""",
    re.DOTALL,
)
"""A string of any of the four kinds, or a bare word; a date and a time may have a space between."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Offsets of a key and of its value; for a table both are those of its header."""

    key: int
    value: int
    header_end: int = -1
    """For a table with a header of its own: the offset just after its last bracket."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A header of a table, or a key with its value in the body of `table`; offsets half-open."""

    table: Path
    start: int
    end: int
    header: bool


class Positions:
    """The spots of a text; `line` and `key_line` count from `first_line`."""

    def __init__(self, text: str, first_line: int = 1) -> None:
        self.text = text
        self._first = first_line
        self._breaks = [found.start() for found in re.finditer("\n", text)]
        walk = Walk(text)
        walk.run()
        self.spots = walk.spots

    def line(self, path: Path) -> int:
        """The line of the value at `path`; of its table where it has none."""
        return self.line_at(self._spot(path).value)

    def key_line(self, path: Path) -> int:
        """The line of the key at `path`; of its table where it has none."""
        return self.line_at(self._spot(path).key)

    def line_at(self, offset: int) -> int:
        """The line that `offset` lies in."""
        return bisect_right(self._breaks, offset - 1) + self._first

    def _spot(self, path: Path) -> Spot:
        while path:
            if path in self.spots:
                return self.spots[path]
            path = path[:-1]
        return Spot(0, 0)


class Walk:
    """One walk over a text. In a broken one it ends where it can go no further.

    `statement` is then the offset of the last key or header that was begun. `ends` has the
    offset after each value, `statements` what stands in the text from top to bottom, `comments`
    the (start, end) of each comment.
    """

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.statement = 0
        self.spots: dict[Path, Spot] = {}
        self.ends: dict[Path, int] = {}
        self.statements: list[Statement] = []
        self.comments: list[tuple[int, int]] = []
        self._counts: dict[Path, int] = {}

    def run(self) -> bool:
        """Walks the whole text; false where it is no valid TOML."""
        try:
            self._document()
        except (_Broken, RecursionError):
            return False
        return True

    def _document(self) -> None:
        table: Path = ()
        while self._skip(_BLANK) < len(self.text):
            self.statement = self.at
            header = self.text[self.at] == "["
            if header:
                table = self._header()
            else:
                self._pair(table)
            self.statements.append(Statement(table, self.statement, self.at, header))

    def _header(self) -> Path:
        start = self.at
        several = self.text.startswith("[[", start)
        self.at += 2 if several else 1
        *parents, last = [key for key, _ in self._keys()]
        path: Path = ()
        for key in parents:
            path = self._latest((*path, key))
            self.spots.setdefault(path, Spot(start, start))
        path = (*path, last)
        if several:
            self._counts[path] = self._counts.get(path, 0) + 1
            self.spots.setdefault(path, Spot(start, start))
            path = self._latest(path)
        for _ in range(2 if several else 1):
            self._expect("]")
        self.spots[path] = Spot(start, start, self.at)
        return path

    def _latest(self, path: Path) -> Path:
        """A table of the document: in an array of tables the one begun last."""
        return (*path, self._counts[path] - 1) if path in self._counts else path

    def _pair(self, table: Path) -> None:
        path, begun = table, self.at
        for key, offset in self._keys():
            path = (*path, key)
            self.spots.setdefault(path, Spot(offset, begun))
            begun = offset
        self._skip(_SPACE)
        self._expect("=")
        self._skip(_SPACE)
        self.spots[path] = Spot(self.spots[path].key, self.at)
        self._value(path)

    def _keys(self) -> Iterator[tuple[str, int]]:
        """The parts of a dotted key, each with its offset."""
        while True:
            self._skip(_SPACE)
            offset = self.at
            yield plain_key(self._take(_KEY)), offset
            self._skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return
            self.at += 1

    def _value(self, path: Path) -> None:
        if self.text.startswith("[", self.at):
            self._array(path)
        elif self.text.startswith("{", self.at):
            self._inline(path)
        else:
            self._take(_VALUE)
        self.ends[path] = self.at

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while not self._closed("]"):
            inner = (*path, index)
            self.spots[inner] = Spot(self.at, self.at)
            self._value(inner)
            index += 1
            self._comma("]")

    def _inline(self, path: Path) -> None:
        self.at += 1
        while not self._closed("}"):
            self._pair(path)
            self._comma("}")

    def _closed(self, sign: str) -> bool:
        self._skip(_BLANK)
        found = self.text.startswith(sign, self.at)
        self.at += len(sign) if found else 0
        return found

    def _comma(self, closing: str) -> None:
        self._skip(_BLANK)
        if not self.text.startswith(closing, self.at):
            self._expect(",")

    def _skip(self, pattern: re.Pattern[str]) -> int:
        found = pattern.match(self.text, self.at)
        if found is not None:
            if "#" in found[0]:
                self.comments += (one.span() for one in _COMMENT.finditer(self.text, *found.span()))
            self.at = found.end()
        return self.at

    def _take(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self.text, self.at)
        if found is None:
            raise _Broken
        self.at = found.end()
        return found[0]

    def _expect(self, sign: str) -> None:
        self._skip(_SPACE)
        if not self.text.startswith(sign, self.at):
            raise _Broken
        self.at += len(sign)


class _Broken(Exception):
    """The text is no valid TOML from here on."""


def plain_key(written: str) -> str:
    """The key itself, without quotes and escapes."""
    if written[0] not in "\"'":
        return written
    try:
        return next(iter(tomllib.loads(f"{written} = 0")))
    except tomllib.TOMLDecodeError as error:
        raise _Broken from error
