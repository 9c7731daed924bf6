"""What several tests share, because making pictures takes seconds."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.redact.reading import pulled
from tests.redact.test_canary import ALL
from tests.sharing import weeks
from tests.support.canary import WEEK, Canary, write_canary
from weeksync.cli import main
from weeksync.language import Language
from weeksync.sharing.outputs import Outputs, outputs
from weeksync.site.render import Renderer
from weeksync.workflow.context import Context
from weeksync.workflow.sharing_made import Made, made, tints

OVER = "2027-03-30T08:00:00+00:00"
"""An instant after the demo's week 2027-W12."""


@dataclass(frozen=True)
class CanaryMade:
    """The canary household with everything released, and what is made of its week."""

    canary: Canary
    context: Context
    made: Made


@pytest.fixture(scope="session")
def canary_made(tmp_path_factory: pytest.TempPathFactory) -> CanaryMade:
    """Everything that can be released is, and every kind of file is made."""
    canary = write_canary(tmp_path_factory.mktemp("canary"), ALL)
    context = pulled(canary)
    return CanaryMade(canary, context, made(context, WEEK))


@pytest.fixture(scope="session")
def full() -> Outputs:
    """Everything made of a week with something of everything."""
    language = Language("en")
    return outputs(weeks.FULL, language, Renderer(language), Renderer(language), tints())


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household, pulled: one title of it is released."""
    folder = tmp_path_factory.mktemp("demo")
    words = ["demo", "--to", str(folder / "out"), "--household", str(folder / "home")]
    assert main([*words, "--now", "2027-03-24T05:40:00+00:00"]) == 0
    return folder / "home"


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a machine without the extra for pictures and PDF."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)


def read_by_machine(picture: bytes, folder: Path) -> str:
    """What tesseract reads in a picture, enlarged to the size it was trained for."""
    if shutil.which("tesseract") is None:
        pytest.fail("tesseract is missing; run: apt-get install tesseract-ocr")
    from PIL import Image

    path = folder / "picture.png"
    path.write_bytes(picture)
    opened = Image.open(path)
    opened.resize((opened.width * 2, opened.height * 2)).save(path)
    ran = subprocess.run(
        ["tesseract", str(path), "-", "--psm", "11"], capture_output=True, text=True, check=True
    )
    return ran.stdout


def squeezed(text: str) -> str:
    """A text without spaces, lines and case: a machine breaks words where it likes."""
    return re.sub(r"\s+", "", text).casefold()
