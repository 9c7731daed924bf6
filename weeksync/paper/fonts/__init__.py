"""The fonts that sheets are set in, subsets under the SIL Open Font License (`OFL.txt`).

Latin with Greek and Cyrillic, Arabic, Hebrew; upright, regular and bold. Pages on a screen do not
load them. What none of them has, as Chinese, is set in whatever font the machine has.
"""

from __future__ import annotations

from importlib import resources

FAMILIES = ("NotoSans", "NotoSansArabic", "NotoSansHebrew")
"""In the order in which they are asked for a character."""

WEIGHTS = {False: "Regular", True: "Bold"}


def font_bytes(family: str, *, bold: bool) -> bytes:
    """The file of one font."""
    return (resources.files(__name__) / f"{family}-{WEIGHTS[bold]}.ttf").read_bytes()
