"""Holes where binders have them, on the right edge, with nothing printed where they go."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.paper.binder_kit import HOLES, sheet
from weeksync.errors import UsageError
from weeksync.model.paper_settings import HoleName
from weeksync.model.sheets import SIZES, SizeName
from weeksync.paper.binder import bound_length_mm, centres, hole_ticks
from weeksync.paper.document import Page
from weeksync.paper.holes import NONE, PATTERNS, own_pattern, pattern_for
from weeksync.paper.kinds import Kind
from weeksync.paper.sheet import Side

CENTRES = {
    ("A4", "2-hole"): (108.5, 188.5),
    ("A4", "4-hole"): (28.5, 108.5, 188.5, 268.5),
    ("A5", "2-hole"): (65, 145),
    ("A5", "6-ring-210"): (32, 51, 70, 140, 159, 178),
    ("letter", "3-hole"): (31.75, 139.7, 247.65),
    ("half-letter", "3-hole-half"): (38.1, 107.95, 177.8),
}
"""Worked out by hand from the distances in `holes.py`: ISO 838:1974 and DIN 821-2:1973 as quoted
by others, the American and six-ring ones common practice, in part from memory."""


def page(size: SizeName, side: Side, holes: str | None = None, *, landscape: bool = False) -> Page:
    """An empty page."""
    on = sheet(size, holes)
    return Page(Kind.BLANK, "", on.turned() if landscape else on, side, ())


@pytest.mark.parametrize(("size", "holes"), CENTRES)
def test_holes_lie_where_they_are_worked_out_to_lie(size: SizeName, holes: str) -> None:
    """From the top edge, in millimetres."""
    found = PATTERNS[holes].centres_mm(SIZES[size][1])
    assert found == pytest.approx(CENTRES[size, holes])


def test_two_holes_are_80_mm_apart_and_clear_of_print_with_everything_against_them() -> None:
    """12±1 mm to the middle, 6±0.5 mm wide (ISO 838:1974, as quoted): 16.25 mm at worst."""
    holes = PATTERNS["2-hole"]
    assert holes.offsets_mm == (-40, 40)
    assert holes.reach_mm == 16.25
    assert holes.keep_clear_mm == 20


@pytest.mark.parametrize("name", PATTERNS)
def test_every_pattern_keeps_clear_of_its_holes_and_says_where_it_is_from(name: str) -> None:
    """The keep-clear is wider than a hole reaches, and every pattern has its source."""
    one = PATTERNS[name]
    assert one.source
    assert one.keep_clear_mm >= one.reach_mm
    assert one is NONE or one.keep_clear_mm > one.edge_mm + one.diameter_mm / 2


def test_the_settings_take_the_patterns_there_are() -> None:
    """`holes` of `[paper]` and the data have the same names."""
    assert set(get_args(HoleName)) == set(PATTERNS)


@pytest.mark.parametrize(
    ("size", "holes"), [("A5", "4-hole"), ("A6", "6-ring-210"), ("A6", "3-hole")]
)
def test_a_sheet_that_is_too_short_is_told_what_it_takes(size: SizeName, holes: str) -> None:
    """A5 cannot take four holes, A6 no rings of A5."""
    with pytest.raises(UsageError, match=r"2-hole") as caught:
        pattern_for(holes, SIZES[size][1])
    assert holes in str(caught.value)


def test_an_unknown_pattern_is_told_those_there_are() -> None:
    """The remedy names them."""
    with pytest.raises(UsageError, match="4-hole"):
        pattern_for("5-hole", 297)


@pytest.mark.parametrize("size", HOLES)
def test_every_sheet_has_a_pattern(size: SizeName) -> None:
    """Each named size is filed in some binder."""
    assert pattern_for(HOLES[size], SIZES[size][1]).offsets_mm


@given(
    size=st.sampled_from(sorted(HOLES)), side=st.sampled_from(list(Side)), landscape=st.booleans()
)
def test_turning_a_leaf_over_its_long_edge_leaves_its_holes_where_they_are(
    size: SizeName, side: Side, landscape: bool
) -> None:
    """The back's holes are the front's, seen from behind: mirrored, upright and landscape."""
    front = page(size, side, landscape=landscape)
    on = front.sheet
    back = centres(on, side.other)

    def behind(x: float, y: float) -> tuple[float, float]:
        return (x, on.height_mm - y) if landscape else (on.width_mm - x, y)

    seen = sorted(behind(*hole) for hole in centres(on, side))
    for hole, expected in zip(seen, sorted(back), strict=True):
        assert hole == pytest.approx(expected)
    assert bound_length_mm(on) == max(on.width_mm, on.height_mm)


@given(size=st.sampled_from(sorted(HOLES)), side=st.sampled_from(list(Side)))
def test_ticks_are_punched_away(size: SizeName, side: Side) -> None:
    """Each stroke lies within its hole, and so within the keep-clear."""
    one = page(size, side)
    holes = centres(one.sheet, side)
    ticks = hole_ticks(one)
    assert len(ticks) == 2 * len(holes)
    strip = one.sheet.keep_clear(side)
    for tick in ticks:
        x, y = (tick.x1 + tick.x2) / 2, (tick.y1 + tick.y2) / 2
        assert min(abs(x - at[0]) + abs(y - at[1]) for at in holes) < 1e-6
        reach = max(tick.x2 - tick.x1, tick.y2 - tick.y1) / 2
        assert 0 < reach < one.sheet.holes.diameter_mm / 2
        assert strip.x <= tick.x1 <= tick.x2 <= strip.right


def test_a_pattern_that_was_measured_is_taken_as_it_is() -> None:
    """Centres from the top edge; one millimetre is kept clear beyond the hole."""
    own = own_pattern((30, 90), 120, 5, 7)
    assert own.centres_mm(120) == pytest.approx((30, 90))
    assert own.reach_mm == 9.5
    assert own.keep_clear_mm == 11
    with pytest.raises(UsageError, match="119"):
        own_pattern((30, 119), 120, 5, 7)


def test_a_sheet_without_holes_has_no_ticks() -> None:
    """And no keep-clear."""
    bare = page("A4", Side.LEFT)
    bare = replace(bare, sheet=replace(bare.sheet, holes=NONE))
    assert hole_ticks(bare) == ()
