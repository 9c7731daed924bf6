"""`[paper]` of `config.toml`: the sheets of the binder, how they are printed, and how they look."""

from __future__ import annotations

from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.mistake import Mistake
from weeksync.model.record import Length, Record, Within
from weeksync.model.sheets import SizeName

HoleName = Literal[
    "none", "2-hole", "4-hole", "3-hole", "3-hole-half", "6-ring-210", "6-ring-171", "6-ring-120"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper(Record):
    """The paper: its size, the room on it, and how the printed sheets look."""

    size: SizeName = "A4"
    """A4, A5, A6, letter, half-letter, or the narrow six-ring sheets 95x171 and 81x120."""
    width_mm: Annotated[float, Within(least=60, most=450)] | None = None
    """The width of a sheet of another size, upright, in millimetres; with height_mm."""
    height_mm: Annotated[float, Within(least=90, most=450)] | None = None
    """Its height."""
    landscape: bool = False
    """Lay the sheets on their side; they are punched along the top then."""
    binding_mm: Annotated[int, Within(least=0, most=60)] = 20
    """Room on the punch side in millimetres; 20 clears the holes of ISO 838."""
    margin_mm: Annotated[float, Within(least=4, most=30)] = 7
    """Room along the other edges; printers need 4 to 6.4 (common practice)."""
    holes: HoleName = "2-hole"
    """none, 2-hole (ISO 838), 4-hole, 3-hole, 3-hole-half, 6-ring-210, 6-ring-171 or 6-ring-120."""
    hole_centres_mm: Annotated[tuple[float, ...], Length(most=40)] = ()
    """Holes of your own, measured from the top edge to their middles, in place of `holes`."""
    hole_edge_mm: Annotated[float, Within(least=2, most=40)] = 12
    """From the middle of such a hole to the edge of the sheet."""
    hole_diameter_mm: Annotated[float, Within(least=1, most=20)] = 6
    """How wide such a hole is."""
    hole_ticks: bool = False
    """Print light crosses where the holes go."""
    cutting_marks: bool = False
    """Print marks where a larger sheet is cut."""
    paper: SizeName | Literal[""] = ""
    """What lies in the printer, where that is larger than a sheet: two A5 pages go on A4."""
    type_pt: Annotated[float, Within(least=7, most=16)] = 9
    """The size of the type in points; nothing is printed under 7."""
    large: bool = False
    """Large print: 14 points."""
    row_mm: Annotated[float, Within(least=6, most=12)] = 6.5
    """The height of a line to write on; 6 to 8 suit most hands (common practice)."""
    tick_mm: Annotated[float, Within(least=3.5, most=8)] = 4
    """How wide a box to tick is."""
    ink_saving: bool = False
    """No fills and no decoration."""
    band: Literal["none", "waves", "hills", "dots", "weave", "leaves", "picture"] = "waves"
    """The band along the top edge: none, waves, hills, dots, weave, leaves or picture."""
    band_colours: Literal["meadow", "shore", "orchard", "dusk"] = "shore"
    """Its four colours: meadow, shore, orchard or dusk."""
    band_picture: str = ""
    """A picture of your own for it, from the household folder on."""

    def check(self) -> None:
        """Raise Mistake for one measure without the other."""
        if (self.width_mm is None) != (self.height_mm is None):
            missing = "height_mm" if self.height_mm is None else "width_mm"
            raise Mistake(
                message("a sheet of another size needs both of its measures"),
                message("add {key}, in millimetres", key=missing),
                "width_mm" if missing == "height_mm" else "height_mm",
            )
