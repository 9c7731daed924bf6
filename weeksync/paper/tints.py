"""The ten tints of areas on paper: a light fill and the edge that bounds it.

Fills stay light, so that no page takes much ink and print on them keeps its contrast; a letter
stands in each, because in greyscale they look alike.
"""

from __future__ import annotations

from types import MappingProxyType

TINTS = MappingProxyType(
    {
        "moss": ("#eef1e0", "#616107"),
        "brick": ("#f8e6df", "#7f5254"),
        "slate": ("#e6edf3", "#585c7a"),
        "plum": ("#f2e8ea", "#4a175a"),
        "straw": ("#fafad9", "#8a6b28"),
        "fir": ("#e3f8e9", "#5b6a57"),
        "harbour": ("#dcf1fb", "#1a6aa8"),
        "heather": ("#f5e6fd", "#75677d"),
        "clay": ("#f8ecd2", "#571400"),
        "stone": ("#f1f4f8", "#2c2c2f"),
    }
)
"""Colour of an area → (fill, edge)."""
