"""What every layout works with: words, measured text, the sheet, the sizes; and a pen for text."""

from __future__ import annotations

from dataclasses import field, replace

from weeksync.language.bidi import isolated
from weeksync.lazy import dataclass
from weeksync.paper.marks import Align, Role, Tone, Words
from weeksync.paper.sheet import Box, Sheet, Side
from weeksync.paper.style import Style
from weeksync.paper.text import Measure
from weeksync.paper.words import PaperWords

_ISOLATES = frozenset("\u2066\u2067\u2068")


@dataclass(frozen=True, slots=True)
class Layout:
    """A household's words, a sheet and a style.

    Everything is laid out from left to right; `weeksync.paper.mirror` turns the finished pages
    over for languages that run the other way. So `Side.LEFT` is where the first page of a spread
    lies while it is laid out.
    """

    words: PaperWords
    sheet: Sheet
    style: Style
    measure: Measure = field(default_factory=Measure)

    def on(self, sheet: Sheet) -> Layout:
        """The same on another sheet."""
        return replace(self, sheet=sheet)

    def tightened(self) -> Layout:
        """The same with fewer free lines in fuller days."""
        return replace(self, style=replace(self.style, tight=True))

    def area(self, side: Side) -> Box:
        """What may be printed on, without the room of a band along the top."""
        return self.sheet.area(side).inset(0, self.style.band_mm, 0, 0)

    def write(
        self,
        x: float,
        y: float,
        width: float,
        text: str,
        *,
        pt: float | None = None,
        bold: bool = False,
        strong: str = "",
        align: Align = "start",
        tone: Tone = Tone.INK,
        role: Role = "p",
        most: int | None = None,
        struck: bool = False,
    ) -> Words:
        """Text as `Words` from (x, y) on, broken to `width`.

        `strong` stands before it in bold, as a time does. Nothing is left out unless `most` says
        how many lines there may be.
        """
        size = pt or self.style.type_pt
        if not _ISOLATES & set(text):  # a title alone keeps its own order over its lines
            text = isolated(text, self.words.language.direction)
        lead = f"{strong} " if strong and text else strong
        lead_mm = self.measure.width_mm(lead, size, bold=True) if lead else 0.0
        if lead_mm > width:  # too narrow to hold it: broken like all the rest
            text, lead, lead_mm = f"{lead}{text}", "", 0.0
        lines = self.measure.lines(text, size, width, bold=bold, most=most, first_mm=lead_mm)
        line_mm = self.style.line_mm(size)
        return Words(
            box=Box(x, y, width, line_mm * len(lines)),
            lines=lines,
            size_pt=size,
            line_mm=line_mm,
            bold=bold,
            align=align,
            tone=tone,
            role=role,
            struck=struck,
            strong=lead.rstrip(),
        )

    def label(
        self, x: float, y: float, width: float, text: str, *, align: Align = "start"
    ) -> Words:
        """A small label, on one line."""
        return self.write(
            x,
            y,
            width,
            text,
            pt=self.style.label_pt,
            tone=Tone.SOFT,
            role="h3",
            most=1,
            align=align,
        )
