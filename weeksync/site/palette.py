"""The palette: ten tints, each with a fill and an edge for light pages, dark pages and paper.

Found by a search for the ten colours whose nearest two are furthest apart, by CIEDE2000, for eyes
with all cones and for eyes without one kind of them, each within its own hue; the tests compute
that, and the contrast of text on every fill. A letter stands beside every tint, because no palette
of ten works for everybody.
"""

from __future__ import annotations

from weeksync.site.record import Tint

TINTS = (
    Tint("moss", "#b9c0a2", "#616107", "#5a583c", "#fcec97", "#eef9d2"),
    Tint("brick", "#d3896c", "#7f5254", "#58081b", "#d9727c", "#f6c4ae"),
    Tint("slate", "#9cb2c4", "#585c7a", "#2c5065", "#e2e6fd", "#dee3ff"),
    Tint("plum", "#b69399", "#4a175a", "#352637", "#9a708b", "#feedf8"),
    Tint("straw", "#f1f2ac", "#aa8438", "#776420", "#7d8127", "#d3cf82"),
    Tint("fir", "#d0f6d9", "#7d8e79", "#556a62", "#bcf8db", "#dbf7e5"),
    Tint("harbour", "#23a7e1", "#2a8edd", "#096aa7", "#74bbfc", "#88d5ff"),
    Tint("heather", "#ebcaff", "#8f8196", "#25235d", "#6c7fcf", "#cacbda"),
    Tint("clay", "#e3b96a", "#571400", "#563d00", "#caaa4d", "#fde4ab"),
    Tint("stone", "#e9edf4", "#2c2c2f", "#3f4641", "#b0adb3", "#d0ccc4"),
)
"""In the order of `weeksync.model.config.COLOURS`."""
