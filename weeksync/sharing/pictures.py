"""Pictures of a shared week: upright and square, light and dark, each filled to its lower edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from weeksync.sharing.engine import end_of, laid_out, pdf, png, written
from weeksync.sharing.page import Templates, html
from weeksync.sharing.record import Form, SharedPage

SIZES: dict[Form, tuple[int, int]] = {"portrait": (1080, 1350), "square": (1080, 1080)}
"""Pixels of the pictures: 4 to 5 and 1 to 1, as places that show pictures crop them (common
practice, no source)."""

GROUNDS = ("light", "dark")

ROWS: dict[Form, int] = {"portrait": 4, "square": 2}
"""Rows of days in a picture."""

_SCALES = (1.0, 0.92, 0.84, 0.77, 0.7, 0.64, 0.6)
"""How far letters may shrink before lines are left out: 0.6 of 32 pixels, on a telephone a
third as wide as the picture, are the 7 pixels that can just be read (common practice)."""

MARGIN = 48
"""CSS pixels that stay empty along the lower edge."""

_SHEET_SCALES = (1.0, 0.93, 0.86)
"""Of 9.5 points: down to 8, which is what small print in books has (common practice)."""

_LINES = (8, 6, 5, 4, 3, 2, 1)
_HABITS = (8, 5)
"""How many habits there are where not all have room; then lines of days are left out."""

_MOST_ROOM = 150.0
"""Beyond that, room stays empty at the lower edge: rows far apart fall to pieces."""


def pictures(page: SharedPage, templates: Templates) -> Iterator[tuple[str, bytes]]:
    """(form and ground as `portrait-light`, PNG) of each picture."""
    for form, (width, _) in SIZES.items():
        fitted = fit(replace(page, form=form, dark=False), templates)
        for ground in GROUNDS:
            made = html(replace(fitted, dark=ground == "dark"), templates)
            yield f"{form}-{ground}", png(laid_out(made), width)


def sheet(page: SharedPage, templates: Templates) -> bytes:
    """The page as a PDF: on one sheet with letters a little smaller, on more where that is many."""
    for scale in _SHEET_SCALES:
        document = laid_out(html(replace(page, form="paper", scale=scale), templates))
        if len(document.pages) == 1:
            return written(document)
    return pdf(html(replace(page, form="paper"), templates))


def fit(page: SharedPage, templates: Templates) -> SharedPage:
    """The page with letters as large as they can be, and the room that is left spread evenly.

    Where even small letters do not do, each day ends with "…" after as many lines as there is
    room for; the page in HTML has them all.
    """
    small = replace(page, scale=_SCALES[-1])
    fewer = [replace(small, most_habits=most) for most in _HABITS]
    tries = [
        *(replace(page, scale=scale) for scale in _SCALES),
        *fewer,
        *(replace(fewer[-1], most=most) for most in _LINES),
        replace(small, most=_LINES[-1], most_habits=0),
    ]
    # Each try takes less room than the one before: the first that fits is found by halves.
    low, high, room = 0, len(tries) - 1, 0.0
    while low < high:
        middle = (low + high) // 2 if low else 0  # most weeks fit as they are
        left = _left_below(tries[middle], templates)
        if left >= 0:
            high, room = middle, left
        else:
            low = middle + 1
    return replace(tries[low], room=min(room / ROWS[page.form], _MOST_ROOM))


def _left_below(page: SharedPage, templates: Templates) -> float:
    """CSS pixels between what stands lowest and the lower margin; negative where it is beyond."""
    return SIZES[page.form][1] - MARGIN - end_of(laid_out(html(page, templates)))
