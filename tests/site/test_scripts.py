"""The scripts of the pages: types without a doubt, and weights that stay small."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from tests.support import sample_week
from weeksync.site import own_pages
from weeksync.site.pages import pages
from weeksync.site.render import own_templates

ROOT = Path(__file__).resolve().parents[2]
TSC = ROOT / "tests" / "node_modules" / ".bin" / "tsc"
GLOBALS = Path(__file__).with_name("globals.d.ts")
WORKER = "service-worker.js"
"""Checked by itself: it runs where there is no page."""

STRICT = (
    "--allowJs", "--checkJs", "--strict", "--noEmit", "--target", "es2022",
    "--lib", "es2022,dom,dom.iterable",
)  # fmt: skip


@pytest.fixture(scope="module")
def delivered() -> dict[str, bytes]:
    """The scripts of both trees as browsers get them; the same name has the same content."""
    made = pages(sample_week.inputs())
    own = own_pages(sample_week.inputs())
    shared = {name for name in made if name in own and name.endswith(".js")} - {"status.js"}
    assert {name for name in shared if made[name] != own[name]} == set()
    return {name: content for name, content in {**own, **made}.items() if name.endswith(".js")}


def checked(folder: Path, *scripts: Path) -> str:
    """What the TypeScript compiler says of scripts that share one page."""
    run = subprocess.run(
        [TSC, *STRICT, *scripts, GLOBALS], cwd=folder, capture_output=True, text=True, check=False
    )
    return run.stdout + run.stderr


def test_scripts_are_typed(tmp_path: Path, delivered: dict[str, bytes]) -> None:
    """`tsc --checkJs --strict` finds nothing in the sources, with the words as they are made."""
    (tmp_path / "words.js").write_bytes(delivered["words.js"])
    sources = sorted(own_templates().glob("*.js"))
    assert {"page.js", "marks.js"} <= {path.name for path in sources}
    here = [path for path in sources if path.name != WORKER]
    assert checked(tmp_path, *here, tmp_path / "words.js") == ""


def test_the_check_of_types_finds_mistakes(tmp_path: Path) -> None:
    """A misspelt property, a missing check for null and an unknown word are each reported."""
    wrong = tmp_path / "wrong.js"
    wrong.write_text(
        '"use strict";\ndocument.querySelector("p").hiden = true;\nweekMarks.ad([]);\n'
    )
    said = checked(tmp_path, wrong)
    assert said.count("error TS") >= 3


WEIGHTS = {"marks.js": 8_500, "words.js": 1_300, "forms.js": 6_000}
"""Bytes as delivered."""


@pytest.mark.parametrize(("name", "most"), WEIGHTS.items())
def test_a_script_is_small(delivered: dict[str, bytes], name: str, most: int) -> None:
    """No script grows unseen."""
    assert len(delivered[name]) <= most


def test_all_script_of_a_week_page_is_small(delivered: dict[str, bytes]) -> None:
    """What a tablet loads for a week, all together."""
    week = pages(sample_week.inputs())["2027-W12.html"].decode("utf-8")
    names = re.findall(r'<script src="([^"]+)"', week)
    assert {"page.js", "marks.js", "words.js"} <= set(names)
    assert sum(len(delivered[name]) for name in names) <= 15_000


def test_scripts_do_no_harm_with_data(delivered: dict[str, bytes]) -> None:
    """Nothing writes HTML, runs text, or opens a way around the policy of the page."""
    for name, content in delivered.items():
        text = content.decode("utf-8")
        for word in ("innerHTML", "outerHTML", "document.write", "eval(", "new Function"):
            assert word not in text, name
        for written in re.findall(r"insertAdjacentHTML\([^,]*,(.)", text):
            assert written in "'\"", f"{name} writes HTML that is no constant"
