"""How much ink a page takes: its mean darkness, measured on the finished PDF.

Printers' page yields are tested with pages of about 5 % (ISO/IEC 19752, quoted by others); a
page under 8 % is aimed at and one above 15 % is told: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from weeksync.errors import UsageError
from weeksync.message import Message, message

DPI = 150
AIM = 0.08
TOO_MUCH = 0.15


def coverage(pdf: bytes, dpi: int = DPI) -> tuple[float, ...]:
    """Mean darkness of each page, 0 (white) to 1 (black), at `dpi` dots per inch.

    Colours count by their luma (ITU-R BT.601, as Pillow turns them grey). UsageError where the
    bytes are no PDF.
    """
    return tuple(_pages(pdf, dpi))


def _pages(pdf: bytes, dpi: int) -> Iterator[float]:
    import pypdfium2
    from PIL import ImageStat

    try:
        document = pypdfium2.PdfDocument(pdf)
    except pypdfium2.PdfiumError as error:
        raise UsageError(
            message("these bytes are no PDF ({reason}); print again", reason=str(error))
        ) from error
    try:
        for number in range(len(document)):
            page = document[number]
            picture = page.render(scale=dpi / 72, grayscale=True).to_pil().convert("L")
            page.close()
            yield 1 - ImageStat.Stat(picture).mean[0] / 255
    finally:
        document.close()


def ink_line(page: int, title: str, darkness: float) -> Message:
    """A line of `print --report`; pages are counted from 1."""
    percent = round(darkness * 100, 1)
    if darkness > TOO_MUCH:
        return message(
            "page {page}, {title}: {percent} % ink, which is much; --ink-saving takes fills off",
            page=page,
            title=title,
            percent=percent,
        )
    return message("page {page}, {title}: {percent} % ink", page=page, title=title, percent=percent)
