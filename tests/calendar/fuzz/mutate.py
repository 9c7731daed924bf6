"""Edits that damage a calendar text, or make another one of it.

An edit is a name and three numbers, and any numbers will do (they are taken modulo what there
is), so that hypothesis can draw and shrink them and a desk run can throw dice.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

HERE = Path(__file__).parent
CORPUS = HERE / "corpus"
CASES = HERE.parent / "data" / "cases"
LONGEST_ENTRY = 2_048
LARGEST = 4_096
"""Bytes of a mutated text: what is long is slow, and shows nothing that is not short."""

Edit = tuple[str, int, int, int]
_DIGITS = re.compile(rb"\d+")
_ESCAPE = re.compile(rb"\\(?:x([0-9a-fA-F]{2})|(.))", re.DOTALL)
_NUMBERS = (b"0", b"1", b"2", b"4", b"29", b"31", b"53", b"60", b"366", b"2027", b"9999", b"-1")


def entries() -> list[Path]:
    """The texts that are mutated: the corpus, and the cases with what is expected of them."""
    found: dict[bytes, Path] = {}
    for path in (*sorted(CORPUS.glob("*.ics")), *sorted(CASES.glob("*.ics"))):
        found.setdefault(path.read_bytes(), path)
    return [path for data, path in found.items() if len(data) < LONGEST_ENTRY]


def corpus() -> list[bytes]:
    """What is in them."""
    return [path.read_bytes() for path in entries()]


def tokens() -> list[bytes]:
    """The words of the dictionary."""
    lines = (HERE / "tokens.dict").read_bytes().splitlines()
    return [_ESCAPE.sub(_literal, line[1:-1]) for line in lines if line.startswith(b'"')]


def _literal(found: re.Match[bytes]) -> bytes:
    return bytes([int(found[1], 16)]) if found[1] else found[2]


_TOKENS = tokens()


def _lines(data: bytes) -> list[bytes]:
    return data.splitlines(keepends=True) or [b""]


def _flip(data: bytes, at: int, by: int, _: int) -> bytes:
    if not data:
        return bytes([by % 256])
    at %= len(data)
    return data[:at] + bytes([data[at] ^ (1 << by % 8)]) + data[at + 1 :]


def _token(data: bytes, at: int, which: int, gone: int) -> bytes:
    at %= len(data) + 1
    return data[:at] + _TOKENS[which % len(_TOKENS)] + data[at + gone % 9 :]


def _token_line(data: bytes, at: int, which: int, _: int) -> bytes:
    lines = _lines(data)
    lines.insert(at % (len(lines) + 1), _TOKENS[which % len(_TOKENS)] + b"\r\n")
    return b"".join(lines)


def _replace_line(data: bytes, at: int, which: int, _: int) -> bytes:
    lines = _lines(data)
    lines[at % len(lines)] = _TOKENS[which % len(_TOKENS)] + b"\r\n"
    return b"".join(lines)


def _append_token(data: bytes, at: int, which: int, _: int) -> bytes:
    lines = _lines(data)
    at %= len(lines)
    bare = lines[at].rstrip(b"\r\n")
    lines[at] = bare + _TOKENS[which % len(_TOKENS)] + (lines[at][len(bare) :] or b"\n")
    return b"".join(lines)


def _delete_lines(data: bytes, at: int, count: int, _: int) -> bytes:
    lines = _lines(data)
    at %= len(lines)
    return b"".join(lines[:at] + lines[at + 1 + count % 3 :])


def _repeat_lines(data: bytes, at: int, count: int, to: int) -> bytes:
    lines = _lines(data)
    at %= len(lines)
    taken = lines[at : at + 1 + count % 8]
    to %= len(lines) + 1
    return b"".join(lines[:to] + taken + lines[to:])


def _swap_lines(data: bytes, at: int, other: int, _: int) -> bytes:
    lines = _lines(data)
    at, other = at % len(lines), other % len(lines)
    lines[at], lines[other] = lines[other], lines[at]
    return b"".join(lines)


def _number(data: bytes, which: int, new: int, _: int) -> bytes:
    found = [*_DIGITS.finditer(data)]
    if not found:
        return data
    place = found[which % len(found)]
    number = _NUMBERS[new % len(_NUMBERS)]
    if len(place[0]) >= 6 and new % 3:  # a date or time: another one, near it
        number = b"%0*d" % (len(place[0]), max(int(place[0]) + new % 201 - 100, 0))
    return data[: place.start()] + number + data[place.end() :]


def _cut(data: bytes, at: int, _: int, __: int) -> bytes:
    return data[: at % (len(data) + 1)]


EDITS: dict[str, Callable[[bytes, int, int, int], bytes]] = {
    "flip": _flip,
    "token": _token,
    "token line": _token_line,
    "replace line": _replace_line,
    "append token": _append_token,
    "delete lines": _delete_lines,
    "repeat lines": _repeat_lines,
    "swap lines": _swap_lines,
    "number": _number,
    "cut": _cut,
}
"""What an edit can be; splicing two texts is `spliced`."""


def edited(data: bytes, edits: Iterable[Edit]) -> bytes:
    """The text after these edits."""
    for name, *numbers in edits:
        data = EDITS[name](data, *numbers)[:LARGEST]
    return data


def spliced(first: bytes, second: bytes, at: int, to: int) -> bytes:
    """The lines of the first up to a place, and those of the second from a place on."""
    ahead, behind = _lines(first), _lines(second)
    parts = ahead[: at % (len(ahead) + 1)] + behind[to % (len(behind) + 1) :]
    return b"".join(parts)[:LARGEST]


def thrown(texts: Sequence[bytes], dice: random.Random) -> bytes:
    """A text made of these by dice."""
    data = dice.choice(texts)
    if dice.random() < 0.25:
        data = spliced(data, dice.choice(texts), dice.randrange(99), dice.randrange(99))
    names, most = [*EDITS], 1 << 16
    count = 1 + min(int(dice.expovariate(0.5)), 6)
    edits = [
        (dice.choice(names), dice.randrange(most), dice.randrange(most), dice.randrange(99))
        for _ in range(count)
    ]
    return edited(data, edits)
