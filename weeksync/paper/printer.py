"""The printer's own numbers, read off the test sheet once: what it cannot reach, how it turns.

Every length is in millimetres. Nothing is assumed about a printer nobody measured: the edge most
of them cannot reach is 4 to 6.4 mm wide, which is common practice and no standard.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.paper.sheet import Sheet

LARGEST_MARGIN_MM = 40.0
LARGEST_SHIFT_MM = 15.0
SCALE_TOLERANCE = 0.5
"""Percent; a hole pattern of 80 mm is then 0.4 mm off, inside the ±0.5 mm of ISO 838."""


@dataclass(frozen=True, slots=True)
class Printer:
    """What the test sheet showed; the defaults are those of a printer without faults.

    `top` … `left` are the strips in which nothing was printed. `percent` is how long the line of
    100 mm came out. `front_right`, `front_down`, `back_right`, `back_down` are how far the cross
    lay from where it belongs, seen from its own side. `turned` says that the back came out upside
    down although the edge was chosen that the sheet names; `both_sides` that it can print both.
    """

    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    left: float = 0.0
    percent: float = 100.0
    front_right: float = 0.0
    front_down: float = 0.0
    back_right: float = 0.0
    back_down: float = 0.0
    turned: bool = False
    both_sides: bool = True

    def __post_init__(self) -> None:
        for name in ("top", "right", "bottom", "left"):
            _within(name, getattr(self, name), 0, LARGEST_MARGIN_MM)
        _within("percent", self.percent, 80, 120)
        for name in ("front_right", "front_down", "back_right", "back_down"):
            _within(name, getattr(self, name), -LARGEST_SHIFT_MM, LARGEST_SHIFT_MM)

    @property
    def margin_mm(self) -> float:
        """The widest strip it cannot reach."""
        return max(self.top, self.right, self.bottom, self.left)

    def cautions(self, sheet: Sheet) -> tuple[Message, ...]:
        """What is worth knowing before a sheet is printed with it."""
        found: list[Message] = []
        if abs(self.percent - 100) > SCALE_TOLERANCE:
            found.append(
                message(
                    "the printer makes 100 mm {length} mm long: choose 100 % or actual size, not "
                    "fit to page, and measure again",
                    length=round(self.percent, 1),
                )
            )
        if self.margin_mm > sheet.margin_mm:
            found.append(
                message(
                    "the printer leaves {width} mm along an edge empty, and margin_mm is "
                    "{margin}; write margin_mm = {width} under [paper]",
                    width=round(self.margin_mm, 1),
                    margin=round(sheet.margin_mm, 1),
                )
            )
        return tuple(found)


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise UsageError(
            message(
                "{name} = {value} is no number of a printer: it lies between {low} and {high}; "
                "measure again on the test sheet",
                name=name,
                value=round(value, 2),
                low=low,
                high=high,
            )
        )


def as_json(printer: Printer) -> str:
    """The numbers as a small JSON object, the form in which they are kept."""
    return json.dumps({"format": 1, **asdict(printer)}, indent=1) + "\n"


def from_json(text: str, place: str) -> Printer:
    """The numbers as kept in the file `place`; UsageError where that is not what it holds."""
    try:
        kept: Any = json.loads(text)
        if not isinstance(kept, dict) or kept.pop("format", None) != 1:
            raise ValueError(place)
        flags = {"turned", "both_sides"}
        if any(isinstance(value, bool) != (key in flags) for key, value in kept.items()):
            raise ValueError(place)
        return Printer(**kept)
    except (ValueError, TypeError, KeyError) as error:
        raise UsageError(
            message(
                "{place} does not hold the numbers of a printer; delete it and print the test "
                "sheet again",
                place=place,
            )
        ) from error
