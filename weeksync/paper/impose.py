"""A finished PDF put on the paper that lies in the printer: leaves, two pages to a side, booklets.

Pages that stay one to a side on paper of their own size keep their tags; pages put on other
sheets lose them, as pypdf merges content and not structure.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, NamedTuple

from weeksync.errors import BuildError, UsageError
from weeksync.message import message
from weeksync.paper.document import Document, Page
from weeksync.paper.page_order import PaperSide, Way, front_side, sheets, slots
from weeksync.paper.printer import Printer
from weeksync.paper.sheet import MM_PER_PT, Sheet, Side

if TYPE_CHECKING:
    from pypdf import PageObject, PdfReader, PdfWriter

SAME_MM = 0.05
"""Sizes nearer to each other than this are one size."""

MARK_MM = 5.0
MARK_GAP_MM = 2.0
MARK_GREY, MARK_PT = 0.55, 0.4

Size = tuple[float, float]


class _Place(NamedTuple):
    """Where a page lies on a side, in millimetres from the lower left, as PDF counts."""

    page: int | None
    x: float
    y: float


def imposed(
    pdf: bytes,
    document: Document,
    way: Way,
    *,
    paper: Size | None = None,
    printer: Printer | None = None,
    cutting_marks: bool = False,
) -> bytes:
    """The PDF of `document`, in the order and on the paper that `way` needs.

    `paper` is (width, height) in millimetres, turned as the pages need it; without it pages keep
    their size, and two of them lie on paper twice as wide. Backs and shifts follow `printer`.
    UsageError where the paper is too small or the pages are of several sizes, BuildError where
    the PDF has not the document's pages.
    """
    from pypdf import PdfReader

    reader = PdfReader(BytesIO(pdf))
    if len(reader.pages) != len(document.pages):
        raise BuildError(
            message(
                "pages in the PDF: {found}, pages laid out: {wanted}; print again",
                found=len(reader.pages),
                wanted=len(document.pages),
            )
        )
    placed = slots(
        [_lies(page, document.direction) for page in document.pages], way, document.direction
    )
    if way.two_up or any(_on_other_paper(page.sheet, paper) for page in document.pages):
        writer = _on_paper(reader, document, way, placed, paper, cutting_marks)
    elif printer is None and None not in placed and not (way.both_sides and len(placed) % 2):
        return pdf  # nothing is to be done, and pypdf would write it larger
    else:
        writer = _as_they_are(reader, document, way, placed)
    if printer is not None:
        _corrected(writer, way, printer)
    return _written(writer, document)


def _lies(page: Page, direction: str) -> Side:
    """The side a page lies on; of landscape ones, RIGHT is the front, however reading runs."""
    if not page.sheet.landscape:
        return page.side
    front = front_side(direction)
    return front if page.side is Side.RIGHT else front.other


def _on_other_paper(sheet: Sheet, paper: Size | None) -> bool:
    if paper is None:
        return False
    width, height = _turned(paper, landscape=sheet.width_mm > sheet.height_mm)
    return abs(width - sheet.width_mm) > SAME_MM or abs(height - sheet.height_mm) > SAME_MM


def _turned(paper: Size, *, landscape: bool) -> Size:
    short, long = sorted(paper)
    return (long, short) if landscape else (short, long)


# One page to a side, on its own size


def _as_they_are(
    reader: PdfReader, document: Document, way: Way, placed: Sequence[int | None]
) -> PdfWriter:
    from pypdf import PdfWriter

    writer = PdfWriter(clone_from=reader)
    if way.both_sides and len(placed) % 2:
        placed = (*placed, None)
    sizes = [(one.sheet.width_mm, one.sheet.height_mm) for one in document.pages]
    for at, page in enumerate(placed):
        if page is None:
            near = next((one for one in (*placed[at:], *placed[::-1]) if one is not None), 0)
            width, height = sizes[near]
            writer.insert_blank_page(width / MM_PER_PT, height / MM_PER_PT, at)
    return writer


# Pages on other paper


def _on_paper(
    reader: PdfReader,
    document: Document,
    way: Way,
    placed: Sequence[int | None],
    paper: Size | None,
    cutting_marks: bool,
) -> PdfWriter:
    from pypdf import PdfWriter, Transformation

    writer = PdfWriter()
    shown: set[int] = set()
    for side in _sides(way, placed, document.direction):
        block, cell = _block(document, side)
        on = _paper_for(block, paper)
        target = writer.add_blank_page(on[0] / MM_PER_PT, on[1] / MM_PER_PT)
        for place in _places(side, block, cell, on):
            if place.page is None:
                continue
            shift = Transformation().translate(place.x / MM_PER_PT, place.y / MM_PER_PT)
            target.merge_transformed_page(reader.pages[place.page], shift)
            title = document.pages[place.page].title
            if title and place.page not in shown:
                writer.add_outline_item(title=title, page_number=len(writer.pages) - 1)
            shown.add(place.page)
        if cutting_marks:
            _draw(target, _cuts(block, cell, on))
        target.compress_content_streams()
    return writer


def _sides(way: Way, placed: Sequence[int | None], direction: str) -> Iterator[PaperSide]:
    for sheet in sheets(way, placed, direction):
        yield sheet.front
        if sheet.back is not None:
            yield sheet.back


def _block(document: Document, side: PaperSide) -> tuple[Size, Size]:
    """The size of all pages of a side together, and of one of them."""
    known = {
        (one.sheet.width_mm, one.sheet.height_mm)
        for page in side.pages
        if page is not None
        for one in (document.pages[page],)
    } or {(document.pages[0].sheet.width_mm, document.pages[0].sheet.height_mm)}
    if len(known) > 1:
        raise UsageError(
            message(
                "pages of several sizes cannot lie beside each other; print landscape sheets by "
                "themselves"
            )
        )
    width, height = known.pop()
    return (width * len(side.pages), height), (width, height)


def _paper_for(block: Size, paper: Size | None) -> Size:
    if paper is None:
        return block
    on = _turned(paper, landscape=block[0] > block[1])
    if block[0] > on[0] + SAME_MM or block[1] > on[1] + SAME_MM:
        raise UsageError(
            message(
                "{width} × {height} mm do not fit on paper of {paper_width} × {paper_height} mm; "
                "choose a smaller sheet or larger paper",
                width=round(block[0], 1),
                height=round(block[1], 1),
                paper_width=round(on[0], 1),
                paper_height=round(on[1], 1),
            )
        )
    return on


def _places(side: PaperSide, block: Size, cell: Size, on: Size) -> Iterator[_Place]:
    """Pages side by side in the middle of the paper: so that front and back meet."""
    left, bottom = (on[0] - block[0]) / 2, (on[1] - block[1]) / 2
    for at, page in enumerate(side.pages):
        yield _Place(page, left + at * cell[0], bottom)


def _cuts(block: Size, cell: Size, on: Size) -> list[tuple[float, float, float, float]]:
    """Lines to cut along, as (x1, y1, x2, y2): outside of the pages where there is room.

    Between two pages they begin at the edge of the paper, in the strip that stays clear of ink.
    """
    left, bottom = (on[0] - block[0]) / 2, (on[1] - block[1]) / 2
    right, top = left + block[0], bottom + block[1]
    lines: list[tuple[float, float, float, float]] = []
    if left > MARK_GAP_MM:
        for y in (bottom, top):
            lines += [(max(left - MARK_GAP_MM - MARK_MM, 0), y, left - MARK_GAP_MM, y)]
            lines += [(right + MARK_GAP_MM, y, min(right + MARK_GAP_MM + MARK_MM, on[0]), y)]
    if bottom > MARK_GAP_MM:
        for x in (left, right):
            lines += [(x, max(bottom - MARK_GAP_MM - MARK_MM, 0), x, bottom - MARK_GAP_MM)]
            lines += [(x, top + MARK_GAP_MM, x, min(top + MARK_GAP_MM + MARK_MM, on[1]))]
    for at in range(1, round(block[0] / cell[0])):
        x = left + at * cell[0]
        lines += [(x, bottom, x, bottom + 2 * MARK_MM), (x, top - 2 * MARK_MM, x, top)]
    return lines


def _draw(page: PageObject, lines: list[tuple[float, float, float, float]]) -> None:
    """Thin grey lines on top of a page, in millimetres."""
    from pypdf import PageObject as Blank
    from pypdf.generic import DecodedStreamObject, NameObject

    parts = [f"q {MARK_GREY} G {MARK_PT} w"]
    for line in lines:
        x1, y1, x2, y2 = (round(one / MM_PER_PT, 3) for one in line)
        parts.append(f"{x1} {y1} m {x2} {y2} l S")
    stream = DecodedStreamObject()
    stream.set_data(" ".join((*parts, "Q")).encode())
    drawn = Blank.create_blank_page(width=page.mediabox.width, height=page.mediabox.height)
    drawn[NameObject("/Contents")] = stream
    page.merge_page(drawn)


# What the printer does to paper


def _corrected(writer: PdfWriter, way: Way, printer: Printer) -> None:
    """Pages moved against the printer's shift, backs turned where it turns them."""
    from pypdf import Transformation

    for number, page in enumerate(writer.pages):
        back = way.both_sides and number % 2 == 1
        right = printer.back_right if back else printer.front_right
        down = printer.back_down if back else printer.front_down
        change = Transformation()
        if back and printer.turned:
            width, height = float(page.mediabox.width), float(page.mediabox.height)
            change = change.rotate(180).translate(width, height)
        elif not (right or down):
            continue
        page.add_transformation(change.translate(-right / MM_PER_PT, down / MM_PER_PT))


def _written(writer: PdfWriter, document: Document) -> bytes:
    writer.add_metadata({"/Title": document.title, "/Producer": "weeksync"})
    to = BytesIO()
    writer.write(to)
    return to.getvalue()
