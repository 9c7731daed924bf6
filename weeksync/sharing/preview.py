"""The page on which a person sees what others would see, beside what they see themselves.

It is private: it holds the household's own page and the list of what was left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from weeksync.lazy import dataclass
from weeksync.sharing.page import Templates, with_style


@dataclass(frozen=True, slots=True)
class PreviewLine:
    """What became of one thing of the week."""

    title: str
    days: str
    """The weekdays it stands on; "" for the whole week."""
    shown: str
    """What stands on the shared page for it; "" where it is left out."""
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewPage:
    """The page: two frames and a list."""

    record: int = 1
    language: str
    direction: str
    heading: str
    own: str
    """Relative address of the household's own page of the week; "" where it has none."""
    shared: str
    """Relative address of the page for others."""
    pictures: tuple[str, ...]
    """Relative addresses of pictures, PDF and other files."""
    lines: tuple[PreviewLine, ...]
    notes: tuple[str, ...]
    style: str = ""
    style_hash: str = ""


def preview(page: PreviewPage, templates: Templates) -> bytes:
    """The page as HTML, UTF-8."""
    style, digest = with_style("preview.css", page, templates)
    return templates.render("preview.html", replace(page, style=style, style_hash=digest))


def in_order(lines: Sequence[PreviewLine]) -> tuple[PreviewLine, ...]:
    """What is shown first, then what is left out; what is the same on several days once."""
    same: dict[tuple[str, str, str], list[str]] = {}
    for line in lines:
        days = same.setdefault((line.title, line.shown, line.why), [])
        if line.days and line.days not in days:
            days.append(line.days)
    together = [
        PreviewLine(title, ", ".join(days), shown, why)
        for (title, shown, why), days in same.items()
    ]
    return tuple(sorted(together, key=lambda line: not line.shown))
