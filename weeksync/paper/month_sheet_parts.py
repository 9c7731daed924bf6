"""What the month overview is put together from: heights of rows, signs, and what to say."""

from __future__ import annotations

from collections.abc import Sequence

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.paper.marks import Rule, Tone
from weeksync.paper.sheet import Box, Sheet

CHEVRON_MM = 1.2


def too_small(sheet: Sheet, size_pt: float) -> UsageError:
    """That a month does not fit on a sheet."""
    return UsageError(
        message(
            "a month does not fit on a sheet of {width} × {height} mm in type of {size} points; "
            "print it on a larger one, as A4",
            width=round(sheet.width_mm, 1),
            height=round(sheet.height_mm, 1),
            size=round(size_pt, 1),
        )
    )


def shared(wants: Sequence[float], least: float, whole: float) -> list[float]:
    """Heights that fill the whole: what is wanted, with what is over or missing shared out.

    No one gets less than `least`; where it does not suffice, those that want most give first.
    """
    spare = whole - sum(wants)
    if spare >= 0:
        return [want + spare / len(wants) for want in wants]
    low, high = least, max(wants)
    for _ in range(40):  # halving finds the height at which all others are cut
        middle = (low + high) / 2
        low, high = (middle, high) if sum(min(w, middle) for w in wants) < whole else (low, middle)
    return [min(want, low) for want in wants]


def chevron(x: float, box: Box) -> tuple[Rule, Rule]:
    """A sign that something reaches beyond its row; it is turned over with the page."""
    middle, half = box.y + box.h / 2, min(CHEVRON_MM, box.h / 3)
    return (
        Rule(x, middle - half, x + CHEVRON_MM, middle, 0.3, Tone.SOFT),
        Rule(x + CHEVRON_MM, middle, x, middle + half, 0.3, Tone.SOFT),
    )
