"""What makes a PDF of the HTML of a document: WeasyPrint, or a Chromium that is already there.

Neither may ask any other host: WeasyPrint gets a fetcher that knows data addresses only, and
the page's own policy says the same to Chromium.
"""

from __future__ import annotations

import logging
import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import Literal

from weeksync.errors import BuildError, UsageError
from weeksync.message import message
from weeksync.paper.sheet import MM_PER_PT

Engine = Literal["weasyprint", "chromium"]

CHROMIUMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
"""Names under which a Chromium is found on the path."""

TIMEOUT_SECONDS = 180.0

LEAST_SHIFT_PT = 0.05
"""Less than that (0.02 mm) is not worth moving the print of a page by."""


def engine_there() -> Engine | None:
    """The engine that is used where nobody names one: WeasyPrint where it can be loaded.

    Chromium is used only where it is named: it starts slowly and its PDFs are larger.
    """
    return "weasyprint" if _weasyprint_loads() else None


def _weasyprint_loads() -> bool:
    if find_spec("weasyprint") is None:
        return False
    try:
        import weasyprint  # noqa: F401 - it may be there without the libraries it needs
    except OSError:
        return False
    return True


def pdf(html: bytes, engine: Engine, sizes: Sequence[tuple[float, float]]) -> bytes:
    """The document as a PDF, tagged, with bookmarks and its fonts in it.

    `sizes` are width and height of its pages in millimetres. UsageError where the engine is not
    there, BuildError where it fails.
    """
    return _by_weasyprint(html) if engine == "weasyprint" else _by_chromium(html, sizes)


def _by_weasyprint(html: bytes) -> bytes:
    if not _weasyprint_loads():
        raise UsageError(
            message(
                "WeasyPrint is not there, or lacks its libraries; install weeksync[paper] and "
                "Pango, or use --with chromium, or --with browser"
            )
        )
    import weasyprint
    from weasyprint.urls import URLFetcher

    fetcher = URLFetcher(allowed_protocols=("data",), fail_on_errors=True)
    complaints = _Complaints()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(complaints)
    try:
        made = weasyprint.HTML(string=html.decode(), url_fetcher=fetcher).write_pdf(
            pdf_variant="pdf/ua-1", optimize_images=False
        )
    finally:
        logger.removeHandler(complaints)
    if complaints.said:
        raise BuildError(
            message("WeasyPrint could not use all of the page: {reason}", reason=complaints.said[0])
        )
    return bytes(made)


class _Complaints(logging.Handler):
    """Keeps what WeasyPrint warns of: a font or a drawing that it could not load."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(record.getMessage())


def chromium() -> str | None:
    """The program of a Chromium on the path, None where there is none."""
    return next((found for name in CHROMIUMS if (found := shutil.which(name))), None)


def _by_chromium(html: bytes, sizes: Sequence[tuple[float, float]]) -> bytes:
    program = chromium()
    if program is None:
        raise UsageError(
            message(
                "there is no Chromium on the path ({known}); install one, or leave --with out",
                known=", ".join(CHROMIUMS),
            )
        )
    with tempfile.TemporaryDirectory(prefix="weeksync-") as folder:
        page, target = Path(folder) / "sheets.html", Path(folder) / "sheets.pdf"
        page.write_bytes(html)
        _run([program, *_options(Path(folder), target), page.as_uri()], target)
        return _finished(target.read_bytes(), sizes)


def _finished(pdf: bytes, sizes: Sequence[tuple[float, float]]) -> bytes:
    """The PDF with its title alone, and pages of exactly their sizes.

    It tells neither the machine nor the moment it was made at. Chromium cuts a page to whole dots,
    so that A4 is 0.11 mm too narrow (measured). What is printed stays as far from the top left.
    """
    from pypdf import PdfReader, PdfWriter, Transformation
    from pypdf.generic import RectangleObject

    reader = PdfReader(BytesIO(pdf))
    writer = PdfWriter(clone_from=reader)
    for page, (width_mm, height_mm) in zip(writer.pages, sizes, strict=False):
        width, height = width_mm / MM_PER_PT, height_mm / MM_PER_PT
        higher = height - float(page.mediabox.height)
        if abs(higher) > LEAST_SHIFT_PT:
            page.add_transformation(Transformation().translate(0, higher))
        page.mediabox = page.cropbox = RectangleObject((0, 0, width, height))
    title = (reader.metadata.title if reader.metadata is not None else "") or ""
    writer.metadata = {"/Title": title, "/Producer": "weeksync"}
    to = BytesIO()
    writer.write(to)
    return to.getvalue()


def _options(folder: Path, target: Path) -> list[str]:
    options = [
        "--headless",
        "--disable-gpu",
        "--no-first-run",
        "--disable-extensions",
        "--disable-background-networking",
        "--no-pdf-header-footer",
        "--generate-pdf-document-outline",
        f"--user-data-dir={folder / 'profile'}",
        f"--print-to-pdf={target}",
    ]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        options.append("--no-sandbox")  # Chromium's own sandbox does not start for root
    return options


def _run(command: Sequence[str], target: Path) -> None:
    try:
        done = subprocess.run(  # noqa: S603 - a program of the path and our own file
            command, capture_output=True, timeout=TIMEOUT_SECONDS, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise BuildError(
            message(
                "{program} did not print ({reason})", program=command[0], reason=str(error)[:200]
            )
        ) from error
    if done.returncode or not target.is_file():
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise BuildError(
            message(
                "{program} did not print ({reason})",
                program=command[0],
                reason=(said[-1] if said else str(done.returncode))[:200],
            )
        )
