"""A reader of photographed habit pages, as simple as one can be: what a later one has to find.

It reads the code with a general decoder, takes the map with that code, looks for each dark corner
where the code lets it expect one, and measures how dark each box is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import zxingcpp
from PIL import Image, ImageStat

SEARCH_MM = 5.5
"""Half the width of the square in which a corner is looked for."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Affine:
    """Millimetres of the sheet to pixels of the picture."""

    x: tuple[float, float, float]
    y: tuple[float, float, float]

    def __call__(self, at: Point) -> Point:
        """Where a place of the sheet lies in the picture."""
        return (
            self.x[0] * at[0] + self.x[1] * at[1] + self.x[2],
            self.y[0] * at[0] + self.y[1] * at[1] + self.y[2],
        )

    @property
    def pixels_per_mm(self) -> float:
        """How large a millimetre is."""
        return float((self.x[0] ** 2 + self.y[0] ** 2) ** 0.5)


@dataclass(frozen=True)
class Found:
    """What was read of a picture: the code's text, the corners in pixels, how dark each box is."""

    code: str
    corners: tuple[Point, ...]
    inked: dict[tuple[str, str], float]
    place: Affine


def read(picture: Image.Image, cell_map: dict[str, Any]) -> Found:
    """The page of the map that the picture shows; AssertionError where something is not found."""
    codes = zxingcpp.read_barcodes(
        picture, zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    )
    assert len(codes) == 1, [one.text for one in codes]
    page = next(one for one in cell_map["pages"] if one["code"] == codes[0].text)
    place = _of_code(codes[0].position, page["code_mm"])
    corners = [(float(x), float(y)) for x, y in page["corners_mm"]]
    for _ in range(2):  # from where the code stands, then from the corners themselves
        seen = tuple(
            _dark_middle(picture, place(corner), place.pixels_per_mm) for corner in corners
        )
        place = _fitted(corners, seen)
    inked = {
        (cell["habit"], cell["date"]): _ink(picture, place, cell["box_mm"])
        for cell in page["cells"]
    }
    return Found(codes[0].text, seen, inked, place)


def _of_code(position: Any, box: list[float]) -> Affine:
    x, y, w, h = box
    mm = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    px = [
        (float(one.x), float(one.y))
        for one in (
            position.top_left,
            position.top_right,
            position.bottom_right,
            position.bottom_left,
        )
    ]
    return _fitted(list(mm), tuple(px))


def _fitted(mm: list[Point], px: tuple[Point, ...]) -> Affine:
    """The affine map of least squares through pairs of points."""
    rows = [(x, y, 1.0) for x, y in mm]

    def solved(values: list[float]) -> tuple[float, float, float]:
        normal = [[sum(a[i] * a[j] for a in rows) for j in range(3)] for i in range(3)]
        right = [sum(a[i] * v for a, v in zip(rows, values, strict=True)) for i in range(3)]
        return _cramer(normal, right)

    return Affine(solved([x for x, _ in px]), solved([y for _, y in px]))


def _cramer(matrix: list[list[float]], right: list[float]) -> tuple[float, float, float]:
    def det(m: list[list[float]]) -> float:
        return (
            m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
        )

    whole = det(matrix)
    found = []
    for column in range(3):
        swapped = [[*row[:column], right[at], *row[column + 1 :]] for at, row in enumerate(matrix)]
        found.append(det(swapped) / whole)
    return (found[0], found[1], found[2])


def _dark_middle(picture: Image.Image, at: Point, scale: float) -> Point:
    """The middle of what is dark around a point; a corner must be there, of the size it has."""
    half = SEARCH_MM * scale
    left, top = round(at[0] - half), round(at[1] - half)
    part = picture.crop((left, top, round(at[0] + half), round(at[1] + half)))
    low, high = part.getextrema()
    assert isinstance(low, int)
    assert isinstance(high, int)
    assert high - low > 60, "no corner here"
    limit = (low + high) / 2
    dark = [
        (at % part.width, at // part.width)
        for at, value in enumerate(part.tobytes())
        if value < limit
    ]
    size = len(dark) ** 0.5 / scale
    assert 4 < size < 6.5, f"a dark thing of {size:.1f} mm is no corner"
    return (
        left + sum(x for x, _ in dark) / len(dark) + 0.5,
        top + sum(y for _, y in dark) / len(dark) + 0.5,
    )


def _ink(picture: Image.Image, place: Affine, box: list[float]) -> float:
    """How much darker the inside of a box is than the paper beside it."""
    x, y, w, h = box
    inside = _mean(picture, place, (x + w / 2, y + h / 2), min(w, h) * 0.32)
    white = _mean(picture, place, (x + w / 2, y - 0.9), 0.3)
    return 1 - inside / max(white, 1)


def _mean(picture: Image.Image, place: Affine, at: Point, half: float) -> float:
    x, y = place(at)
    size = half * place.pixels_per_mm
    part = picture.crop((round(x - size), round(y - size), round(x + size), round(y + size)))
    return float(ImageStat.Stat(part).mean[0])
