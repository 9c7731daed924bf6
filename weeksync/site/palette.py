"""The palette: ten tints, each with a fill and an edge for light pages, dark pages and paper.

Lightness is staggered, so that the fills stay apart for eyes that do not see red and green
apart; the tests compute that, and the contrast of text on every fill. A letter stands beside
every tint, because no palette of ten works for everybody.
"""

from __future__ import annotations

from weeksync.site.record import Tint

TINTS = (
    Tint("moss", "#b7cba4", "#506020", "#43632c", "#aec083", "#e6f5d1"),
    Tint("brick", "#d1947a", "#834337", "#532614", "#e9a495", "#fedbd6"),
    Tint("slate", "#c7d1e8", "#4c596a", "#545f69", "#abb9cb", "#ecf2fd"),
    Tint("plum", "#d9b1be", "#784562", "#3d0f32", "#dca4c3", "#eacfd8"),
    Tint("straw", "#f7edbf", "#66580c", "#775d0e", "#c6b878", "#fff2bf"),
    Tint("fir", "#73a494", "#2f644a", "#275939", "#92c5a9", "#b9dcbd"),
    Tint("harbour", "#77accf", "#1d5f7d", "#003b54", "#85c1e0", "#b5ddff"),
    Tint("heather", "#cec5fb", "#614d78", "#5a507f", "#c1addb", "#dedbef"),
    Tint("clay", "#dfb67f", "#784d24", "#5d3600", "#dbad85", "#f6d9b4"),
    Tint("stone", "#ebe7e1", "#5b5851", "#332f29", "#bab7b0", "#f2f2ef"),
)
"""In the order of `weeksync.model.config.COLOURS`."""
