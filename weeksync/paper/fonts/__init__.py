"""The fonts that sheets are set in, subsets under the SIL Open Font License (`OFL.txt`).

Latin with Greek and Cyrillic, Arabic, Hebrew, upright, regular and bold; arrows and signs of
arithmetic, regular. Pages on a screen do not
load them. What none of them has, as Chinese, is set in whatever font the machine has.
"""

from __future__ import annotations

from importlib import resources

FAMILIES = ("NotoSans", "NotoSansArabic", "NotoSansHebrew", "NotoSansMath")
"""In the order in which they are asked for a character."""

WEIGHTS = {False: "Regular", True: "Bold"}
ONE_WEIGHT = frozenset({"NotoSansMath"})
"""Families whose regular font stands for the bold one, too."""


def font_bytes(family: str, *, bold: bool) -> bytes:
    """The file of one font."""
    weight = WEIGHTS[bold and family not in ONE_WEIGHT]
    return (resources.files(__name__) / f"{family}-{weight}.ttf").read_bytes()
