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

Engine = Literal["weasyprint", "chromium"]

CHROMIUMS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
"""Names under which a Chromium is found on the path."""

TIMEOUT_SECONDS = 180.0


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


def pdf(html: bytes, engine: Engine) -> bytes:
    """The document as a PDF, tagged, with bookmarks and its fonts in it.

    UsageError where the engine is not there, BuildError where it fails.
    """
    return _by_weasyprint(html) if engine == "weasyprint" else _by_chromium(html)


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


def _by_chromium(html: bytes) -> bytes:
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
        return _without_origin(target.read_bytes())


def _without_origin(pdf: bytes) -> bytes:
    """The PDF with its title alone: neither the machine nor the moment it was made at."""
    from pypdf import PdfReader, PdfWriter

    reader = PdfReader(BytesIO(pdf))
    writer = PdfWriter(clone_from=reader)
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
