"""Bands: one drawing over both pages of a week, the same every time, never where holes go."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO
from typing import get_args, get_type_hints

import pytest
from PIL import Image

from tests.paper.binder_kit import check_keep_clear, darkness, document, layout, pdf, picture
from weeksync.errors import UsageError
from weeksync.model.paper_settings import Paper
from weeksync.model.week import IsoWeek
from weeksync.paper.bands import (
    COLOURS,
    HEIGHT_MM,
    PATTERNS,
    WITHOUT,
    Band,
    Stretch,
    decorate,
    pattern_svg,
    with_band,
)
from weeksync.paper.document import Page
from weeksync.paper.kinds import Kind
from weeksync.paper.marks import Art
from weeksync.paper.sheet import Box, Side

LEFT, RIGHT = Stretch(7, 128, 296), Stretch(168, 289, 296)
"""What the pages of an A5 spread show."""

WHOLE = Stretch(0, 296, 296)


def page(side: Side, week: int = 12, kind: Kind = Kind.SPREAD) -> Page:
    """A page of a week on A5, with a word on it."""
    on = layout("A5")
    area = on.sheet.area(side)
    word = on.write(area.x, area.y + 20, 30, "Week", role="h1")
    return Page(kind, "Week", on.sheet, side, (word,), week=IsoWeek(2027, week))


def svg(of: Page) -> str:
    """Its band."""
    return next(str(one.svg) for one in of.marks if isinstance(one, Art))


def shapes(text: str) -> set[str]:
    """The places in a drawing: corners of areas, circles, leaves."""
    places = set(re.findall(r"[\d.-]+,[\d.-]+(?=[ \"])", text))
    return places | set(re.findall(r"<(?:circle|path) [^>]*>", text))


def test_the_settings_take_the_patterns_and_colours_there_are() -> None:
    """Beside none and a picture of one's own."""
    hints = get_type_hints(Paper)
    assert set(get_args(hints["band"])) == {"none", "picture", *PATTERNS}
    assert set(get_args(hints["band_colours"])) == set(COLOURS)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_a_week_has_its_own_drawing_and_always_the_same(pattern: str) -> None:
    """Seeded by the week."""
    band = Band(pattern)
    weeks = [str(pattern_svg(band, f"2027-W{number}", LEFT)) for number in range(10, 20)]
    assert weeks == [str(pattern_svg(band, f"2027-W{number}", LEFT)) for number in range(10, 20)]
    assert len(set(weeks)) >= (4 if pattern == "weave" else 10)


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("colours", COLOURS)
def test_only_the_colours_of_the_set_are_drawn(pattern: str, colours: str) -> None:
    """Four of them, each light enough for print beside it: a tint, no ink to speak of."""
    text = str(pattern_svg(Band(pattern, colours), "2027-W12", WHOLE))
    used = set(re.findall(r"#[0-9a-f]{6}", text))
    assert used == set(COLOURS[colours])
    for colour in used:
        red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
        assert 0.299 * red + 0.587 * green + 0.114 * blue > 150


@pytest.mark.parametrize("pattern", ["waves", "hills", "dots", "leaves"])
def test_the_drawing_runs_through_both_pages(pattern: str) -> None:
    """What each page shows is part of one drawing over the whole spread."""
    band = Band(pattern)
    whole = shapes(str(pattern_svg(band, "2027-W12", WHOLE)))
    for stretch in (LEFT, RIGHT):
        edges = {f"{stretch.first:g},5", f"{stretch.last:g},5", "0,5", "296,5"}
        seen = shapes(str(pattern_svg(band, "2027-W12", stretch))) - edges
        assert len(seen) > 20
        assert seen <= whole


def test_pages_of_a_spread_show_their_halves() -> None:
    """The left page from its margin to the keep-clear, the right one from there on."""
    left, right = (with_band(page(side), Band()) for side in Side)
    assert 'viewBox="7 0 121 5"' in svg(left)
    assert 'viewBox="168 0 121 5"' in svg(right)
    assert svg(left) != svg(right)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_a_band_is_there_and_leaves_the_holes_alone(pattern: str) -> None:
    """Seen in the PDF: something along the top, nothing in the keep-clear, words untouched."""
    made = decorate(document(layout("A5"), [page(side) for side in Side]), Band(pattern))
    content = pdf(made)
    check_keep_clear(content, made.pages)
    for at, one in enumerate(made.pages):
        area = one.sheet.area(one.side)
        strip = Box(area.x, area.y, area.w, HEIGHT_MM)
        assert 0.02 < darkness(picture(content, at), strip) < 0.4


