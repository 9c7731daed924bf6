"""Sizes of paper by name: width and height in millimetres, standing upright."""

from __future__ import annotations

from typing import Literal

SizeName = Literal["A4", "A5", "A6", "letter", "half-letter", "95x171", "81x120"]

SIZES: dict[SizeName, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A5": (148.0, 210.0),
    "A6": (105.0, 148.0),
    "letter": (215.9, 279.4),
    "half-letter": (139.7, 215.9),
    "95x171": (95.0, 171.0),
    "81x120": (81.0, 120.0),
}
"""A4 to A6: ISO 216:2007; letter and half letter: ANSI/ASME Y14.1 (all from memory).
The two narrow ones are six-ring sheets, common practice, from memory: measure yours."""
