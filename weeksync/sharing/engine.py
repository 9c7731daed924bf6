"""The redacted page laid out on sheets of a fixed size: as a PDF, and as a picture of one.

Both are drawn anew from the redacted page, never cut out of or painted over the household's own.
WeasyPrint lays out and pypdfium2 paints: same page, same bytes, and nothing is fetched on the way.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

import weeksync
from weeksync.errors import BuildError
from weeksync.message import Message, message

if TYPE_CHECKING:
    from weasyprint import Document

_FONTS = Path(weeksync.__file__).parent / "paper" / "fonts"
"""Letters that come along, for machines that have none: data of the package."""

_FACES = (("NotoSans-Regular.ttf", 400), ("NotoSans-Bold.ttf", 700))
_PX_TO_PT = 72 / 96
"""CSS pixels are 1/96 inch, points 1/72 (CSS Values and Units 3, section 5.2)."""


def laid_out(html: bytes) -> Document:
    """The page on its sheets; BuildError where the engine is not installed."""
    try:
        from weasyprint import CSS, HTML
        from weasyprint.text.fonts import FontConfiguration
    except (ImportError, OSError) as error:  # OSError: libraries of the system are missing
        raise BuildError(_lacking(error)) from error
    fonts = FontConfiguration()
    faces = "".join(
        f"@font-face {{ font-family: 'Week Sans'; font-weight: {weight}; "
        f"src: url({(_FONTS / name).as_uri()}); }}"
        for name, weight in _FACES
        if (_FONTS / name).is_file()
    )
    own = [CSS(string=faces, url_fetcher=_only_fonts, font_config=fonts)] if faces else []
    page = HTML(string=html.decode("utf-8"), url_fetcher=_nothing)
    return page.render(stylesheets=own, font_config=fonts)


def pdf(html: bytes) -> bytes:
    """The page as a PDF that says nothing of who made it, with what, and when."""
    return written(laid_out(html))


def written(document: Document) -> bytes:
    """What is laid out as a PDF, without a word on who made it, with what, and when."""

    def bare(_: Any, made: Any) -> None:
        """No producer, no author, no dates: only the title, which stands on the page as well."""
        for key in [key for key in made.info if key != "Title"]:
            del made.info[key]

    return bytes(document.write_pdf(finisher=bare) or b"")


def end_of(document: Document) -> float:
    """How far down the last page reaches, in CSS pixels from the top of the first.

    By the mark `end` of the template, which stands below everything.
    """
    above = 0.0
    for page in document.pages:
        if "end" in page.anchors:
            return above + float(page.anchors["end"][1])
        above += float(page.height)
    return above


def png(document: Document, width: int) -> bytes:
    """The first sheet as a picture `width` pixels wide: a PNG of pixels and nothing else."""
    try:
        import pypdfium2
    except ImportError as error:
        raise BuildError(_lacking(error)) from error
    opened = pypdfium2.PdfDocument(written(document))
    try:
        sheet = opened[0]
        painted = sheet.render(scale=width / sheet.get_width()).to_pil().convert("RGB")
        picture = io.BytesIO()
        painted.save(picture, "PNG", optimize=True)
        return picture.getvalue()
    finally:
        opened.close()


def missing() -> Message | None:
    """Why no pictures and no PDF can be made here; None where they can."""
    try:
        import pypdfium2  # noqa: F401
        import weasyprint  # noqa: F401
    except (ImportError, OSError) as error:  # OSError: libraries of the system are missing
        return _lacking(error)
    return None


def _lacking(error: Exception) -> Message:
    return message(
        "pictures and PDF were left out: the extra “paper” is not installed ({reason}); to have "
        "them: pip install 'weeksync[paper]'",
        reason=(str(error).splitlines() or [type(error).__name__])[0][:200],
    )


def _nothing(url: str, *_: Any, **__: Any) -> Any:
    raise ValueError(url)


def _only_fonts(url: str, *_: Any, **__: Any) -> Any:
    if not url.startswith(_FONTS.as_uri()):
        raise ValueError(url)
    from weasyprint import default_url_fetcher

    return default_url_fetcher(url)
