"""After rendering: is all of it there, and nothing where nothing may be?

An engine that lacks a font or measures otherwise would run over edges without a word. So every
line that was laid out is looked for in the PDF, at its place, and pages are counted.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from weeksync.errors import BuildError
from weeksync.message import message
from weeksync.paper.document import Document, Page
from weeksync.paper.marks import Words
from weeksync.paper.sheet import MM_PER_PT, Box
from weeksync.paper.text import is_known

if TYPE_CHECKING:
    import pypdfium2

TOLERANCE_MM = 0.6
"""How far outside of its box the text of a line may reach: bearings of glyphs, rounding."""

SIZE_TOLERANCE_MM = 0.05
"""How far a page may be from its sheet's size: a pixel of CSS is 0.26 mm, a point 0.35 mm."""


def check(pdf: bytes, document: Document) -> None:
    """BuildError where the PDF is not what was laid out, with the page and the text."""
    import pypdfium2

    made = pypdfium2.PdfDocument(pdf)
    try:
        if len(made) != len(document.pages):
            raise BuildError(
                message(
                    "pages made by the engine: {count} of {wanted}; nothing was printed",
                    count=len(made),
                    wanted=len(document.pages),
                )
            )
        for number, page in enumerate(document.pages, 1):
            _check_page(made[number - 1], page, number)
    finally:
        made.close()


def unknown_in(document: Document) -> str:
    """The characters of a document that none of our fonts has, each once, sorted."""
    signs = {one for page in document.pages for _, _, line in _lines(page) for one in line}
    found = (one for one in signs if not is_known(one) and not one.isspace())
    return "".join(sorted(one for one in found if unicodedata.category(one)[0] in "LNPS"))


def _check_page(made: pypdfium2.PdfPage, page: Page, number: int) -> None:
    width, height = (points * MM_PER_PT for points in made.get_size())
    sheet = page.sheet
    if max(abs(width - sheet.width_mm), abs(height - sheet.height_mm)) > SIZE_TOLERANCE_MM:
        raise BuildError(
            message(
                "page {page} came out {width} mm wide and {height} mm high, not {sheet} mm",
                page=number,
                width=round(width, 1),
                height=round(height, 1),
                sheet=f"{sheet.width_mm:g} × {sheet.height_mm:g}",
            )
        )
    text = made.get_textpage()
    try:
        for words, box, line in _lines(page):
            missing = _missing(text, sheet.height_mm, box, line)
            if missing:
                raise BuildError(
                    message(
                        "page {page} ({title}): “{text}” does not stand whole where it was laid "
                        "out; print with another engine (--with), or without templates of your own",
                        page=number,
                        title=page.title,
                        text=(words.strong + " " + line).strip()[:80],
                    )
                )
    finally:
        text.close()


def _lines(page: Page) -> Iterator[tuple[Words, Box, str]]:
    """(the text, the box of the line, the line), for every line on the page."""
    for words in page.words():
        for at, line in enumerate(words.lines):
            box = Box(words.box.x, words.box.y + at * words.line_mm, words.box.w, words.line_mm)
            whole = f"{words.strong} {line}" if at == 0 and words.strong else line
            yield words, box, whole


def _missing(text: pypdfium2.PdfTextPage, height_mm: float, box: Box, line: str) -> int:
    """How many characters of a line are not found in its box.

    Those that our fonts lack are not looked for: they are drawn from whatever the machine has.
    """
    wanted = _signs("".join(one for one in line if is_known(one)))
    found = _signs(
        text.get_text_bounded(
            left=(box.x - TOLERANCE_MM) / MM_PER_PT,
            right=(box.right + TOLERANCE_MM) / MM_PER_PT,
            bottom=(height_mm - box.bottom - TOLERANCE_MM) / MM_PER_PT,
            top=(height_mm - box.y + TOLERANCE_MM) / MM_PER_PT,
        )
    )
    return sum((wanted - found).values())


def _signs(text: str) -> Counter[str]:
    """The letters and digits of a text, as an extraction gives them: without marks and white.

    Engines tell combined letters apart or together, and Arabic ones by their shapes: NFKD makes
    them the same (Unicode Standard Annex 15), and marks are left out.
    """
    plain = unicodedata.normalize("NFKD", text)
    return Counter(one for one in plain if unicodedata.category(one)[0] in "LN")
