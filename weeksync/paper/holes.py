"""Holes: where binders punch a sheet, and what stays clear of them.

The measures are data with their source. ISO 838 itself was not read: three pages that quote it
agree. Other rings are common practice, and the figures for six rings are from memory: measure
your binder, and give its own measures where these do not fit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message

INCH = 25.4

PAPER_AROUND_MM = 3.0
"""Paper that has to be left beyond the outermost hole; common practice, no source."""


@dataclass(frozen=True, slots=True)
class HolePattern:
    """Holes along one edge, in millimetres; `offsets_mm` from the middle of that edge.

    `edge_mm` is from a hole's centre to the edge of the sheet, `reach_mm` how far in a hole ends
    with everything against it, `keep_clear_mm` what stays without ink. `source` says where the
    measures are from and `status` how far that is to be trusted.
    """

    name: str
    offsets_mm: tuple[float, ...] = ()
    diameter_mm: float = 0
    edge_mm: float = 0
    reach_mm: float = 0
    keep_clear_mm: float = 0
    shortest_mm: float = 0
    """The shortest edge that takes it."""
    source: str = ""
    status: Literal["quoted", "common practice", "memory", "own"] = "own"

    def centres_mm(self, edge_length_mm: float) -> tuple[float, ...]:
        """The centres along an edge of that length, from its beginning (top, or left)."""
        return tuple(edge_length_mm / 2 + offset for offset in self.offsets_mm)

    def fits(self, edge_length_mm: float) -> bool:
        """Whether an edge of that length takes all the holes, with paper around them."""
        return edge_length_mm + 1e-6 >= self.shortest_mm


def _pattern(
    name: str,
    positive: Sequence[float],
    *,
    diameter: float,
    edge: float,
    reach: float,
    keep_clear: float = 0,
    shortest: float = 0,
    source: str,
    status: Literal["quoted", "common practice", "memory", "own"],
) -> HolePattern:
    """A pattern symmetric about the middle; a 0 in `positive` is a hole in the middle."""
    offsets = tuple(sorted({sign * one for one in positive for sign in (-1, 1)}))
    span = 2 * max(positive, default=0) + diameter + 2 * PAPER_AROUND_MM
    return HolePattern(
        name,
        offsets,
        diameter,
        edge,
        reach,
        keep_clear or float(math.ceil(reach + 1)),
        max(shortest, span),
        source,
        status,
    )


NONE = HolePattern("none", source="no holes, no keep-clear")

_ISO_838_REACH = 12 + 1 + 6.5 / 2
"""16.25 mm: centre 12±1 mm from the edge, hole 6±0.5 mm wide."""

_SIX_RING_REACH = 6 + 5.5
"""Hole 5.5 mm wide whose near side lies up to 6 mm from the edge."""

PATTERNS: Mapping[str, HolePattern] = MappingProxyType(
    {
        one.name: one
        for one in (
            NONE,
            _pattern(
                "2-hole",
                (40,),
                diameter=6,
                edge=12,
                reach=_ISO_838_REACH,
                keep_clear=20,
                shortest=100,
                source="ISO 838:1974: two holes 6±0.5 mm wide, centres 80±0.5 mm apart and 12±1 mm "
                "from the edge, on sheets at least 100 mm high",
                status="quoted",
            ),
            _pattern(
                "4-hole",
                (40, 120),
                diameter=6,
                edge=12,
                reach=_ISO_838_REACH,
                keep_clear=20,
                source="DIN 821-2:1973: the holes of ISO 838 and one 80 mm above and below them",
                status="quoted",
            ),
            _pattern(
                "3-hole",
                (0, 4.25 * INCH),
                diameter=5 / 16 * INCH,
                edge=0.5 * INCH,
                reach=(3 / 8 + 5 / 16) * INCH,
                keep_clear=20,
                shortest=240,
                source="US letter: centres 4.25 in apart; width and distance from the edge vary, "
                "up to 5/16 in and 3/8 in",
                status="common practice",
            ),
            _pattern(
                "3-hole-half",
                (0, 2.75 * INCH),
                diameter=5 / 16 * INCH,
                edge=0.5 * INCH,
                reach=(3 / 8 + 5 / 16) * INCH,
                keep_clear=20,
                source="US half letter: centres 2.75 in apart",
                status="memory",
            ),
            _pattern(
                "6-ring-210",
                (35, 54, 73),
                diameter=5.5,
                edge=8.5,
                reach=_SIX_RING_REACH,
                source="six rings for sheets 210 mm high: 19 mm apart, 70 mm between the groups",
                status="memory",
            ),
            _pattern(
                "6-ring-171",
                (25.5, 44.5, 63.5),
                diameter=5.5,
                edge=8.5,
                reach=_SIX_RING_REACH,
                source="six rings for sheets 171 mm high: 19 mm apart, 51 mm between the groups",
                status="memory",
            ),
            _pattern(
                "6-ring-120",
                (16, 35, 54),
                diameter=5.5,
                edge=8.5,
                reach=_SIX_RING_REACH,
                source="six rings for sheets 120 mm high: 19 mm apart, 32 mm between the groups",
                status="memory",
            ),
        )
    }
)
"""By the names that `holes` of `[paper]` takes."""


def pattern_for(name: str, edge_length_mm: float) -> HolePattern:
    """The pattern of that name; UsageError where there is none, or the edge is too short for it."""
    found = PATTERNS.get(name)
    if found is None:
        raise UsageError(
            message(
                'there is no hole pattern "{value}"; there are: {known}',
                value=name[:40],
                known=", ".join(PATTERNS),
            )
        )
    if not found.fits(edge_length_mm):
        takes = [one.name for one in PATTERNS.values() if one.fits(edge_length_mm)]
        raise UsageError(
            message(
                'holes = "{value}" needs an edge of {needed} mm, and the sheet has {length} mm; '
                "such a sheet takes: {known}",
                value=name,
                needed=round(found.shortest_mm, 1),
                length=round(edge_length_mm, 1),
                known=", ".join(takes),
            )
        )
    return found


def own_pattern(
    centres_mm: Sequence[float], edge_length_mm: float, diameter_mm: float, edge_mm: float
) -> HolePattern:
    """A pattern as measured: centres from the beginning of the edge, all in millimetres.

    UsageError where a hole does not lie in the edge. One millimetre more than measured is kept
    clear on top of what the hole takes.
    """
    for centre in centres_mm:
        if not diameter_mm / 2 <= centre <= edge_length_mm - diameter_mm / 2:
            raise UsageError(
                message(
                    "a hole at {value} mm does not lie in an edge of {length} mm; measure from "
                    "the top edge of the sheet to the middle of the hole",
                    value=round(float(centre), 1),
                    length=round(edge_length_mm, 1),
                )
            )
    reach = edge_mm + diameter_mm / 2
    return HolePattern(
        "own",
        tuple(sorted(centre - edge_length_mm / 2 for centre in centres_mm)),
        diameter_mm,
        edge_mm,
        reach,
        float(math.ceil(reach + 1)),
        edge_length_mm,
        "measured by the household",
        "own",
    )
