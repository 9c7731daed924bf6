"""Pages as the record of a template: what stands where, ready to be written as HTML.

The template (`site_templates/paper/document.html`) places every text by a class of the style
sheet, because style attributes are forbidden by the page's own policy. Lines, fills and boxes of
a page are one drawing (SVG) below its text.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from dataclasses import field
from hashlib import sha256
from typing import Protocol, TypeVar

from markupsafe import Markup

from weeksync.lazy import dataclass
from weeksync.paper.document import Document, Page
from weeksync.paper.drawing import SHADES, drawing
from weeksync.paper.fonts import FAMILIES, font_bytes
from weeksync.paper.marks import Art, Group, Mark, Words
from weeksync.paper.record import (
    ArtBlock,
    Block,
    DrawingRule,
    FontRule,
    GroupBlock,
    PageBlock,
    PaperRecord,
    PaperStyle,
    PlaceRule,
    SheetRule,
    TextBlock,
    TypeRule,
)
from weeksync.paper.sheet import Sheet
from weeksync.paper.text import families_of


class Render(Protocol):
    """Renders a template by its name; `site.render.Renderer` does."""

    def __call__(self, template: str, page: PaperStyle | PaperRecord) -> bytes:
        """The template over the record, as UTF-8."""


@dataclass(slots=True)
class _Classes:
    """Classes that are given out, one for each different look or place."""

    direction: str
    places: dict[tuple[str, str, str, str], str] = field(default_factory=dict)
    types: dict[tuple[str, str, bool, str, str, bool], str] = field(default_factory=dict)
    sheets: dict[tuple[str, str], str] = field(default_factory=dict)
    drawings: dict[str, str] = field(default_factory=dict)

    def place(self, x: float, y: float, w: float, h: float) -> str:
        return _named(self.places, (_mm(x), _mm(y), _mm(w), _mm(h)), "b")

    def type(self, words: Words) -> str:
        sides = {"start": "left", "end": "right", "centre": "center"}
        if self.direction == "rtl":
            sides |= {"start": "right", "end": "left"}
        look = (
            _mm(words.size_pt),
            _mm(words.line_mm),
            words.bold,
            sides[words.align],
            SHADES[words.tone],
            words.struck,
        )
        return _named(self.types, look, "t")

    def sheet(self, sheet: Sheet) -> str:
        return _named(self.sheets, (_mm(sheet.width_mm), _mm(sheet.height_mm)), "s")

    def drawing(self, svg: str) -> str:
        address = f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"
        return _named(self.drawings, address, "d")


_Key = TypeVar("_Key")


def _named(given: dict[_Key, str], key: _Key, letter: str) -> str:
    return given.setdefault(key, f"{letter}{len(given)}")


def html(document: Document, render: Render) -> bytes:
    """The document as one HTML file that needs nothing else: fonts and drawings are in it."""
    classes = _Classes(document.direction)
    pages = tuple(_page(page, at, classes) for at, page in enumerate(document.pages, 1))
    # On one line: the page's policy names its digest, and white around lines may be thinned out.
    style = " ".join(render("paper/paper.css", _style(document, classes)).decode().split())
    return render(
        "paper/document.html",
        PaperRecord(
            language=document.language,
            direction=document.direction,
            title=document.title,
            style=Markup(style),  # noqa: S704 - made by the template from numbers and our fonts
            style_hash=b64encode(sha256(style.encode()).digest()).decode(),
            pages=pages,
        ),
    )


def _page(page: Page, number: int, classes: _Classes) -> PageBlock:
    names = [classes.sheet(page.sheet), page.side.value]
    svg = drawing(page)
    if svg:
        names.append(classes.drawing(svg))
    return PageBlock(
        id=f"p{number}",
        kind=page.kind,
        title=page.title,
        classes=" ".join(names),
        blocks=tuple(_blocks(page.marks, classes)),
    )


def _blocks(marks: Iterable[Mark], classes: _Classes) -> Iterator[Block]:
    for mark in marks:
        if isinstance(mark, Words):
            yield _text(mark, classes)
        elif isinstance(mark, Art) and mark.alt:  # what only decorates is in the drawing
            box = mark.box
            yield ArtBlock(classes.place(box.x, box.y, box.w, box.h), mark.svg, mark.alt)
        elif isinstance(mark, Group):
            inside = tuple(_blocks(mark.marks, classes))
            if inside:
                yield GroupBlock(mark.kind, mark.label, inside)


def _text(words: Words, classes: _Classes) -> TextBlock:
    box = words.box
    place = classes.place(box.x, box.y, box.w, words.line_mm * len(words.lines))
    return TextBlock(
        role=words.role,
        classes=f"{place} {classes.type(words)}",
        strong=words.strong,
        lines=words.lines,
    )


def _style(document: Document, classes: _Classes) -> PaperStyle:
    used = families_of(_all_text(document))
    return PaperStyle(
        fonts=tuple(
            FontRule(family, bold, _font_address(family, bold))
            for family in FAMILIES
            if family in used
            for bold in (False, True)
        ),
        families=tuple(family for family in FAMILIES if family in used),
        sheets=tuple(SheetRule(name, *key) for key, name in classes.sheets.items()),
        places=tuple(PlaceRule(name, *key) for key, name in classes.places.items()),
        types=tuple(TypeRule(name, *key) for key, name in classes.types.items()),
        drawings=tuple(DrawingRule(name, key) for key, name in classes.drawings.items()),
    )


def _font_address(family: str, bold: bool) -> str:
    return f"data:font/ttf;base64,{b64encode(font_bytes(family, bold=bold)).decode()}"


def _all_text(document: Document) -> Iterator[str]:
    for page in document.pages:
        for words in page.words():
            yield words.strong
            yield from words.lines


def _mm(value: float) -> str:
    """A length with at most three digits after the point: a thousandth of a millimetre."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