@pytest.mark.parametrize("kind", sorted(WITHOUT))
def test_some_pages_have_no_band(kind: Kind) -> None:
    """Nothing lies near the corners of a habit page, on a strip of changes, on a test sheet."""
    made = decorate(document(layout("A5"), [page(Side.LEFT, kind=kind)]), Band())
    assert not any(isinstance(one, Art) for one in made.pages[0].marks)


def test_ticks_are_drawn_where_they_are_asked_for() -> None:
    """Two crosses for two holes; and no band without one."""
    plain = document(layout("A5"), [page(Side.LEFT)])
    ticked = decorate(plain, None, ticks=True)
    assert len(ticked.pages[0].marks) == len(plain.pages[0].marks) + 4
    assert decorate(plain, None) == plain


# A picture of one's own


def photo(red_left: bool = True) -> bytes:
    """A JPEG, its halves red and blue, with a place and a camera in its EXIF."""
    made = Image.new("RGB", (600, 60), "#3050c0")
    if red_left:
        made.paste("#c03030", (0, 0, 300, 60))
    exif = Image.Exif()
    exif[0x010F] = "Cameramaker"
    exif[0x8825] = {1: "N", 2: (51.0, 30.0, 0.0)}
    to = BytesIO()
    made.save(to, "JPEG", exif=exif)
    return to.getvalue()


def inside(drawn: str) -> bytes:
    """The picture in a band."""
    found = re.search(r"base64,([A-Za-z0-9+/=]+)", drawn)
    assert found is not None
    return b64decode(found[1])


def test_a_picture_of_ones_own_runs_through_both_pages() -> None:
    """Its left half on the left page, its right half on the right one."""
    assert b"Cameramaker" in photo()
    for side, most in ((Side.LEFT, 0), (Side.RIGHT, 2)):
        part = Image.open(BytesIO(inside(svg(with_band(page(side), Band(picture=photo()))))))
        means = part.resize((1, 1)).getpixel((0, 0))
        assert isinstance(means, tuple)
        assert max(range(3), key=lambda at: means[at]) == most


def test_nothing_is_kept_of_a_picture_but_what_is_seen() -> None:
    """No camera, no place, no comment: the part is a picture of its own."""
    part = inside(svg(with_band(page(Side.LEFT), Band(picture=photo()))))
    assert b"Cameramaker" not in part
    opened = Image.open(BytesIO(part))
    assert opened.format == "PNG"
    assert not opened.getexif()
    assert opened.info == {}


def test_a_turned_photo_is_set_upright() -> None:
    """By the orientation in its EXIF, which is not kept."""
    made = Image.new("RGB", (60, 600), "#3050c0")
    made.paste("#c03030", (0, 300, 60, 600))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    to = BytesIO()
    made.save(to, "JPEG", exif=exif)
    band = Band(picture=to.getvalue())
    left = Image.open(BytesIO(inside(svg(with_band(page(Side.LEFT), band)))))
    means = left.resize((1, 1)).getpixel((0, 0))
    assert isinstance(means, tuple)
    assert means[0] > means[2]


@pytest.mark.parametrize("content", [b"GIF89a", b"<svg/>", b"\x89PNG\r\n\x1a\n", photo()[:200]])
def test_what_is_no_picture_is_told(content: bytes) -> None:
    """With what would help."""
    with pytest.raises(UsageError, match="band_picture"):
        with_band(page(Side.LEFT), Band(picture=content))


def test_a_picture_of_absurd_size_is_refused_before_it_is_unpacked() -> None:
    """A few kilobytes that would be 400 million pixels."""
    to = BytesIO()
    Image.new("1", (20_000, 20_000)).save(to, "PNG")
    assert len(to.getvalue()) < 100_000
    with pytest.raises(UsageError, match="100 million"):
        with_band(page(Side.LEFT), Band(picture=to.getvalue()))
