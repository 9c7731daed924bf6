"""Layouts on sheets of every size, documents as real PDFs, and what is to hold for every page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pypdfium2
from PIL import Image, ImageStat

from tests.support import sample_week
from weeksync.language import Language
from weeksync.model.config import Config
from weeksync.model.fields import Weekday
from weeksync.model.sheets import SIZES, SizeName
from weeksync.paper.document import Document, Page
from weeksync.paper.engines import Engine
from weeksync.paper.engines import pdf as made_by
from weeksync.paper.holes import PATTERNS
from weeksync.paper.html import html
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Mark, Words
from weeksync.paper.mirror import mirrored
from weeksync.paper.sheet import Box, Sheet
from weeksync.paper.style import LEAST_PT, Style
from weeksync.paper.words import PaperWords
from weeksync.site.render import Renderer

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

HOLES: dict[SizeName, str] = {
    "A4": "2-hole",
    "A5": "2-hole",
    "A6": "2-hole",
    "letter": "3-hole",
    "half-letter": "3-hole-half",
    "95x171": "6-ring-171",
    "81x120": "6-ring-120",
}
"""A pattern that each sheet takes."""


def sheet(size: SizeName = "A4", holes: str | None = None) -> Sheet:
    """An upright sheet with holes."""
    width, height = SIZES[size]
    pattern = PATTERNS[holes or HOLES[size]]
    return Sheet(width, height, binding_mm=pattern.keep_clear_mm, holes=pattern)


def layout(
    size: SizeName = "A4",
    locale: str = "en_GB",
    first: Weekday | None = None,
    settings: Config | None = None,
    **style: Any,
) -> Layout:
    """The sample household's words on such a sheet."""
    config = settings or sample_week.config(locale, first)
    words = PaperWords(config, Language(config.household.locale))
    return Layout(words, sheet(size), Style(**style))


def document(on: Layout, pages: Iterable[Page]) -> Document:
    """Finished pages: turned over where the language runs from right to left."""
    language = on.words.language
    found = tuple(pages)
    if language.direction == "rtl":
        found = tuple(map(mirrored, found))
    return Document("Weeksync", language.tag, language.direction, found)


def pdf(made: Document, engine: Engine = "weasyprint") -> bytes:
    """The document as a real PDF."""
    renderer = Renderer(Language(made.language))
    page = html(made, lambda template, page: renderer.render(template, page))
    return made_by(page, engine, made.sizes)


def picture(content: bytes, page: int = 0, dpi: int = 100) -> Picture:
    """A page as a grey picture."""
    opened = pypdfium2.PdfDocument(content)
    try:
        drawn = opened[page].render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
        assert isinstance(drawn, Image.Image)
        return drawn
    finally:
        opened.close()


def darkness(drawn: Picture, box: Box, dpi: int = 100) -> float:
    """Mean darkness of a box in millimetres, 0 white to 1 black."""
    scale = dpi / 25.4
    left, top, right, bottom = (round(one * scale) for one in (box.x, box.y, box.right, box.bottom))
    return 1 - float(ImageStat.Stat(drawn.crop((left, top, right, bottom))).mean[0]) / 255


def all_marks(marks: Iterable[Mark]) -> Iterator[Mark]:
    """All marks, those in groups, too."""
    for one in marks:
        if isinstance(one, Group):
            yield from all_marks(one.marks)
        else:
            yield one


def texts(page: Page) -> list[str]:
    """What stands on a page, text by text."""
    found = (one for one in all_marks(page.marks) if isinstance(one, Words))
    return [" ".join(filter(None, (one.strong, *one.lines))) for one in found]


def check_words(on: Layout, pages: Sequence[Page]) -> None:
    """No text under the limit, none wider than its place, none outside of the printable area."""
    for page in pages:
        area = page.sheet.area(page.side)
        found = [one for one in all_marks(page.marks) if isinstance(one, Words)]
        assert found
        for one in found:
            assert one.size_pt >= LEAST_PT, one
            first = on.measure.width_mm(one.strong + " ", one.size_pt, bold=True) * bool(one.strong)
            for at, line in enumerate(one.lines):
                width = on.measure.width_mm(line, one.size_pt, bold=one.bold)
                assert width + (first if at == 0 else 0) <= one.box.w + 0.3, one
            assert area.y - 0.1 <= one.box.y, one
            assert one.box.bottom <= area.bottom + 0.1, one
            if one.align == "start":
                assert area.x - 0.1 <= one.box.x, one


def check_keep_clear(content: bytes, pages: Sequence[Page]) -> None:
    """Nothing is inked on the punch side, to the pixel."""
    for at, page in enumerate(pages):
        strip = page.sheet.keep_clear(page.side)
        assert strip.w >= 13 or strip.h >= 13, strip
        assert darkness(picture(content, at), _inside(strip)) == 0, (at, page.kind)


def _inside(strip: Box) -> Box:
    """The strip without the pixel that the next thing's edge may lie in."""
    return replace(strip, x=strip.x + 0.3, y=strip.y + 0.3, w=strip.w - 0.6, h=strip.h - 0.6)
