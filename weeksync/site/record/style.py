"""What the style sheet is made from."""

from __future__ import annotations

from weeksync.lazy import dataclass


@dataclass(frozen=True, slots=True)
class Tint:
    """The shades of one of the palette's colours, as CSS writes them."""

    name: str
    """As `moss`."""
    light: str
    """The fill on a light page; text on it has a contrast of 4.5 to 1 or more."""
    light_edge: str
    """The edge of that fill; 3 to 1 or more against the page."""
    dark: str
    """The fill on a dark page."""
    dark_edge: str
    """The edge of that fill."""
    print: str
    """The fill on paper, light enough to save ink."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StylePage:
    """What the style sheet is made from."""

    record: int
    """The version of this record."""
    kind: str
    """`style`."""
    sheet: str
    """The paper laid on its side, as CSS writes it: `297mm 210mm`."""
    leaves: bool
    """The sheet is small: four days and four on it instead of seven side by side."""
    binding_mm: int
    """Room along the punched edge: the long one, at the top of a sheet laid on its side."""
    margin_mm: int
    """Room along the other edges."""
    tints: tuple[Tint, ...]
    """The palette."""
