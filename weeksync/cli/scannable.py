"""A code to be scanned, drawn in a terminal."""

from __future__ import annotations

import io
from typing import TextIO

_QUIET = 2
"""Modules of white around it; ISO/IEC 18004 asks for 4 (from memory), telephones take 2."""


def scannable(text: str, out: TextIO) -> str:
    """The text as a QR code (ISO/IEC 18004) of half blocks, for a terminal like `out`.

    Black signs on white are drawn by colour, so it can be read on dark and on light terminals.
    Where `out` has no block signs, two spaces stand for each module.
    """
    import segno  # 20 ms that no other command needs

    code = segno.make(text, error="m", micro=False)
    rows = [list(row) for row in code.matrix_iter(border=_QUIET)]
    try:
        "▀".encode(getattr(out, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        drawn = io.StringIO()
        code.terminal(drawn, border=_QUIET)
        return drawn.getvalue().rstrip("\n")
    width = len(rows[0])
    if len(rows) % 2:
        rows.append([0] * width)
    lines = [
        "".join(_HALVES[bool(upper), bool(lower)] for upper, lower in zip(top, bottom, strict=True))
        for top, bottom in zip(rows[::2], rows[1::2], strict=True)
    ]
    return "\n".join(f"{_BLACK_ON_WHITE}{line}{_AS_BEFORE}" for line in lines)


_HALVES = {
    (False, False): " ",
    (True, False): "▀",
    (False, True): "▄",
    (True, True): "█",
}
_BLACK_ON_WHITE, _AS_BEFORE = "\x1b[38;5;16;48;5;231m", "\x1b[0m"
"""ECMA-48 section 8.3.117, with the colours of the 256 that terminals agree on (from memory)."""
