"""Every kind of page under the checkers: axe-core (WCAG 2.2 AA) and html-validate.

axe-core does not judge contrast over gradients and pictures; `test_palette.py` computes it. What
no checker sees (order, sense of a name) is in the other tests of pages.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser

from tests.support import sample_week
from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync.cli import main
from weeksync.site import SiteInput, own_pages
from weeksync.site.pages import pages

pytestmark = pytest.mark.browser

WEDNESDAY = datetime(2027, 3, 24, 9, tzinfo=UTC)
LOOKS: dict[str, dict[str, str]] = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "print": {"media": "print"},
    "more contrast": {"contrast": "more"},
    "forced colours": {"forced_colors": "active"},
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of this file."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages, with those of one's own."""
    folder = tmp_path_factory.mktemp("demo")
    assert main(["demo", "--to", str(folder), "--now", "2027-03-24T05:40:00+00:00"]) == 0
    return folder


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The made-up week's pages, in English and from right to left."""
    folder = tmp_path_factory.mktemp("sample")
    for name, inputs in (("en", sample_week.inputs()), ("ar", sample_week.inputs("ar_EG"))):
        _write(folder / name, inputs)
    return folder


def _write(folder: Path, inputs: SiteInput) -> None:
    for name, tree in (("site", pages(inputs)), ("own", own_pages(inputs))):
        (folder / name).mkdir(parents=True)
        for file, content in tree.items():
            (folder / name / file).write_bytes(content)


def shown(folder: Path) -> list[Path]:
    """Every page of every tree, where it is read."""
    trees = {one.parent for deep in ("*", "*/*") for one in folder.glob(f"{deep}/index.html")}
    return sorted(page for tree in trees for page in tree.glob("*.html"))


def kinds(folder: Path) -> list[Path]:
    """A page of each kind, and the weeks around today: the rest is made by the same templates."""
    found: dict[str, Path] = {}
    for path in shown(folder):
        kind = path.read_text("utf-8").partition('<body class="')[2].partition('"')[0]
        near = "W12" in path.name or "2027-03" in path.name
        if f"{path.parent.name} {kind}" not in found or near:
            found[f"{path.parent.name} {kind}"] = path
    return sorted(found.values())


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("which", ["demo", "sample"])
def test_axe_finds_nothing(
    browser: Browser,
    which: Literal["demo", "sample"],
    look: str,
    request: pytest.FixtureRequest,
) -> None:
    """No page of any kind has a violation, on a tablet and on a phone, in any look."""
    folder: Path = request.getfixturevalue(which)
    found: list[str] = []
    for width in (1280, 390):
        with looking(browser, now=WEDNESDAY, width=width) as page:
            page.emulate_media(**LOOKS[look])  # type: ignore[arg-type]
            for path in kinds(folder):
                page.goto(path.resolve().as_uri())
                found += [
                    f"{path.name} at {width}: {one}" for one in axe(page, touched=look != "print")
                ]
    assert found == []


def test_every_kind_of_page_is_looked_at(demo: Path, sample: Path) -> None:
    """The checks above are worth nothing if a kind of page escapes them."""
    for folder, least in ((demo, 4), (sample, 6)):
        assert len(kinds(folder)) >= least, kinds(folder)


@pytest.mark.parametrize("which", ["demo", "sample"])
def test_html_validate_finds_nothing(
    which: Literal["demo", "sample"], request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    """Not in one page, and not in any language."""
    folder: Path = request.getfixturevalue(which)
    assert html_mistakes(shown(folder), tmp_path) == []


def test_the_checkers_see_a_fault(browser: Browser, tmp_path: Path) -> None:
    """A page with planted faults does not pass: the checkers do run."""
    page_of = tmp_path / "bad.html"
    page_of.write_text(
        '<!doctype html><html><head><title>x</title></head><body><p id="a">x<p id="a">'
        '<input><span style="color:#aaa;background:#fff">pale</span></body></html>',
        "utf-8",
    )
    with looking(browser, now=WEDNESDAY) as page:
        page.goto(page_of.as_uri())
        rules = {one.partition(":")[0] for one in axe(page)}
    assert {"html-has-lang", "label", "color-contrast"} <= rules
    assert any("no-dup-id" in one for one in html_mistakes([page_of], tmp_path))
