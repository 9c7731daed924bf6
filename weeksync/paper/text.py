"""How wide text is, and where it breaks: measured by HarfBuzz over the fonts that ship.

Widths are in millimetres. Engines may round glyphs a little differently, so that every width is
taken `SAFETY` larger than measured.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.paper.fonts import FAMILIES, font_bytes
from weeksync.paper.sheet import MM_PER_PT

if TYPE_CHECKING:
    import uharfbuzz

SAFETY = 1.01
"""Hundredths more than measured: both engines stayed within half of that on the demo's texts."""

UNKNOWN_EM = 1.15
"""The width of a character that none of the fonts has, in em; CJK signs and emoji are about 1."""

_BREAKS = re.compile(r" *[^ ]*?[-–—/](?=\w)| *[^ ]+")
"""Pieces between which a line may break: after spaces, and after dashes and slashes."""

_INITIATORS, _PDI = "\u2066\u2067\u2068", "\u2069"
"""What begins and ends an isolate (Unicode Standard Annex 9)."""

_SPACES = re.compile(r"[ \t\r\n\f\v\u2028\u2029]+")
"""White at which a line may break; a no-break space is none."""


class _Font:
    """One font: which characters it has, and how wide it shapes a text."""

    def __init__(self, family: str, *, bold: bool) -> None:
        hb = _harfbuzz()
        self._hb = hb
        face = hb.Face(font_bytes(family, bold=bold))
        self.has = frozenset(face.unicodes)
        self._font = hb.Font(face)
        self._units: int = face.upem

    def em(self, text: str) -> float:
        """The width of a run in em, shaped as it will be: joined, kerned, with its ligatures."""
        buffer = self._hb.Buffer()
        buffer.add_str(text)
        buffer.guess_segment_properties()
        self._hb.shape(self._font, buffer)
        total: int = sum(one.x_advance for one in buffer.glyph_positions)
        return total / self._units


def _harfbuzz() -> uharfbuzz:
    try:
        import uharfbuzz
    except ImportError as error:
        raise UsageError(
            message(
                "sheets cannot be laid out without the library uharfbuzz; install weeksync[paper]"
            )
        ) from error
    return uharfbuzz


@lru_cache(maxsize=8)
def _fonts(bold: bool) -> tuple[_Font, ...]:
    return tuple(_Font(family, bold=bold) for family in FAMILIES)


@lru_cache(maxsize=20_000)
def _em(text: str, bold: bool) -> float:
    return sum(_run_em(run, at, bold) for run, at in _runs(text, bold))


def _run_em(run: str, at: int, bold: bool) -> float:
    return _fonts(bold)[at].em(run) if at >= 0 else UNKNOWN_EM * len(run)


def _runs(text: str, bold: bool) -> Iterator[tuple[str, int]]:
    """(stretch of text, number of the font that has it, -1 for none)."""
    held, current = "", 0
    for sign in text:
        if sign.isspace() or _is_silent(sign):
            held += sign  # stays with what stands before it
            continue
        found = next((at for at, font in enumerate(_fonts(bold)) if ord(sign) in font.has), -1)
        if held and found != current:
            yield held, current
            held = ""
        held, current = held + sign, found
    if held:
        yield held, current


def _is_silent(sign: str) -> bool:
    """A mark of direction or a joiner (Unicode Standard Annex 9): without a width of its own."""
    return sign in "\u200b\u200c\u200d\u200e\u200f\u2066\u2067\u2068\u2069"


def _isolates_closed(lines: Sequence[str]) -> tuple[str, ...]:
    """The lines with isolates that a break cut open closed on the one and opened on the next."""
    made, open_ = [], ""
    for line in lines:
        begun = open_ + line
        open_ = ""
        for sign in begun:
            if sign in _INITIATORS:
                open_ += sign
            elif sign == _PDI:
                open_ = open_[:-1]
        made.append(begun + _PDI * len(open_))
    return tuple(made)


def is_known(sign: str) -> bool:
    """Whether one of the fonts has a character."""
    return any(ord(sign) in font.has for font in _fonts(False))


def families_of(texts: Iterable[str]) -> frozenset[str]:
    """The families of which any character of the texts is, the first one always among them."""
    signs = {sign for text in texts for sign in text}
    found = {FAMILIES[0]}
    for sign in signs:
        at = next((at for at, font in enumerate(_fonts(False)) if ord(sign) in font.has), 0)
        found.add(FAMILIES[at])
    return frozenset(found)


class Measure:
    """Widths and line breaks of text in the fonts that ship."""

    def width_mm(self, text: str, size_pt: float, *, bold: bool = False) -> float:
        """How wide a text is on one line."""
        return _em(text, bold) * size_pt * MM_PER_PT * SAFETY

    def fits(self, text: str, size_pt: float, width_mm: float, *, bold: bool = False) -> bool:
        """Whether a text fits on one line of that width."""
        return self.width_mm(text, size_pt, bold=bold) <= width_mm

    def lines(
        self,
        text: str,
        size_pt: float,
        width_mm: float,
        *,
        bold: bool = False,
        most: int | None = None,
        first_mm: float = 0.0,
    ) -> tuple[str, ...]:
        """The text in lines of that width, the first one `first_mm` shorter; at least one line.

        A word that is wider than a line is broken where the line ends. Nothing is left out unless
        there would be more than `most` lines: then the last one ends in an ellipsis.
        """
        made: list[str] = []
        line, room = "", width_mm - first_mm
        for piece in _BREAKS.findall(_SPACES.sub(" ", text).strip(" ")):
            if self.fits(line + piece, size_pt, room, bold=bold):
                line += piece
                continue
            if line:
                made.append(line)
            elif first_mm and not made:
                made.append("")  # not even a word beside what stands before it
            line, room = piece.lstrip(), width_mm
            while not self.fits(line, size_pt, room, bold=bold) and len(line) > 1:
                kept = self._fitting(line, size_pt, room, bold)
                made.append(line[:kept])
                line = line[kept:]
        if line or not made:
            made.append(line)
        if most is None or len(made) <= most:
            return _isolates_closed(made)
        last = self._ended(made[most - 1], size_pt, width_mm, bold)
        return _isolates_closed((*made[: most - 1], last))

    def _fitting(self, text: str, size_pt: float, width_mm: float, bold: bool) -> int:
        """How many characters of a text fit, at least one."""
        low, high = 1, len(text)
        while low < high:
            middle = (low + high + 1) // 2
            if self.fits(text[:middle], size_pt, width_mm, bold=bold):
                low = middle
            else:
                high = middle - 1
        return low

    def _ended(self, text: str, size_pt: float, width_mm: float, bold: bool) -> str:
        while text and not self.fits(f"{text}…", size_pt, width_mm, bold=bold):
            text = text[:-1].rstrip()
        return f"{text}…"
