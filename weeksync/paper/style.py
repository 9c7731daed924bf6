"""How large type, lines to write on and boxes to tick are; nothing is set under 7 points."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.model.settings import Paper
from weeksync.paper.sheet import MM_PER_PT

LEAST_PT = 7.0
"""Small print needs an x-height of 1.2 mm on labels of food (Regulation (EU) 1169/2011, article
13; from memory), which is 6.5 to 7 points of such type."""

LARGE_PT = 14.0
"""Clear print: 12 points at least, 14 better (UKAAF G003, 2019; read as it is quoted)."""

LEADING = 1.25
"""The height of a line of print by its type; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes on a sheet: type in points, everything else in millimetres."""

    type_pt: float = 9.0
    row_mm: float = 6.5
    tick_mm: float = 4.0
    large: bool = False
    ink_saving: bool = False
    band_mm: float = 0.0
    """Room that is kept for a band along the top of a page, with the white below it."""
    tight: bool = False
    """Fuller days keep fewer free lines: for a week that has no continuation then."""

    @classmethod
    def of(cls, paper: Paper, *, band_mm: float = 0.0) -> Style:
        """The style that `[paper]` asks for; large print has larger lines and boxes, too."""
        if paper.large:
            return cls(
                type_pt=max(LARGE_PT, paper.type_pt),
                row_mm=max(8.0, paper.row_mm),
                tick_mm=max(5.0, paper.tick_mm),
                large=True,
                ink_saving=paper.ink_saving,
                band_mm=band_mm,
            )
        return cls(
            type_pt=paper.type_pt,
            row_mm=paper.row_mm,
            tick_mm=paper.tick_mm,
            ink_saving=paper.ink_saving,
            band_mm=band_mm,
        )

    @property
    def label_pt(self) -> float:
        """The size of labels; those of large print are as large as its text (UKAAF G003)."""
        return self.type_pt if self.large else max(LEAST_PT, self.type_pt - 2)

    @property
    def head_pt(self) -> float:
        """The size of a day's number."""
        return self.type_pt * 1.9

    @property
    def title_pt(self) -> float:
        """The size of a page's title."""
        return self.type_pt * 1.9

    def rows(self, wanted: int) -> int:
        """How many free lines an area keeps that wants so many."""
        return max(wanted - 1, 0) if self.tight else wanted

    def line_mm(self, size_pt: float | None = None) -> float:
        """The height of a line of print, of the usual type where no size is given."""
        return (size_pt or self.type_pt) * MM_PER_PT * LEADING
